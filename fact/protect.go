package fact

import (
	"time"

	"vialwright/quantity"
)

// Contaminated is a reading of the skin of a person; several of one Event follow
// one another, each after a wash.
type Contaminated struct {
	// Event is one contamination of one part of a person.
	Event string                                  `must:"event" id:"" label:"Id of the contamination"`
	Who   string                                  `must:"who" id:"person" label:"Person"`
	Part  string                                  `must:"part" label:"Part of the body"`
	At    time.Time                               `must:"at" label:"Read at"`
	Since time.Time                               `may:"since" label:"Contaminated at, as far as is known"`
	Level quantity.Stated[quantity.Contamination] `must:"level" label:"Activity on the skin"`
	Area  quantity.Stated[quantity.Area]          `must:"area" label:"Area"`
	Ended Clause                                  `may:"ended" label:"Last reading"`
	Text  string                                  `may:"text" label:"What was done before it, such as washed"`
}

// Kind is "contaminated".
func (*Contaminated) Kind() string        { return "contaminated" }
func (c *Contaminated) moment() time.Time { return c.At }

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
	Report string `may:"report" label:"Report"`
}

// Kind is "dose-report".
func (*DoseReport) Kind() string        { return "dose-report" }
func (d *DoseReport) moment() time.Time { return d.To }

// Wears says which dosemeters a person wears from a time on.
type Wears struct {
	Who  string `must:"who" id:"person" label:"Person"`
	Worn Worn   `must:"worn" label:"Dosemeter worn"`
	// Hand is empty where it is not said: a report of either hand is one of it.
	Hand  Hand      `may:"hand" label:"Hand, for a ring or a fingertip"`
	From  time.Time `must:"from" label:"From"`
	Until time.Time `may:"until" label:"Until"`
}

// Kind is "wears".
func (*Wears) Kind() string        { return "wears" }
func (w *Wears) moment() time.Time { return w.From }

// FingerRatio is how much more the fingertip of a person gets than the ring shows.
type FingerRatio struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	Ratio Number    `must:"ratio" label:"Fingertip over ring"`
	From  time.Time `must:"from" label:"Holds from"`
	Text  string    `must:"text" label:"How it is known"`
}

// Kind is "finger-ratio".
func (*FingerRatio) Kind() string        { return "finger-ratio" }
func (r *FingerRatio) moment() time.Time { return r.From }

// Pregnancy is one that a person declared.
type Pregnancy struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	At    time.Time `must:"at" label:"Declared at"`
	Ended time.Time `may:"ended" label:"Ended, or withdrawn"`
}

// Kind is "pregnancy".
func (*Pregnancy) Kind() string        { return "pregnancy" }
func (p *Pregnancy) moment() time.Time { return p.At }

// InvestigationLevel is a dose above which the site looks into it.
type InvestigationLevel struct {
	Worn  Worn                                     `must:"worn" label:"Of which dosemeter"`
	Month quantity.Stated[quantity.DoseEquivalent] `may:"month" label:"Dose of a month"`
	Year  quantity.Stated[quantity.DoseEquivalent] `may:"year" label:"Dose of a year"`
	From  time.Time                                `must:"from" label:"Holds from"`
}

// Kind is "investigation-level".
func (*InvestigationLevel) Kind() string        { return "investigation-level" }
func (l *InvestigationLevel) moment() time.Time { return l.From }

// Training is what a person was trained in, and until when that holds.
type Training struct {
	Who   string    `must:"who" id:"person" label:"Person"`
	In    string    `must:"in" label:"Trained in"`
	At    time.Time `must:"at" label:"When"`
	Until time.Time `may:"until" label:"Holds until"`
	By    string    `may:"by" label:"Trained by"`
}

// Kind is "training".
func (*Training) Kind() string        { return "training" }
func (t *Training) moment() time.Time { return t.At }
