package procedure

import "vialwright/people"

// Key names a step for ever.
type Key string

// The steps, in the order of the work.
const (
	Readiness   Key = "readiness"
	Receipt     Key = "receipt"
	Assay       Key = "assay"
	Draw        Key = "draw"
	Remainder   Key = "remainder"
	Adjust      Key = "adjust"
	MakeUp      Key = "make-up"
	Transfer    Key = "transfer"
	Baseline    Key = "baseline"
	SecondCheck Key = "second-check"
	Label       Key = "label"
	Release     Key = "release"
	HandOver    Key = "hand-over"
	TimeOut     Key = "time-out"
	Infusion    Key = "infusion"
	Residual    Key = "residual"
	Survey      Key = "survey"
	Close       Key = "close"
)

// row is a step of the table.
type row struct {
	key   Key
	act   people.Act
	title string
	// needs, computes and records are words for the person at the bench.
	needs, computes, records string
	// once: what is done is not done again; before: it comes before the
	// infusion, and ends with it.
	once, before bool
	// stands finds where the step stands.
	stands func(*view) standing
	// people is the rule for who may, beyond the table of acts; more refuses
	// beyond what holds for every step.
	people func(people.Person, []people.Deed) error
	more   func(Preparation) *Error
}

// table is the procedure: the steps in their order. A step is in place when
// each one before it is done or skipped.
func table() []row { return append(making(), giving()...) }

// making are the steps up to a dose that can be checked.
func making() []row {
	return []row{
		{
			Readiness, people.CheckReadiness, "Check that everything is ready",
			"the activity meters, the survey meter, the area, the consumables, the people",
			"what is missing or failed today", "check", false, true, (*view).readiness, nil, nil,
		},
		{
			Receipt, people.ReceiveVial, "Receive the vial",
			"the package and its papers: lot, labelled activity, reference time with its zone, volume, expiry",
			"the label's activity carried to now", "receive", false, true, (*view).receipt, nil, nil,
		},
		{
			Assay, people.ReadMeter, "Assay of vial",
			"vial, resuspended; an activity meter with a factor for it; a background",
			"the measured activity against the label", "read", false, true, (*view).assay, nil, nil,
		},
		{
			Draw, people.Draw, "Draw the dose",
			"assayed vial, resuspended; empty syringe",
			"the volume to draw now, and the probability within tolerance", "draw", true, true, (*view).draw, nil, held,
		},
		{
			Remainder, people.ReadMeter, "Assay of remainder",
			"vial, resuspended; the meter that measured it before",
			"the dose, as the difference of the readings", "read", false, true, (*view).remainder, nil, nil,
		},
		{
			Adjust, people.Draw, "Add, return or redraw",
			"the dose still in its syringe",
			"the volume to add or to give back", "draw or return", false, true, (*view).adjust, nil, inSyringe,
		},
		{
			MakeUp, people.MakeUp, "Make up the volume",
			"water for injection or 5 % glucose, never saline",
			"the volume to add", "make-up", false, true, (*view).makeUp, nil, inSyringe,
		},
		{
			Transfer, people.Transfer, "Transfer into the administration vial",
			"a vented administration vial",
			"what the vial holds", "transfer", true, true, (*view).transfer, nil, nil,
		},
		{
			Baseline, people.Residual, "Baseline dose rate",
			"the geometry in which the waste will be read, the survey meter, a background",
			"the dose rate that the residual is compared with", "residual", true, true, (*view).baseline, nil, nil,
		},
	}
}

// giving are the steps from the check of a dose to the end of its record.
func giving() []row {
	return []row{
		{
			SecondCheck, people.SecondCheck, "Second check, by another person",
			"a person who neither read nor drew for this dose, with their own readings and their own figure",
			"the dose by the checker's own readings, and its difference from the record", "second-check", false, true, (*view).secondCheck, people.MayCheck, nil,
		},
		{
			Label, people.PrintLabel, "Label the dose",
			"a dose that was checked",
			"the window of time in which the dose is valid", "label", false, true, (*view).label, nil, nil,
		},
		{
			Release, people.Release, "Release the dose",
			"the order signed, a second check that agrees, the label scanned, no open stop",
			"whether the dose conforms", "release", true, true, (*view).release, people.MayRelease, signed,
		},
		{
			HandOver, people.HandOver, "Hand the dose over",
			"a released dose, the label scanned, the person who takes it",
			"whether label and order agree", "hand-over", false, false, (*view).handOver, people.MayHandOver, held,
		},
		{
			TimeOut, people.TimeOut, "Time-out in the suite",
			"the team, the wristband, the authorised physician",
			"whether patient, territory and activity agree", "time-out", false, true, (*view).timeOut, nil, inWindow,
		},
		{
			Infusion, people.Infuse, "Give the dose",
			"start, stop, and why it ended",
			"the activity at the start", "infuse", true, false, (*view).infusion, nil, inHand,
		},
		{
			Residual, people.Residual, "Residual",
			"vial, tubing, catheter and swabs in the geometry of the first reading",
			"the delivered activity", "residual", true, false, (*view).residual, nil, nil,
		},
		{
			Survey, people.Survey, "Survey the area",
			"the survey meter, wipes",
			"what is above background", "survey", false, false, (*view).survey, nil, nil,
		},
		{
			Close, people.Close, "Close the record",
			"every step done; a deviation written for everything that did not go as planned",
			"what is missing", "close", true, false, (*view).closed, nil, explained,
		},
	}
}

// find gives the row of a step; that of what is no step is zero.
func find(k Key) row {
	for _, r := range table() {
		if r.key == k {
			return r
		}
	}
	return row{}
}

// Title is what the step is, in the words of a screen; empty for what is no
// step.
func (k Key) Title() string { return find(k).title }

// Act is the act that the step takes; empty for what is no step.
func (k Key) Act() people.Act { return find(k).act }
