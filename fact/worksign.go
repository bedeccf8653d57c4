package fact

import (
	"time"

	"vialwright/quantity"
)

// SignOrder is the signature of the authorised physician under an order, made
// in a session of the physician's own: who recorded it signed.
type SignOrder struct {
	For string
	// Version is that of the order as it was signed; empty where it has none.
	Version string
	// Activity is the one that follows from the absorbed dose of the order; absent
	// where the order states an activity.
	Activity quantity.Stated[quantity.Activity]
	At       time.Time
}

// Kind is "sign-order".
func (*SignOrder) Kind() string        { return "sign-order" }
func (o *SignOrder) moment() time.Time { return o.At }

func (o *SignOrder) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&o.For, AboutOrder}, "Order"},
		Slot{"version", may, text{&o.Version}, "Version of the order"},
		Slot{"activity", may, amount(&o.Activity), "Activity that follows from the absorbed dose"},
		Slot{"at", must, instant{&o.At}, "When"},
	)
}

// TakeOver takes over a dose that was handed over, in a session of the taker's
// own: who recorded it holds the dose.
type TakeOver struct {
	For string
	At  time.Time
}

// Kind is "take-over".
func (*TakeOver) Kind() string        { return "take-over" }
func (t *TakeOver) moment() time.Time { return t.At }

func (t *TakeOver) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&t.For, AboutOrder}, "Order"},
		Slot{"at", must, instant{&t.At}, "When"},
	)
}
