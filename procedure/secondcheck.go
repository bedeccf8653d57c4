package procedure

import (
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
)

// Checked is a second check of a dose beside the record.
type Checked struct {
	// Entry is the number of its entry, By who made it, At when.
	Entry int
	By    string
	At    time.Time
	dispensing.CheckResult
}

// compared sets a second check beside the record as it is now.
func (v *view) compared(e entry) Checked {
	out := Checked{Entry: e.n, By: e.by, At: e.when()}
	i := slices.IndexFunc(v.r.Checks, func(c dispensing.CheckResult) bool { return c.Entry == e.n })
	if i < 0 {
		out.Why = "nothing could be reckoned"
		return out
	}
	out.CheckResult = v.r.Checks[i]
	return out
}

// standing are the second checks of the order since the last work, each beside
// the record, in the order of the record.
func (v *view) standing() []Checked {
	var out []Checked
	for _, e := range v.checks(v.lastWork, len(v.records)) {
		out = append(out, v.compared(e))
	}
	return out
}

// slips are those who struck a check of their own out since the last work.
func (v *view) slips() []string {
	var out []string
	for _, c := range v.corrections {
		x, ok := c.was.(*fact.SecondCheck)
		if ok && x.For == v.order.ID && c.place > v.lastWork && slices.Contains(c.whose, c.by) {
			out = append(out, c.by)
		}
	}
	return out
}

// Checkable says whether what a checker is about to record can be a second
// check at all. It compares nothing with the first figure, so that a refusal
// tells nothing of it. It refuses, in this order:
//
//	[CodeNotCompared]  the reading does not tell the dose, or the site asks for
//	                   the remainder of the vial to be read
//	[CodeWorking]      the figure worked out is more than 1 % from what the
//	                   same readings give
func Checkable(c dispensing.CheckResult) error {
	switch {
	case c.Why != "":
		return refuse(CodeNotCompared, c.Why, "read the remainder of the vial; where more was drawn from it since, read the container with the dose")
	case !c.Allowed:
		return refuse(CodeNotCompared, "this site's second check reads the remainder of the vial, not "+c.Of, "read the vial that the dose was drawn from")
	case !c.Worked():
		return refuse(CodeWorking, "your figure is more than 1 % from what your own readings give", "check the reading and its unit, the factor, the decay and the time; then work it out again")
	}
	return nil
}

// MayStrikeCheck says whether a person may strike a second check out. A check
// that differs is a finding on the work, so that nobody whose work it is takes
// it away: its maker does, once between two acts of work, for a slip of their
// own; or else one who may release a dose and had no hand in this one. It
// refuses, in this order:
//
//	what [people.MayCorrect] refuses its maker
//	[CodeSlipTwice]  its maker struck one of their own out before, and nothing
//	                 was read or corrected since
//	what [people.MayStrikeCheck] refuses of another
func MayStrikeCheck(p people.Person, prep Preparation, maker, reason string) error {
	if p.ID != maker {
		return people.MayStrikeCheck(p, reason, prep.Deeds)
	}
	if err := people.MayCorrect(p, people.SecondCheck, reason); err != nil {
		return err
	}
	if slices.Contains(prep.slips, p.ID) {
		return refuse(CodeSlipTwice, p.Name+" has already struck out a check of this dose once", "both read again: the person who prepared reads once more, then it is checked again; or someone who may release the dose decides")
	}
	return nil
}
