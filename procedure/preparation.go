package procedure

import (
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/identity"
	"vialwright/people"
)

// State is where a step stands.
type State string

// The states. One step at most is Now or Blocked: the first in the order of
// the table that is neither Done nor Skipped.
const (
	Done    State = "done"
	Now     State = "now"
	Later   State = "later"
	Skipped State = "skipped" // it is not needed, or can no longer be done; Why says which
	Blocked State = "blocked" // something has to be put right first; Why says what
)

// Step is a step of one preparation.
type Step struct {
	Key Key
	Words
	State State
	// By is who did it, At when, by the last fact that made it done; both zero
	// while it is not done.
	By string
	At time.Time
	// Records are the kinds of entry that record it, with "or" between.
	Records string
	// Why says why it is blocked or skipped, or has to be done again; else
	// empty.
	Why string
}

// Printed is a label that was printed for the dose of an order.
type Printed struct {
	Serial identity.Serial
	// Of is the container it is for, Into the administration vial that the dose
	// goes into from there, where the label names both.
	Of, Into string
	Size     fact.Size
	// Copy counts the prints of one size for one container, from 1.
	Copy int
	// Figures are what was printed on it; nil where the record does not say.
	Figures *fact.Printed
	// Void says why it may no longer be on anything; empty while it is in
	// force.
	Void string
}

// Hold is a finding that keeps a dose from being drawn or released until
// someone lifts it.
type Hold struct {
	dispensing.Finding
	// Act is what lifting it takes: override-warning, override-stop or
	// override-limit.
	Act people.Act
}

// Preparation is where the preparation of one order stands.
type Preparation struct {
	Order string
	Steps []Step
	// Now is the index of the step that is Now or Blocked, -1 if none is left.
	Now int
	// Container holds the dose, or held it when it was given; empty before
	// the draw.
	Container string
	// Labels are those printed for the order, in the order of the record.
	Labels []Printed
	// Holds are the findings to be lifted before release, in the order of the
	// result; before the draw those that keep from drawing.
	Holds []Hold
	// Expect is what the record expects at a hand-over and a time-out.
	Expect identity.Item
	// Identifiers are all that the records of the group ever said of a patient, those
	// that a correction took away among them.
	Identifiers []string
	// Cancelled is the reason the preparation was cancelled; empty if it was
	// not.
	Cancelled string
	// StillIn is what holds the dose of a cancelled preparation that was not given; empty for
	// nothing.
	StillIn string
	// Signature is how the order stands with the authorised physician.
	Signature Signature
	// Untaken is who was named as taking the dose over and has not yet said
	// so; empty where nobody has to.
	Untaken string
	// Checks are the second checks since the last work on the dose, each beside
	// the record, in the order of the record.
	Checks []Checked
	// Reopened is the number of the correction that reopened the closed record;
	// 0 where none did, or where it was closed again.
	Reopened int
	// Covers are the numbers of the entries that belong to the record of the
	// order.
	Covers []int
	// Given tells that the dose was given, Closed that the record is closed.
	Given, Closed bool
	// ValidFrom is from when the dose may be given; zero while there is none.
	ValidFrom time.Time
	// Passed are the checks of the day that passed by the last of their kind, each as what
	// was checked, a space, and of what.
	Passed map[string]bool
	// Untold are the containers of the order with something in them of which nobody said
	// that it is kept as stock or has left.
	Untold []string
	// After is what was recorded after the dose was given.
	After Aftercare
	// Deeds are the work on the dose, its second checks, its release and its
	// custody, in the order of the record: what Permit goes by.
	Deeds []people.Deed

	// mismatch: a second check since the last work differs; contested: somebody
	// checked the dose, also where that was struck out, and no check holds. transferred: the
	// dose is in an administration vial; early: it was looked at before ValidFrom, and
	// nobody lifted that; deviated: a deviation of the order was written.
	// takeOver: the site holds no time-out before the dose was taken over.
	// slips are those who struck a check of their own out since the last work.
	mismatch, contested, transferred, early, deviated, takeOver bool
	slips                                                       []string
	// owes is what a deviation has to explain before the record is closed.
	owes string
}

// Step gives the step of a key; that of what is no step is zero.
func (p Preparation) Step(k Key) Step {
	for _, s := range p.Steps {
		if s.Key == k {
			return s
		}
	}
	return Step{}
}

// Current gives the step that is Now or Blocked; false if none is left.
func (p Preparation) Current() (Step, bool) {
	if p.Now < 0 || p.Now >= len(p.Steps) {
		return Step{}, false
	}
	return p.Steps[p.Now], true
}
