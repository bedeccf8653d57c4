package fact

import (
	"cmp"
	"time"

	"vialwright/quantity"
)

// Order is a physician's prescription for one territory.
type Order struct {
	ID string `must:"id" id:"order" label:"Id of the order"`
	// Patient is the site's pseudonym, never a name.
	Patient string `may:"patient" label:"Identifier on the wristband"`
	// SecondID is a second identifier of the patient; OneIdentifier says why
	// there is none.
	SecondID      string `may:"second-identifier" label:"Second identifier"`
	OneIdentifier string `may:"one-identifier" label:"Why there is one identifier only"`
	// Site is the organ that is treated, Territory the part of it.
	Site      string `may:"site" label:"Treatment site"`
	Territory string `may:"territory" label:"Territory"`
	Version   string `may:"version" label:"Version of the order"`
	// Prescribed may be left out where Dosimetry says which absorbed dose is wanted:
	// the activity then follows from that.
	Prescribed quantity.Stated[quantity.Activity] `may:"prescribed" label:"Prescribed activity at infusion"`
	At         time.Time                          `must:"at" label:"Planned infusion"`
	Allowance  `may:"residual" label:"Residual to allow for"`
	By         string `may:"by" label:"Prescribed by"`
	// Intent is what the treatment is for, in the physician's words.
	Intent string `may:"intent" label:"Intent"`
	// OrStasis tells whether the order says "or at stasis". There is no default.
	OrStasis  Clause    `may:"or-at-stasis" label:"The order says \"or at stasis\""`
	NotBefore time.Time `may:"not-before" label:"Infusion not before"`
	NotAfter  time.Time `may:"not-after" label:"Infusion not after"`
	// SpheresLeast and SpheresMost bound the spheres, in millions.
	SpheresLeast Number `may:"spheres-least" per:"million" label:"Spheres, at least"`
	SpheresMost  Number `may:"spheres-most" per:"million" label:"Spheres, at most"`
	// Dosimetry is what the prescription rests on; nil where nobody wrote it.
	Dosimetry *Dosimetry `may:"dosimetry" label:"Dosimetry"`
	Confirmed string     `may:"confirmed" label:"Asked about, and confirmed"`
}

func (*Order) is() (string, time.Time) { return "order", time.Time{} }

// Allowance is the expected residual: a fraction of what is dispensed, or an
// activity; at most one of the two is given.
type Allowance struct {
	Residual         quantity.Stated[quantity.Fraction]
	ResidualActivity quantity.Stated[quantity.Activity]
}

// Receive takes a shipping vial into the books.
type Receive struct {
	Vial     string                             `must:"vial" id:"container" label:"Id of the vial"`
	Lot      string                             `must:"lot" label:"Lot"`
	Labelled quantity.Stated[quantity.Activity] `must:"labelled" label:"Labelled activity"`
	// Reference is the instant Labelled is stated for.
	Reference time.Time                        `must:"reference" label:"Reference date and time on the label"`
	Volume    quantity.Stated[quantity.Volume] `must:"volume" label:"Volume"`
	// At is when it came in, Expiry when it may no longer be used; either may
	// be zero.
	At     time.Time `may:"at" label:"Received at"`
	Expiry time.Time `may:"expiry" label:"Expiry"`
	// Pack is what the code on the pack says, as GS1 element strings with
	// brackets; empty where it was not scanned.
	Pack      string `may:"pack" label:"Code on the pack"`
	Parcel    string `may:"parcel" id:"parcel" label:"Parcel that it came in"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *Receive) is() (string, time.Time) { return "receive", x.At }

// Read is one meter reading of a container.
type Read struct {
	Of         string                             `must:"of" id:"container" label:"Container"`
	Meter      string                             `must:"meter" id:"meter" label:"Activity meter"`
	At         time.Time                          `must:"at" label:"When"`
	Gross      quantity.Stated[quantity.Activity] `must:"gross" label:"Reading, as displayed"`
	Background quantity.Stated[quantity.Activity] `must:"background" label:"Background"`
	// BackgroundU is the standard uncertainty of Background, as an activity;
	// absent, the meter's repeatability of Background.
	BackgroundU quantity.Stated[quantity.Activity] `may:"background-u" label:"Uncertainty of the background"`
	// For and Holds are for the residual of a dose outside its vial: it
	// is in the container Of, for the order For, and Holds says what is in there,
	// such as "line, catheter". Its first reading brings it into the books.
	For       string `may:"for" id:"order" label:"Residual parts of order"`
	Holds     string `may:"holds" label:"Residual parts in it"`
	By        string `may:"by" label:"Read by"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
	Sources
	SetUp
}

func (x *Read) is() (string, time.Time) { return "read", x.At }

// Draw moves suspension into a syringe for an order.
type Draw struct {
	From     string                           `must:"from" id:"container" label:"From"`
	Into     string                           `must:"into" id:"container" label:"Syringe"`
	For      string                           `must:"for" id:"order" label:"Order"`
	At       time.Time                        `must:"at" label:"When"`
	Volume   quantity.Stated[quantity.Volume] `must:"volume" label:"Volume drawn"`
	Agitated time.Time                        `may:"agitated" label:"Resuspended at"`
	// Scanned is what was scanned on the vial at the draw: its id, or the code
	// of its pack; empty where nothing was.
	Scanned string `may:"scanned" label:"Scanned on the vial"`
	// Trusted is how long after the resuspension a draw could be begun by the
	// model of package settling, OfMixed the concentration that it expected in
	// this draw, over that of the mixed suspension, and Model what both rest
	// on. They are what was on the screen; no figure of a dose rests on them.
	Trusted   quantity.Stated[quantity.Span]     `may:"trusted" label:"Settling clock: draw begun within"`
	OfMixed   quantity.Stated[quantity.Fraction] `may:"of-mixed" label:"Settling clock: expected, of mixed"`
	Model     string                             `may:"model" label:"Settling clock: model"`
	By        string                             `may:"by" label:"Drawn by"`
	Confirmed string                             `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *Draw) is() (string, time.Time) { return "draw", x.At }

// Return moves suspension back into a container already in the books.
type Return struct {
	From string    `must:"from" id:"container" label:"From"`
	Into string    `must:"into" id:"container" label:"Into"`
	At   time.Time `must:"at" label:"When"`
	// Volume is absent where everything went.
	Volume    quantity.Stated[quantity.Volume] `may:"volume" label:"Volume returned"`
	Confirmed string                           `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *Return) is() (string, time.Time) { return "return", x.At }

// MakeUp adds diluent to a container.
type MakeUp struct {
	Of        string                           `must:"of" id:"container" label:"Container"`
	At        time.Time                        `must:"at" label:"When"`
	Volume    quantity.Stated[quantity.Volume] `must:"volume" label:"Volume added"`
	Diluent   string                           `must:"diluent" label:"Diluent"`
	Lot       string                           `may:"lot" label:"Lot of the diluent"`
	Confirmed string                           `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *MakeUp) is() (string, time.Time) { return "make-up", x.At }

// Transfer moves a dose into an administration vial.
type Transfer struct {
	From string `must:"from" id:"container" label:"From"`
	Into string `must:"into" id:"container" label:"Administration vial"`
	// For is empty where the source's order is carried along.
	For string    `may:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
	// Volume is absent where everything went.
	Volume    quantity.Stated[quantity.Volume] `may:"volume" label:"Volume transferred"`
	Confirmed string                           `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *Transfer) is() (string, time.Time) { return "transfer", x.At }

// Discard moves something into a waste item.
type Discard struct {
	From string    `must:"from" id:"container" label:"From"`
	Into string    `must:"into" id:"container" label:"Waste item"`
	At   time.Time `must:"at" label:"When"`
	// Volume is absent where everything went.
	Volume quantity.Stated[quantity.Volume] `may:"volume" label:"Volume discarded"`
}

func (x *Discard) is() (string, time.Time) { return "discard", x.At }

// Reason is why an infusion ended. It is asked, never defaulted.
type Reason string

// The reasons. OtherReason needs a text.
const (
	Complete          Reason = "complete"
	Stasis            Reason = "stasis"
	EmergentCondition Reason = "emergent-condition"
	// PatientIntervention is what the patient did that ended it.
	PatientIntervention Reason = "patient-intervention"
	Blockage            Reason = "blockage"
	Leak                Reason = "leak"
	Equipment           Reason = "equipment"
	Operator            Reason = "operator"
	OtherReason         Reason = "other"
)

// OfSet tells of a reason that may lie with the delivery set.
func (r Reason) OfSet() bool { return r == Blockage || r == Leak || r == Equipment }

// Infuse is the giving of a dose.
type Infuse struct {
	For string `must:"for" id:"order" label:"Order"`
	// From is empty where the order has one administration vial, or one
	// syringe and no administration vial.
	From   string    `may:"from" id:"container" label:"From"`
	Start  time.Time `must:"start" label:"Started"`
	Stop   time.Time `may:"stop" label:"Stopped"`
	Reason Reason    `must:"reason" label:"Why it ended"`
	// Evidence is who saw what; stasis and an emergent condition rest on it.
	Evidence string `may:"evidence" label:"Who saw what"`
	PathFree Clause `may:"path-free" label:"Tap, clamp, needle and line seen to be free"`
	Treated  string `may:"treated" label:"Territory treated, if another than ordered"`
	Text     string `may:"text" label:"Remark"`
	// Catheter is the kind of catheter it was given through, in the site's
	// words; empty where not noted.
	Catheter  string `may:"catheter" label:"Kind of catheter"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
}

func (x *Infuse) is() (string, time.Time) { return "infuse", x.Start }

// Residual is the dose rate of a dose before it was given and of what stayed
// behind after, in one geometry. The two may come in two entries.
type Residual struct {
	For       string       `must:"for" id:"order" label:"Order"`
	Before    *DoseReading `may:"before" label:"Baseline"`
	After     *DoseReading `may:"after" label:"Residual"`
	Confirmed string       `may:"confirmed" label:"Asked about, and confirmed"`
}

// is gives the time of the last reading.
func (r *Residual) is() (string, time.Time) {
	return "residual", cmp.Or(r.After, r.Before, &DoseReading{}).At
}

// DoseReading is what a survey meter shows of one thing from one or several directions,
// in one family of units.
type DoseReading struct {
	At         time.Time                             `must:"at" label:"Read at"`
	Rate       []quantity.Stated[quantity.MeterRate] `must:"rate" label:"Dose rate"`
	Background quantity.Stated[quantity.MeterRate]   `must:"background" label:"Background"`
}

// Note is a remark.
type Note struct {
	Text string    `must:"text" label:"Note"`
	At   time.Time `may:"at" label:"When"`
}

func (x *Note) is() (string, time.Time) { return "note", x.At }

// Correct replaces an entry, or strikes it out. The last correction of an
// entry holds.
type Correct struct {
	// Entry is the number of the entry among the entries of its case, from 1.
	Entry  int    `must:"entry" label:"Entry"`
	Reason string `must:"reason" label:"What was wrong, and how you know"`
	// With is the entry as it should have been, of the same kind; nil where
	// the entry is struck out.
	With Fact `may:"with" label:"Corrected entry"`
	// Countersigned is who signed a correction of a closed record beside who
	// made it; empty where nobody did.
	Countersigned string `may:"countersigned" label:"Countersigned by"`
}

func (*Correct) is() (string, time.Time) { return "correct", time.Time{} }

// Reassign gives the dose that is in a container to another order. No activity
// moves: what was drawn for the one order was drawn for the other from then on,
// and what was checked, labelled and released for the one is void.
type Reassign struct {
	Container string    `must:"container" id:"container" label:"Container with the dose"`
	From      string    `must:"from" id:"order" label:"From order"`
	To        string    `must:"to" id:"order" label:"To order"`
	At        time.Time `must:"at" label:"When"`
}

func (r *Reassign) is() (string, time.Time) { return "reassign", r.At }

// Destroyed stands in place of the fact of a record whose content was destroyed
// when its retention ended. The chain holds without it.
type Destroyed struct{}

func (*Destroyed) is() (string, time.Time) { return "destroyed", time.Time{} }

// SettlingTest is what a meter showed of one vial again and again, while it
// settled in the well. It moves nothing and enters no book: from it the bench
// says for how long a reading of such a vial can be taken as it stands.
type SettlingTest struct {
	Of         string                             `must:"of" id:"container" label:"Container"`
	Meter      string                             `must:"meter" id:"meter" label:"Activity meter"`
	At         time.Time                          `must:"at" label:"Resuspended at"`
	Background quantity.Stated[quantity.Activity] `must:"background" label:"Background"`
	Readings   []CurveReading                     `must:"readings" like:"a list of {since: 5 s, gross: 3.24 GBq}" label:"Readings"`
}

// is gives the time of the last reading.
func (x *SettlingTest) is() (string, time.Time) {
	at := x.At
	for _, r := range x.Readings {
		at = x.At.Add(r.Since.Value.Duration())
	}
	return "settling-test", at
}

// CurveReading is one of the readings: the time since the vial was resuspended, and
// what stood there, with the background in it.
type CurveReading struct {
	Since quantity.Stated[quantity.Span]     `must:"since" label:"Time since resuspension"`
	Gross quantity.Stated[quantity.Activity] `must:"gross" label:"Reading, as displayed"`
}
