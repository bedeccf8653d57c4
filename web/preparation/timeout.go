package preparation

import (
	"cmp"
	"net/http"
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

func (b *bench) timeOutPage() error { return b.timeOutShow(http.StatusOK, nil) }

func (b *bench) timeOutDo() error {
	e := b.Step(procedure.TimeOut)
	permit := e.Permit
	e.Permit = func(now *kit.State, facts []fact.Fact) error {
		if err := permit(now, facts); err != nil {
			return err
		}
		return b.mayTimeOut(now, facts)
	}
	return b.enter(e, (*bench).timeOutShow)
}

// mayTimeOut asks who is present, and that what was read out is what the
// record expects.
func (b *bench) mayTimeOut(now *kit.State, facts []fact.Fact) error {
	x, ok := books.BenchOf(b.Q, now, b.Order.ID)
	if !ok {
		return nil
	}
	for _, t := range fact.Of[*fact.TimeOut](facts) {
		other, found, err := b.Q.Account(t.With)
		switch {
		case err != nil:
			return err
		case !found:
			return &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no account " + t.With, Hint: "give the id of the physician who takes part"}
		}
		if err := people.MayTimeOut([]people.Person{b.Q.Who.Person, other.Person}); err != nil {
			return err
		}
		if err := procedure.ReadOut(t, x.Prep, x.Result); err != nil {
			return err
		}
	}
	return nil
}

// timeOutShow is the page of the time-out, made for a phone in the suite.
func (b *bench) timeOutShow(status int, sent *view.Form) error {
	q := b.Q
	p, step := b.page(procedure.TimeOut), b.Prep.Step(procedure.TimeOut)
	p.Title, p.Here = "Time-out, "+b.Order.ID, b.Href()+"/time-out"
	if sent == nil && step.State == procedure.Done {
		p.Outcome, p.Main = b.heldOut(), []view.Link{{Text: "What is next", Href: b.Href(), Main: true}}
		b.judge(&p, step, append([]view.Notice{{Kind: "done", Word: "Recorded", Text: "The time-out was held by " + step.By + ", " + b.OnDay(step.At) + ". Patient, territory and activity agree."}}, b.ofTheSet()...))
		return q.Show(status, pages, p)
	}
	// What is read out from the wristband and the label does not stand here.
	p.Band.Patient, p.Band.Says, p.Band.Dose, p.Band.DoseSays, p.Facts = "Order "+b.Order.ID, "", "", "", nil
	says := []view.Notice{{Kind: "note", Word: "Aloud", Text: "Scan the wristband. Read territory and activity out from the label and from the order; everyone stops and listens."}}
	for _, f := range b.Result.Findings {
		if (f.Severity == dispensing.Stop || f.Code == dispensing.LabelDrift) && b.Result.Concerns(f, b.Order.ID) {
			says = append(says, books.FindingNotice(f))
		}
	}
	says = append(says, b.untaken()...)
	err := b.MayStep(procedure.TimeOut)
	switch {
	case sent != nil:
		p.Form, sent.Quiet = sent, true
	case err != nil:
		says = append(says, kit.PlainNotice(err))
	default:
		f := q.FormOf(b.Step(procedure.TimeOut), b.File.Taken, nil, nil)
		f.Quiet = true
		p.Form = &f
	}
	b.judge(&p, step, says)
	return q.Show(status, pages, p)
}

// heldOut is what the last time-out read out.
func (b *bench) heldOut() []view.Pair {
	for _, e := range slices.Backward(b.File.Entries()) {
		if x, ok := e.Fact.(*fact.TimeOut); ok && x.For == b.Order.ID {
			return []view.Pair{{Name: "Patient", Value: x.Patient}, {Name: "Second identifier", Value: cmp.Or(x.SecondID, "none stated")}, {Name: "Territory", Value: x.Territory}, {Name: "Activity read out", Value: x.Activity.Text}, {Name: "With", Value: x.With}}
		}
	}
	return nil
}

// ofTheSet are the warnings about the delivery set, for who is about to give the dose.
func (b *bench) ofTheSet() (out []view.Notice) {
	for _, f := range b.Result.Findings {
		if (f.Code == dispensing.SetLot || f.Code == dispensing.PartOutsideSet) && f.Order == b.Order.ID {
			out = append(out, books.FindingNotice(f))
		}
	}
	return out
}
