package fact

import (
	"time"

	"vialwright/quantity"
)

// Contaminated is a reading of the skin of a person; several of one Event follow
// one another, each after a wash.
type Contaminated struct {
	// Event is one contamination of one part of a person.
	Event     string                                  `must:"event" id:"" label:"Id of the contamination"`
	Who       string                                  `must:"who" id:"person" label:"Person"`
	Part      string                                  `must:"part" label:"Part of the body"`
	At        time.Time                               `must:"at" label:"Read at"`
	Since     time.Time                               `may:"since" label:"Contaminated at, as far as is known"`
	Level     quantity.Stated[quantity.Contamination] `must:"level" label:"Activity on the skin"`
	Area      quantity.Stated[quantity.Area]          `must:"area" label:"Area"`
	Ended     Clause                                  `may:"ended" label:"Last reading"`
	Text      string                                  `may:"text" label:"What was done before it, such as washed"`
	Confirmed string                                  `may:"confirmed" label:"Asked about, and confirmed"`
}

func (c *Contaminated) is() (string, time.Time) { return "contaminated", c.At }

// Worn is where a dosemeter is worn.
type Worn string

// Where it is worn.
const (
	WornBody  Worn = "body"
	WornRing  Worn = "ring"
	WornTip   Worn = "fingertip"
	WornLens  Worn = "lens"
	WornFetus Worn = "fetus"
)

// Hand is the hand on which a ring or a fingertip dosemeter is worn.
type Hand string

// The hands.
const (
	LeftHand  Hand = "left"
	RightHand Hand = "right"
)

// Hands are both.
var Hands = []Hand{LeftHand, RightHand}

// DoseReport is a line of the report of a dosimetry service.
type DoseReport struct {
	Who       string `must:"who" id:"person" label:"Person"`
	Dosemeter string `must:"dosemeter" id:"" label:"Dosemeter"`
	Worn      Worn   `must:"worn" label:"Worn"`
	// Hand is empty where it is not known: the dose then counts on either hand.
	Hand Hand                                     `may:"hand" label:"Hand, for a ring or a fingertip"`
	From time.Time                                `must:"from" label:"Worn from"`
	To   time.Time                                `must:"to" label:"Worn until"`
	Dose quantity.Stated[quantity.DoseEquivalent] `must:"measured" label:"Dose"`
	// Report names where it stands.
	Report    string `may:"report" label:"Report"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
}

func (d *DoseReport) is() (string, time.Time) { return "dose-report", d.To }

// Wears says which dosemeters a person wears from a time on.
type Wears struct {
	Who  string `must:"who" id:"person" label:"Person"`
	Worn Worn   `must:"worn" label:"Dosemeter worn"`
	// Hand is empty where it is not said: a report of either hand is one of it.
	Hand  Hand      `may:"hand" label:"Hand, for a ring or a fingertip"`
	From  time.Time `must:"from" label:"From"`
	Until time.Time `may:"until" label:"Until"`
}

func (w *Wears) is() (string, time.Time) { return "wears", w.From }

// FingerRatio is how much more the fingertip of a person gets than the ring shows.
type FingerRatio struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	Ratio Number    `must:"ratio" label:"Fingertip over ring"`
	From  time.Time `must:"from" label:"Holds from"`
	Text  string    `must:"text" label:"How it is known"`
}

func (r *FingerRatio) is() (string, time.Time) { return "finger-ratio", r.From }

// Pregnancy is one that a person declared.
type Pregnancy struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	At    time.Time `must:"at" label:"Declared at"`
	Ended time.Time `may:"ended" label:"Ended, or withdrawn"`
}

func (p *Pregnancy) is() (string, time.Time) { return "pregnancy", p.At }

// InvestigationLevel is a dose above which the site looks into it.
type InvestigationLevel struct {
	Worn  Worn                                     `must:"worn" label:"Of which dosemeter"`
	Month quantity.Stated[quantity.DoseEquivalent] `may:"month" label:"Dose of a month"`
	Year  quantity.Stated[quantity.DoseEquivalent] `may:"year" label:"Dose of a year"`
	From  time.Time                                `must:"from" label:"Holds from"`
}

func (l *InvestigationLevel) is() (string, time.Time) { return "investigation-level", l.From }

// Training is what a person was trained in, and until when that holds.
type Training struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	In    string    `must:"in" label:"Trained in"`
	At    time.Time `must:"at" label:"When"`
	Until time.Time `may:"until" label:"Holds until"`
	By    string    `may:"by" label:"Trained by"`
}

func (t *Training) is() (string, time.Time) { return "training", t.At }

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
