package procedure

import (
	"fmt"
	"slices"

	"vialwright/dispensing"
	"vialwright/people"
)

// Permit says whether a person may do a step now. prep is the preparation as
// it stands, deeds those of its dose in the order of the record (prep.Deeds).
// It refuses, in this order:
//
//	[CodeUnknownStep]  there is no such step
//	what [people.May] refuses of the step's act
//	[CodeClosed]       the record of the order is closed
//	[CodeCancelled]    the preparation was cancelled, and the step is not close
//	[CodeGiven]        the step comes before the infusion, and the dose was given
//	what [people.MayCheck], [people.MayRelease] and [people.MayHandOver] refuse
//	                   of the steps second-check, release and hand-over
//	[CodeMismatch]     the step is second-check, transfer or release, and a second
//	                   check since the last work differs
//	[CodeNotYet]       an earlier step is neither done nor skipped; the baseline may
//	                   come before the check and the label, and so may the transfer
//	                   of a dose that nobody has ever checked
//	[CodeAlready]      the step is done, and is not done twice
//	[CodeTransferred]  the step is adjust or make-up, and the dose is no longer
//	                   in its syringe
//	[CodeUnsigned]     the step is release, and the order is not signed, or
//	                   changed after it was signed; or it is draw or adjust, and
//	                   the order changed after it was signed
//	[CodeHeld]         the step is draw, release, hand-over or time-out, and a
//	                   finding has to be lifted first; or it is transfer, adjust or
//	                   make-up, and that finding is a stop, for adjust another than
//	                   the dose it puts right
//	[CodeWindow]       the step is time-out, and it is too early for the dose
//	[CodeNotTaken]     the step is time-out or infusion, who was handed the dose
//	                   has not taken it over, and the site has not said
//	                   take-over: not-required
//	[CodeNowhere]      the step is close, and a container of the order with something
//	                   in it is neither in the waste nor kept as stock
//	[CodeNoDeviation]  the step is close, something went otherwise, and no
//	                   deviation says so
//
// An infusion that took place is recorded although an earlier step or the
// take-over is missing, once a deviation of the order says so.
func Permit(p people.Person, step Key, prep Preparation, deeds []people.Deed) error {
	r := find(step)
	if r.key == "" {
		return unknown(step)
	}
	if err := people.May(p, r.act); err != nil {
		return err
	}
	switch {
	case prep.Closed:
		return refuse(CodeClosed, "the record of order "+prep.Order+" is closed", "strike out the closing first, or write a deviation")
	case prep.Cancelled != "" && step != Close:
		return refuse(CodeCancelled, "the preparation of order "+prep.Order+" was cancelled: "+prep.Cancelled, "strike that entry out to resume it")
	case prep.Given && r.before:
		return refuse(CodeGiven, "the dose of order "+prep.Order+" was given", "correct what was entered, or write a deviation")
	}
	if r.people != nil {
		if err := r.people(p, deeds); err != nil {
			return err
		}
	}
	if err := prep.inPlace(r); err != nil {
		return err
	}
	if r.more != nil {
		if err := r.more(prep); err != nil {
			return err
		}
	}
	return nil
}

// ThirdAct is what a second check that differs asks for, in words; what is done first is
// [bothRead], which a phone has room for.
const ThirdAct = bothRead + ". A checker who made a slip strikes the check out, once. If that does not settle it, someone who may release the dose and did not prepare it decides"

const bothRead = "both read again: first the person who prepared, then the checker"

// inPlace asks that the step is the one to do, as far as the other steps go.
func (p Preparation) inPlace(r row) *Error {
	if p.mismatch && (r.key == SecondCheck || r.key == Transfer || r.key == Release) {
		return refuse(CodeMismatch, "the second check of order "+p.Order+" does not confirm the record", ThirdAct)
	}
	waived := r.key == Infusion && p.deviated
	// A dose is checked and labelled in its syringe, while it can still be put
	// right; where nobody was there to do so, after the once-only transfer. Once
	// somebody has checked it, only a check that holds lets it go on: neither a
	// further reading alone nor a check that was struck out does.
	ahead := map[Key]bool{Label: r.key == Transfer || r.key == Baseline, SecondCheck: r.key == Baseline || r.key == Transfer && !p.contested}
	for _, s := range p.Steps {
		if s.Key == r.key {
			break
		}
		if ahead[s.Key] {
			continue
		}
		if s.State != Done && s.State != Skipped && !waived {
			hint := s.Title
			if s.Why != "" {
				hint += ": " + s.Why
			}
			return refuse(CodeNotYet, fmt.Sprintf("%s comes first", s.Key), hint)
		}
	}
	if r.once && p.Step(r.key).State == Done {
		return refuse(CodeAlready, r.Title+" is done already", "correct what was entered if it is wrong")
	}
	return nil
}

// held refuses the first finding to be lifted.
func held(p Preparation) *Error {
	if len(p.Holds) == 0 {
		return nil
	}
	return p.Holds[0].refuses()
}

// refuses is the refusal of what a hold keeps back.
func (h Hold) refuses() *Error {
	hint := "put it right; or someone who may " + h.Act.Text() + " does, with a reason"
	if ByCorrection(h.Code) {
		hint = "read again; or correct the entry or strike it out, with a reason"
	}
	return refuse(CodeHeld, string(h.Code)+": "+h.Text, hint)
}

// stopped refuses what cannot be undone while a stop holds the dose.
func stopped(p Preparation) *Error { return p.stop(nil) }

// stop refuses under a stop that is none of some codes.
func (p Preparation) stop(but []dispensing.Code) *Error {
	for _, h := range p.Holds {
		if h.Severity == dispensing.Stop && !slices.Contains(but, h.Code) {
			return h.refuses()
		}
	}
	return nil
}

// adjustable refuses to add or take back what rests on a revision that nobody signed,
// or on figures that a stop speaks against; a dose outside its tolerance or its window is what it puts right. All of
// it may go back to the vial whatever stands.
func adjustable(p Preparation) *Error {
	if err := inSyringe(p); err != nil {
		return err
	}
	if why := p.Signature.Waits(); why != "" {
		return refuse(CodeUnsigned, why, signNow)
	}
	return p.stop(adjusted)
}

// inSyringe refuses what needs the dose in its syringe.
func inSyringe(p Preparation) *Error {
	if p.transferred {
		return refuse(CodeTransferred, "the dose is in "+p.Container+", no longer in its syringe", "return it and redraw, or cancel the preparation")
	}
	return nil
}

// inWindow refuses a time-out under a hold, before the dose has decayed into
// tolerance, or of one that was not taken over.
func inWindow(p Preparation) *Error {
	if err := held(p); err != nil {
		return err
	}
	if p.early {
		return refuse(CodeWindow, "the dose of order "+p.Order+" is within tolerance only from "+p.ValidFrom.Format("2006-01-02T15:04:05Z07:00"),
			"wait, or someone who may override a stop overrides "+string(OutsideWindow))
	}
	return taken(p)
}

// explained refuses to close a record that does not say what went otherwise.
func explained(p Preparation) *Error {
	beside := slices.DeleteFunc(slices.Clone(p.Untold), func(id string) bool { return !p.Given || id == p.Container })
	if len(beside) > 0 {
		return refuse(CodeNowhere, "nobody said where "+beside[0]+" is, and something is still in it", "add it to waste, or enter that it is kept in stock")
	}
	if p.owes == "" || p.deviated {
		return nil
	}
	return refuse(CodeNoDeviation, p.owes, "write a deviation for order "+p.Order+" first")
}
