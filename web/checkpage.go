package web

import (
	"net/http"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

func checkPage(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	return b.checkShow(http.StatusOK, nil)
}

func checkDo(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	return q.enter(b.stepForm(procedure.SecondCheck), b.state, func(status int, f view.Form) error {
		x, err := q.theBench()
		if err != nil {
			return err
		}
		return x.checkShow(status, &f)
	})
}

// checkShow is the page of the second check. It shows what was ordered and
// which containers there are, and no figure that anybody has found.
func (b *bench) checkShow(status int, sent *view.Form) error {
	q := b.q
	p := view.FormPage{
		Page: q.page("Second check, " + b.order.ID), Heading: "Second check of " + b.order.ID, Back: view.Link{Text: "Bench of " + b.order.ID, Href: b.href()},
		Intro: "Read it yourself, and work the dose out yourself. The first figure is not shown before yours is recorded.",
		Facts: b.orderFacts(), Wide: true, Clock: b.settling(procedure.SecondCheck),
	}
	p.Live = "/events?case=" + b.file.Name
	p.Facts = append(p.Facts, view.Pair{Name: "Half-life", Value: quantity.FormatDigits(b.r.HalfLife, 6, "h")})
	for _, d := range b.c.Draws {
		if d.For == b.order.ID {
			p.Facts = append(p.Facts, view.Pair{Name: "Drawn from " + d.From + " into " + d.Into, Value: b.zone.clock(d.At)})
		}
	}
	if v := b.verified(); v != nil {
		n := b.compared(v)
		p.Cautions = append(p.Cautions, n)
	}
	err := b.mayStep(procedure.SecondCheck)
	switch {
	case sent != nil:
		p.Form = sent
	case err != nil:
		p.Cautions = append(p.Cautions, plainNotice(discreet(err, q.blind(b.state, b.order.ID))))
	default:
		f := q.form(b.stepForm(procedure.SecondCheck), b.file.Last(), nil, nil)
		f.Quiet = true
		p.Form = &f
	}
	return q.show(status, p)
}

// verified is the last second check that this person recorded, unless it was
// followed by work.
func (b *bench) verified() *journal.Verification {
	for i := len(b.file.Records) - 1; i >= 0; i-- {
		r := b.file.Records[i]
		if v, ok := r.Fact.(*journal.Verification); ok && v.For == b.order.ID {
			if r.By == b.q.who.ID {
				return v
			}
			return nil
		}
	}
	return nil
}

// compared says whether the two figures agree, once both are recorded.
func (b *bench) compared(v *journal.Verification) view.Notice {
	own := quantity.Both(v.Activity.Value, 0)
	if b.out.Dispensed == nil {
		return view.Notice{Kind: "note", Word: "Recorded", Text: "Your figure is " + own + "."}
	}
	if procedure.Compare(v, b.r).Agree {
		return view.Notice{Kind: "done", Word: "Agrees", Text: "Your figure is " + own + "; it agrees with the first."}
	}
	return view.Notice{Kind: "stop", Word: "Differs", Text: "Your figure is " + own + "; it does not agree with the first.", Hint: "One of you reads once more, or corrects what is wrong; then it is checked again."}
}

func timeoutPage(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	return b.timeoutShow(http.StatusOK, nil)
}

func timeoutDo(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	e := b.stepForm(procedure.TimeOut)
	permit := e.permit
	e.permit = func(now *state, facts []journal.Fact) error {
		if err := permit(now, facts); err != nil {
			return err
		}
		return q.mayTimeOut(now, b.order.ID, facts)
	}
	return q.enter(e, b.state, func(status int, f view.Form) error {
		x, err := q.theBench()
		if err != nil {
			return err
		}
		return x.timeoutShow(status, &f)
	})
}

// mayTimeOut asks who is present, and that what was read out is what the
// record expects.
func (q *request) mayTimeOut(now *state, order string, facts []journal.Fact) error {
	b, ok := q.bench(now, order)
	if !ok {
		return nil
	}
	for _, f := range facts {
		t, ok := f.(*journal.Timeout)
		if !ok {
			continue
		}
		other, found, err := q.account(t.With)
		switch {
		case err != nil:
			return err
		case !found:
			return &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no account " + t.With, Hint: "give the id of the physician who takes part"}
		}
		if err := people.MayTimeOut([]people.Person{q.who.Person, other.Person}); err != nil {
			return err
		}
		if err := procedure.ReadOut(t, b.prep, b.r); err != nil {
			return err
		}
	}
	return nil
}

// timeoutShow is the page of the time-out, made for a phone in the suite.
func (b *bench) timeoutShow(status int, sent *view.Form) error {
	q := b.q
	p := view.FormPage{
		Page: q.page("Time-out, " + b.order.ID), Heading: "Time-out for " + b.order.ID, Back: view.Link{Text: "Bench of " + b.order.ID, Href: b.href()},
		Intro: "Scan the wristband. Read territory and activity out from the label and from the order; everyone stops and listens.",
	}
	p.Live = "/events?case=" + b.file.Name
	for _, f := range b.r.Findings {
		if (f.Severity == dispensing.Stop || f.Code == dispensing.LabelDrift) && b.r.Concerns(f, b.order.ID) {
			p.Cautions = append(p.Cautions, findingNotice(f))
		}
	}
	p.Cautions = append(p.Cautions, b.untaken()...)
	err := b.mayStep(procedure.TimeOut)
	switch {
	case sent != nil:
		p.Form = sent
	case err != nil:
		p.Cautions = append(p.Cautions, plainNotice(err))
	default:
		f := q.form(b.stepForm(procedure.TimeOut), b.file.Last(), nil, nil)
		f.Quiet = true
		p.Form = &f
	}
	return q.show(status, p)
}
