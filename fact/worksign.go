package fact

import (
	"time"

	"vialwright/quantity"
)

// SignOrder is the signature of the authorised physician under an order, made
// in a session of the physician's own: who recorded it signed.
type SignOrder struct {
	For     string `must:"for" id:"order" label:"Order"`
	Version string `may:"version" label:"Version of the order"`
	// Activity is the one that follows from the absorbed dose of the order; absent
	// where the order states an activity.
	Activity quantity.Stated[quantity.Activity] `may:"activity" label:"Activity that follows from the absorbed dose"`
	At       time.Time                          `must:"at" label:"When"`
}

func (o *SignOrder) is() (string, time.Time) { return "sign-order", o.At }

// TakeOver takes over a dose that was handed over, in a session of the taker's
// own: who recorded it holds the dose.
type TakeOver struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (t *TakeOver) is() (string, time.Time) { return "take-over", t.At }
