package fact

import (
	"time"

	"vialwright/quantity"
)

// Exposure is what the dosimeters of a person showed for a piece of work.
type Exposure struct {
	// Who is the person, by the id of the account if there is one.
	Who string
	// For is the order; empty where it is of no one order.
	For string
	// Finger is the dose equivalent of the skin at the hand that had most,
	// Body that of the whole body.
	Finger, Body quantity.Stated[quantity.DoseEquivalent]
	Text         string
	At           time.Time
}

// Kind is "exposure".
func (*Exposure) Kind() string        { return "exposure" }
func (e *Exposure) moment() time.Time { return e.At }

func (e *Exposure) fields(f []Slot) []Slot {
	return append(f,
		Slot{"who", must, text{&e.Who}, "Person"},
		Slot{"for", may, id{&e.For, AboutOrder}, "Order"},
		Slot{"finger", may, amount(&e.Finger), "Finger dose"},
		Slot{"body", may, amount(&e.Body), "Body dose"},
		Slot{"text", may, text{&e.Text}, "Remark"},
		Slot{"at", must, instant{&e.At}, "When"},
	)
}
