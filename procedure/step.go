package procedure

import (
	"cmp"
	"slices"
	"strings"

	"vialwright/people"
)

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

// Words are what a person is told about a step.
type Words struct {
	// Title is what the step is, Short the same in the list of steps.
	Title, Short string
	// Due says that the step is still to be done. Do is the sentence that says
	// what to do, with {vial} and {dose} for the containers; the title says it
	// where Do is empty.
	Due, Do string
	// Needs is what the step takes.
	Needs string
}

// Sentence says what to do, with the vial to draw from and the container of the
// dose by their names.
func (w Words) Sentence(vial, dose string) string {
	return strings.NewReplacer("{vial}", vial, "{dose}", dose).Replace(cmp.Or(w.Do, w.Title))
}

// row is a step of the table: all that is declared of it.
type row struct {
	key Key
	act people.Act
	Words
	// records are the kinds of entry that record it, with "or" between.
	records string
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
func table() []row { return slices.Concat(making(), passing(), giving()) }

// making are the steps up to a dose in its syringe.
func making() []row {
	return []row{
		{
			key: Readiness, act: people.CheckReadiness, stands: (*view).readiness, records: "check", before: true,
			Words: Words{
				Title: "Check that everything is ready", Short: "Readiness", Due: "Nothing is checked yet.",
				Needs: "the activity meters, the survey meter, the area, the consumables, the people",
			},
		},
		{
			key: Receipt, act: people.ReceiveVial, stands: (*view).receipt, records: "receive", before: true,
			Words: Words{
				Title: "Receive the vial", Short: "Receipt", Due: "No vial is received yet.",
				Needs: "the package and its papers: lot, labelled activity, reference time with its zone, volume, expiry",
			},
		},
		{
			key: Assay, act: people.ReadMeter, stands: (*view).assay, records: "read", before: true,
			Words: Words{
				Title: "Assay of vial", Short: "Assay of vial", Due: "The vial is not assayed yet.",
				Do:    "Resuspend {vial}, then read it",
				Needs: "vial, resuspended; an activity meter with a factor for it; a background",
			},
		},
		{
			key: Draw, act: people.Draw, stands: (*view).draw, records: "draw", once: true, before: true, more: drawable,
			Words: Words{
				Title: "Draw the dose", Short: "Draw", Due: "Nothing is drawn yet.",
				Needs: "assayed vial, resuspended; empty syringe",
			},
		},
		{
			key: Remainder, act: people.ReadMeter, stands: (*view).remainder, records: "read", before: true,
			Words: Words{
				Title: "Assay of remainder", Short: "Assay of remainder", Due: "The remainder is not assayed yet.",
				Do:    "Resuspend {vial}, then read it again",
				Needs: "vial, resuspended; the meter that measured it before",
			},
		},
		{
			key: Adjust, act: people.Draw, stands: (*view).adjust, records: "draw or return", before: true, more: adjustable,
			Words: Words{
				Title: "Add, return or redraw", Short: "Adjust", Due: "The dose is to be adjusted.",
				Needs: "the dose still in its syringe",
			},
		},
		{
			key: MakeUp, act: people.MakeUp, stands: (*view).makeUp, records: "make-up", before: true, more: inSyringe,
			Words: Words{
				Title: "Make up the volume", Short: "Make up", Due: "The volume is to be made up.",
				Do:    "Add diluent to {dose}",
				Needs: "water for injection or 5 % glucose, never saline",
			},
		},
	}
}

// passing are the steps from the last container of a dose to its release.
func passing() []row {
	return []row{
		{
			key: SecondCheck, act: people.SecondCheck, stands: (*view).secondCheck, records: "second-check", before: true, people: people.MayCheck,
			Words: Words{
				Title: "Second check, by another person", Short: "Second check", Due: "Nobody has checked this dose yet.",
				Needs: "a person who neither read nor drew for this dose, with their own readings and their own figure",
			},
		},
		{
			key: Label, act: people.PrintLabel, stands: (*view).label, records: "label", before: true,
			Words: Words{
				Title: "Label the dose", Short: "Label", Due: "No label is printed yet.",
				Do:    "Print the label of the dose in {dose}",
				Needs: "a dose that was checked",
			},
		},
		{
			key: Transfer, act: people.Transfer, stands: (*view).transfer, records: "transfer", once: true, before: true, more: stopped,
			Words: Words{
				Title: "Transfer into the administration vial", Short: "Transfer", Due: "This is done once: have the dose checked and labelled first.",
				Needs: "a vented administration vial",
			},
		},
		{
			key: Baseline, act: people.Residual, stands: (*view).baseline, records: "residual", once: true, before: true,
			Words: Words{
				Title: "Baseline dose rate", Short: "Baseline dose rate", Due: "No dose rate is recorded yet.",
				Do:    "Read the dose rate of {dose} before the infusion",
				Needs: "the geometry in which the waste will be read, the survey meter, a background",
			},
		},
		{
			key: Release, act: people.Release, stands: (*view).release, records: "release", once: true, before: true, people: people.MayRelease, more: signed,
			Words: Words{
				Title: "Release the dose", Short: "Release", Due: "The dose is not released yet.",
				Needs: "the order signed, a second check that agrees, the label scanned, no open stop",
			},
		},
	}
}

// giving are the steps from the hand-over to the end of the record.
func giving() []row {
	return []row{
		{
			key: HandOver, act: people.HandOver, stands: (*view).handOver, records: "hand-over", people: people.MayHandOver, more: held,
			Words: Words{
				Title: "Hand the dose over", Short: "Hand-over", Due: "The dose is not handed over yet.",
				Do:    "Scan the label, and hand the dose over",
				Needs: "a released dose, the label scanned, the person who takes it",
			},
		},
		{
			key: TimeOut, act: people.TimeOut, stands: (*view).timeOut, records: "time-out", before: true, more: inWindow,
			Words: Words{
				Title: "Time-out in the suite", Short: "Time-out", Due: "The time-out is not held yet.",
				Do:    "Hold the time-out with the whole team",
				Needs: "the team, the wristband, the authorised physician",
			},
		},
		{
			key: Infusion, act: people.Infuse, stands: (*view).infusion, records: "infuse", once: true, more: inHand,
			Words: Words{
				Title: "Give the dose", Short: "Infusion", Due: "The infusion is not recorded yet.",
				Do:    "Give the dose: note start and stop",
				Needs: "start, stop, and why it ended",
			},
		},
		{
			key: Residual, act: people.Residual, stands: (*view).residual, records: "residual or read", once: true,
			Words: Words{
				Title: "Residual", Short: "Residual", Due: "The residual is not read yet.",
				Do:    "Read the residual after the infusion",
				Needs: "vial, tubing, catheter and swabs in the geometry of the first reading",
			},
		},
		{
			key: Survey, act: people.Survey, stands: (*view).survey, records: "survey",
			Words: Words{
				Title: "Survey the area", Short: "Survey", Due: "No survey is recorded yet.",
				Needs: "the survey meter, wipes",
			},
		},
		{
			key: Close, act: people.Close, stands: (*view).closed, records: "close", once: true, more: explained,
			Words: Words{
				Title: "Close the record", Short: "Close record", Due: "The record is not closed yet.",
				Do:    "Review the record, and close it",
				Needs: "every step done; a deviation written for everything that did not go as planned",
			},
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
func (k Key) Title() string { return find(k).Title }

// Act is the act that the step takes; empty for what is no step.
func (k Key) Act() people.Act { return find(k).act }
