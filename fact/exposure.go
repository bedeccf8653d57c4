package fact

import (
	"time"

	"vialwright/quantity"
)

// Exposure is what the dosimeters of a person showed for a piece of work.
type Exposure struct {
	// Who is the person, by the id of the account if there is one.
	Who string `must:"who" label:"Person"`
	For string `may:"for" id:"order" label:"Order"`
	// Finger is the dose equivalent of the skin at the hand that had most,
	// Body that of the whole body.
	Finger quantity.Stated[quantity.DoseEquivalent] `may:"finger" label:"Finger dose"`
	Body   quantity.Stated[quantity.DoseEquivalent] `may:"body" label:"Body dose"`
	Text   string                                   `may:"text" label:"Remark"`
	At     time.Time                                `must:"at" label:"When"`
}

func (e *Exposure) is() (string, time.Time) { return "exposure", e.At }
