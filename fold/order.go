package fold

import (
	"cmp"
	"fmt"
	"time"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/quantity"
)

// order is an order with what the case says of its giving.
type order struct {
	dispensing.Order
	// before and after are the halves of its residual, infused the infusion,
	// each with the step it comes from; nil where there is none yet.
	before, after         *fact.DoseReading
	beforeStep, afterStep *step
	infused               *step
	// holders are the containers that serve it, in the order they came to.
	holders []string
	// from is where it was given from.
	from string
	// parts are the steps that read the residual outside the vial.
	parts []*step
}

// gather takes the orders, and finds for each its infusion and the halves of
// its residual.
func (f *folder) gather(steps []step) *fact.Refusal {
	for i := range steps {
		if _, ok := steps[i].fact.(*fact.SignOrder); ok {
			f.signatures = append(f.signatures, &steps[i])
		}
	}
	for i := range steps {
		var err *fact.Refusal
		switch x := steps[i].fact.(type) {
		case *fact.Order:
			err = f.order(&steps[i], x)
		case *fact.Experience:
			err = takeOver(x, f, &steps[i])
		}
		if err != nil {
			return err
		}
	}
	for i := range steps {
		var err *fact.Refusal
		switch x := steps[i].fact.(type) {
		case *fact.Infuse:
			err = f.infusion(&steps[i], x)
		case *fact.Residual:
			err = f.halves(&steps[i], x)
		case *fact.Read:
			err = f.partsRead(&steps[i], x)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (f *folder) order(s *step, x *fact.Order) *fact.Refusal {
	switch {
	case f.orders[x.ID] != nil:
		return s.refuse("id", "duplicate-id", "give it another id, or correct the first order",
			"there is an order %s already, entry %d", x.ID, f.orders[x.ID].Entry)
	case x.SecondID != "" && x.OneIdentifier != "":
		return s.refuse("one-identifier", "inconsistent", "leave it out", "the order has a second identifier, and says why it has none")
	case x.SecondID != "" && x.SecondID == x.Patient:
		return s.refuse("second-identifier", "inconsistent", "write another one, or why there is one only", "the second identifier is the first one again")
	case !x.NotAfter.IsZero() && x.NotAfter.Before(x.NotBefore):
		return s.refuse("not-after", "out-of-range", "check both times", "the infusion may be no later than it may begin")
	}
	rests, err := f.dosimetry(s, x)
	if err != nil {
		return err
	}
	prescribed, from, err := s.prescribed(x, rests)
	if err != nil {
		return err
	}
	if x.Residual.Value >= 1 || x.ResidualActivity.Value >= prescribed.Value {
		return s.refuse("residual", "out-of-range", "write the expected residual, such as 40 MBq or 2 %",
			"a residual of %s%s leaves nothing to give", x.Residual.Text, x.ResidualActivity.Text)
	}
	rules := f.policyOf(f.signed(s, x)).Rules
	o := &order{Order: dispensing.Order{
		Entry: s.entry, ID: x.ID, Prescribed: prescribed.Value, Written: prescribed.Text, FromDose: from, At: x.At, Residual: x.Residual.Value,
		ResidualActivity: x.ResidualActivity.Value, Site: x.Site, Territory: x.Territory, Version: x.Version, Rules: &rules,
		NotBefore: x.NotBefore, NotAfter: x.NotAfter, Dosimetry: rests, OrStasis: saysOf(x.OrStasis),
		Patient: x.Patient, OneIdentifier: x.Patient != "" && x.SecondID+x.OneIdentifier == "",
	}}
	f.orders[x.ID] = o
	f.listed = append(f.listed, o)
	f.out.Orders = append(f.out.Orders, o.Order)
	return nil
}

// elsewhere takes the orders that other groups of the site have of the same patients.
func (f *folder) elsewhere(records []journal.Record) *fact.Refusal {
	steps, err := inForce(records)
	cancelled := map[string]bool{}
	for i := range steps {
		if x, ok := steps[i].fact.(*fact.Cancel); ok {
			cancelled[x.For] = true
		}
	}
	for i := range steps {
		s := &steps[i]
		x, ok := s.fact.(*fact.Order)
		if !ok || err != nil {
			continue
		}
		o := dispensing.Order{Entry: s.entry, ID: x.ID, At: x.At, Patient: x.Patient, Cancelled: cancelled[x.ID]}
		o.Dosimetry, err = f.dosimetry(s, x)
		f.out.Elsewhere = append(f.out.Elsewhere, o)
	}
	return err
}

// prescribed is the activity of an order: the one it states, or the one that
// follows from its absorbed dose, to three figures, with a sentence that says from
// what. What follows is signed with the order, which package procedure holds.
func (s *step) prescribed(x *fact.Order, rests *dose.Order) (a quantity.Stated[quantity.Activity], from string, bad *fact.Refusal) {
	a = x.Prescribed
	if a.IsZero() && rests != nil && !rests.Dose.IsZero() {
		r, err := dose.Check(*rests)
		if err == nil {
			a, err = quantity.Parse[quantity.Activity](quantity.FormatDigits(r.ForDose, 3, "GBq"))
		}
		if err != nil {
			return a, "", s.refuse("dosimetry.absorbed-dose", "out-of-range", "check the dose, the masses and their units", "no activity follows from %s", rests.Dose.Text)
		}
		from = fmt.Sprintf("%s to the %s by the %s method", rests.Dose.Text, rests.To, rests.Method)
	}
	if a.Value <= 0 {
		return a, "", s.refuse("prescribed", "prescribed-zero", "write the prescribed activity, or in dosimetry the absorbed dose with its volume and method", "nothing is prescribed")
	}
	return a, from, s.activity("prescribed", a, leastDose)
}

// signed is the step that puts an order in force: the signature of its version,
// or else the order itself.
func (f *folder) signed(s *step, x *fact.Order) *step {
	for _, sign := range f.signatures {
		if y, _ := sign.fact.(*fact.SignOrder); y.For == x.ID && y.Version == x.Version && sign.place > s.place {
			return sign
		}
	}
	return s
}

// knows asks that there is an order.
func (f *folder) knows(s *step, field, id string) *fact.Refusal {
	if f.orders[id] != nil {
		return nil
	}
	ids := make([]string, len(f.listed))
	for i, o := range f.listed {
		ids[i] = o.ID
	}
	hint := "enter the order"
	if len(ids) > 0 {
		hint = fact.Nearest(id, ids)
	}
	return s.refuse(field, "unknown-order", hint, "no order is called %s", id)
}

// knowsAny is knows for what may be of no order.
func (f *folder) knowsAny(s *step, id string) *fact.Refusal {
	if id == "" {
		return nil
	}
	return f.knows(s, "for", id)
}

// infusion takes what is said of the giving of a dose.
func (f *folder) infusion(s *step, x *fact.Infuse) *fact.Refusal {
	if err := f.knows(s, "for", x.For); err != nil {
		return err
	}
	o := f.orders[x.For]
	switch {
	case o.infused != nil:
		return s.refuse("for", "infused-twice", "correct the first infusion, or give this territory an order of its own",
			"order %s was infused in entry %d already", x.For, o.infused.entry)
	case !x.Stop.IsZero() && Later(x.Start, x.Stop):
		return s.refuse("stop", "stop-before-start", "check both times and their dates", "the infusion stops before it starts")
	case x.Reason == fact.OtherReason && x.Text == "":
		return s.refuse("text", "reason-without-text", "write text: and why it ended", "the reason other needs a text")
	}
	o.infused = s
	return nil
}

// halves takes the readings of a residual.
func (f *folder) halves(s *step, x *fact.Residual) *fact.Refusal {
	if err := f.knows(s, "for", x.For); err != nil {
		return err
	}
	o := f.orders[x.For]
	const hint = "correct the first one"
	switch {
	case x.Before == nil && x.After == nil:
		return s.refuse("", "residual-empty", "write before: or after: with the reading", "the residual has neither a reading before nor one after")
	case x.Before != nil && o.before != nil:
		return s.refuse("before", "residual-twice", hint, "order %s has a reading before in entry %d already", x.For, o.beforeStep.entry)
	case x.After != nil && o.after != nil:
		return s.refuse("after", "residual-twice", hint, "order %s has a reading after in entry %d already", x.For, o.afterStep.entry)
	}
	if err := cmp.Or(s.rates("before", x.Before), s.rates("after", x.After)); err != nil {
		return err
	}
	if x.Before != nil {
		o.before, o.beforeStep = x.Before, s
	}
	if x.After != nil {
		o.after, o.afterStep = x.After, s
	}
	return nil
}

// partsRead takes a reading of residual parts.
func (f *folder) partsRead(s *step, x *fact.Read) *fact.Refusal {
	switch {
	case x.For == "" && x.Holds == "":
		return nil
	case x.For == "" || x.Holds == "":
		return s.refuse("", "parts-incomplete", "write for: with the order, and holds: with what is in the container, such as line, catheter",
			"residual parts need both the order and what is in the container")
	}
	if err := f.knows(s, "for", x.For); err != nil {
		return err
	}
	f.orders[x.For].parts = append(f.orders[x.For].parts, s)
	return nil
}

// setApart opens the containers of the residual parts of a dose, as it is given:
// what is in them left its container and did not reach the patient.
func (f *folder) setApart(o *order, from string, at time.Time) *fact.Refusal {
	for _, s := range o.parts {
		x, _ := s.fact.(*fact.Read)
		f.out.Parts = append(f.out.Parts, dispensing.Part{Entry: s.entry, Of: x.Of, For: o.ID, Holds: x.Holds})
		if f.orders[x.Of] != nil {
			return s.refuse("of", "duplicate-id", "give the container another id", "%s is the id of an order", x.Of)
		}
		if c, known := f.out.Book.Container(x.Of); known {
			if c.Kind != ledger.ResidualParts || f.out.Serves[x.Of] != o.ID {
				return s.refuse("of", "wrong-container", "check the id, or leave for: and holds: out", "%s does not hold residual parts of order %s", x.Of, o.ID)
			}
			continue
		}
		if err := f.out.Book.Open(ledger.Container{ID: x.Of, Kind: ledger.ResidualParts}, at); err != nil {
			return f.fromBook(s, err, "id", "of")
		}
		if err := f.out.Book.Move(ledger.Movement{Entry: s.entry, From: from, To: x.Of, At: at}); err != nil {
			return f.fromBook(s, err, "into", "of", "from", "for")
		}
		f.out.Serves[x.Of] = o.ID
	}
	return nil
}

// residuals puts the residuals in the case, whole or half.
func (f *folder) residuals() {
	for _, o := range f.listed {
		r := dispensing.Residual{For: o.ID, From: o.from}
		if o.before != nil {
			r.Entry, r.Before = o.beforeStep.entry, doseReading(o.before)
			r.Before.Entry = r.Entry
		}
		if o.after != nil {
			r.Entry, r.After = o.afterStep.entry, doseReading(o.after)
			r.After.Entry = r.Entry
		}
		if r.Entry > 0 {
			f.out.Residuals = append(f.out.Residuals, r)
		}
	}
}

func doseReading(d *fact.DoseReading) dispensing.DoseReading {
	return dispensing.Rates(d.At, d.Rate, d.Background)
}
