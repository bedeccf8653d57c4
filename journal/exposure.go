package journal

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

func (e *Exposure) fields(f []field) []field {
	return append(f,
		field{"who", must, text{&e.Who}, "Person"},
		field{"for", may, id{&e.For, AboutOrder}, "Order"},
		field{"finger", may, amount(&e.Finger), "Finger dose"},
		field{"body", may, amount(&e.Body), "Body dose"},
		field{"text", may, text{&e.Text}, "Remark"},
		field{"at", must, instant{&e.At}, "When"},
	)
}

// mostDose is above every dose that a person at a bench can have: 100 Sv.
const mostDose = 100e3 * quantity.MilliSievert

// enter refuses, in this order: an order that is not there, neither of the two
// doses, and a dose that nobody has.
func (e *Exposure) enter(f *folder, s *step) *Refusal {
	if e.For != "" {
		if err := f.knows(s, "for", e.For); err != nil {
			return err
		}
	}
	if e.Finger.IsZero() && e.Body.IsZero() {
		return s.refuse("", "exposure-empty", "write finger: or body: with what the dosimeter showed", "no dose was entered")
	}
	for _, d := range []struct {
		field string
		quantity.Stated[quantity.DoseEquivalent]
	}{{"finger", e.Finger}, {"body", e.Body}} {
		if d.Value > mostDose {
			return s.refuse(d.field, "out-of-range", "check the number and its unit", "%s is no dose of a person at a bench", d.Text)
		}
	}
	e.judged(f, s)
	return nil
}
