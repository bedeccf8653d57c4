package procedure

import (
	"time"

	"vialwright/fact"
	"vialwright/people"
)

// Aftercare is what was recorded of an order after its dose was given.
type Aftercare struct {
	// Completion is the last completion of the order, By who signed it; nil where
	// nobody did.
	Completion *fact.CompleteOrder
	By         string
	// Changed tells that what was delivered, or why it ended, is another since.
	Changed bool
	// Ended is when the procedure ended, LeftRecovery when the patient left
	// recovery; zero where not recorded.
	Ended, LeftRecovery time.Time
	// Confirmed tells that patient, route and territory were read out in a time-out that
	// held when the dose was given.
	Confirmed bool
	// Told is when somebody was told of an event, by who it was.
	Told map[fact.ReportOf]time.Time
	// Release is the last release of the patient; nil for none.
	Release *fact.ReleasePatient
	Imaging []*fact.Imaging
}

// Completed tells that the order is completed as it stands.
func (a Aftercare) Completed() bool { return a.Completion != nil && !a.Changed }

func (v *view) aftercare() Aftercare {
	out := Aftercare{Told: map[fact.ReportOf]time.Time{}}
	for e, f := range mine[fact.Fact](v) {
		switch x := f.(type) {
		case *fact.CompleteOrder:
			out.Completion, out.By = x, e.by
		case *fact.Milestone:
			if x.What == fact.ProcedureEnded {
				out.Ended = x.At
			} else {
				out.LeftRecovery = x.At
			}
		case *fact.EventReport:
			out.Told[x.What] = x.At
		case *fact.ReleasePatient:
			out.Release = x
		case *fact.Imaging:
			out.Imaging = append(out.Imaging, x)
		}
	}
	if c := out.Completion; c != nil {
		d := v.res.Delivered
		out.Changed = d == nil || !within(d.Activity, c.Delivered.Value, ReadOutTolerance) || v.given == nil || v.given.Reason != string(c.Reason)
	}
	return out
}

// confirmed tells that a time-out held when the dose was given. A reading of what was left
// of it, made since, takes nothing from that, whatever check and label it would reopen of a
// dose that is still to be given.
func (v *view) confirmed() bool {
	e := latest(v, func(x *fact.TimeOut) bool { return x.For == v.order.ID })
	if e == nil || v.given == nil || v.given.Implied {
		return false
	}
	if x, _ := e.fact.(*fact.TimeOut); len(otherThanExpected(v.expect(nil), x)) > 0 {
		return false
	}
	was, ok := v.before(v.numbered(v.given.Entry))
	return ok && was.Step(TimeOut).State == Done
}

// identifiers are those of every patient in the records, in force or not.
func (v *view) identifiers() (out []string) {
	var of func(fact.Fact)
	of = func(f fact.Fact) {
		switch x := f.(type) {
		case *fact.Order:
			out = append(out, x.Patient, x.SecondID)
		case *fact.TimeOut:
			out = append(out, x.Patient, x.SecondID)
		case *fact.Correct:
			of(x.With)
		}
	}
	for _, r := range v.records {
		of(r.Fact)
	}
	return out
}

// MayComplete says whether a person may complete the order of a preparation. It
// refuses, in this order:
//
//	what [people.May] refuses of complete-order
//	[CodeNotYet]   the dose was not given, or its residual was not read
//	[CodeAlready]  the order is completed as it stands
func MayComplete(p people.Person, prep Preparation) error {
	if err := people.May(p, people.CompleteOrder); err != nil {
		return err
	}
	switch {
	case !prep.Given:
		return refuse(CodeNotYet, "the dose of order "+prep.Order+" was not given", "complete the order after the infusion")
	case prep.Step(Residual).State != Done:
		return refuse(CodeNotYet, "the residual of order "+prep.Order+" was not read", "read it first: what was delivered follows from it")
	case prep.After.Completed():
		return refuse(CodeAlready, "the order is completed already, by "+prep.After.By, "it is completed again when a figure or the reason has changed")
	}
	return nil
}
