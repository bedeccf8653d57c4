package web

import (
	"slices"
	"strings"
	"time"

	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// closedWith are the orders whose closed record an entry belongs to.
func (st *state) closedWith(entry int) (out []string) {
	for _, p := range st.preps {
		if p.Closed && slices.Contains(p.Covers, entry) {
			out = append(out, p.Order)
		}
	}
	return out
}

// reopens makes the form of a correction one in a closed record: it takes who
// may close it and a second signature, and shows the old figures beside the new
// before anybody signs.
func (q *request) reopens(e *entryForm, orders []string) {
	e.parts[0].inputs = slices.Insert(e.parts[0].inputs, 1, input{
		name: "countersigned", label: "Second signature: id of the other person", kind: "id", must: true,
		hint: "The record is closed: the correction reopens it, and two people sign.",
	})
	e.second = &second{
		who: control(0, "countersigned"), act: people.AgreeCorrection, label: "The other person's PIN", must: true,
		mark: func(facts []journal.Fact, id string) {
			for _, f := range facts {
				if c, ok := f.(*journal.Correct); ok {
					c.Countersigned = id
				}
			}
		},
	}
	e.ask = func(st *state, facts []journal.Fact) (*doubt, error) {
		if err := mayReopen(q.who.Person); err != nil {
			return nil, err
		}
		if err := e.amend(st, facts); err != nil {
			return nil, err
		}
		after, err := q.with(st.file, facts)
		if err != nil {
			return nil, nil // the fold says what is wrong when it is recorded
		}
		text := "The record of " + strings.Join(orders, " and ") + " is closed, and this correction reopens it."
		for _, p := range beside(st, after, orders) {
			text += " " + p.Name + ": " + p.Value + "."
		}
		return &doubt{
			control: control(0, "reason"), text: text, way: "Nothing is recorded before the answer.", yes: "Yes: correct it, and reopen the record",
		}, nil
	}
}

// mayReopen refuses whoever may not close a record.
func mayReopen(p people.Person) error {
	if err := people.May(p, people.Close); err != nil {
		return &procedure.Error{Code: procedure.CodeClosed, Msg: "the record of the order is closed", Hint: "only who may close a record may correct it afterwards"}
	}
	return nil
}

// with is a case as it would be with further facts, recorded now.
func (q *request) with(f *file, facts []journal.Fact) (*state, error) {
	next := q.lab.Report().Head.Seq + 1
	records := make([]journal.Record, len(facts))
	for i, x := range facts {
		records[i] = journal.Record{N: int(next) + i, Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: x}
	}
	return q.reckon(f.With(records...), q.now)
}

// beside are the figures of orders that a correction changes, the old beside
// the new.
func beside(before, after *state, orders []string) (out []view.Pair) {
	for _, id := range orders {
		was, is, changed := figures(before, id), figures(after, id), false
		for i, p := range was {
			if p.Value != is[i].Value {
				changed = true
				out = append(out, view.Pair{Name: id + ", " + inside(p.Name), Value: p.Value + " before, " + is[i].Value + " after"})
			}
		}
		if !changed {
			out = append(out, view.Pair{Name: id, Value: "no figure of the dose changes"})
		}
	}
	return out
}

// figures are what a record says of the dose of an order.
func figures(st *state, order string) []view.Pair {
	out := []view.Pair{{Name: "Prescribed", Value: "nothing"}, {Name: "Dispensed, at infusion", Value: "not known"}, {Name: "Delivered", Value: "not known"}}
	for _, o := range st.r.Orders {
		if o.Order.ID != order {
			continue
		}
		out[0].Value = quantity.Show(o.Order.Prescribed, 0).String()
		if d := o.Dispensed; d != nil {
			out[1].Value = quantity.Show(d.Activity, d.U).String()
		}
		if d := o.Delivered; d != nil {
			out[2].Value = quantity.Show(d.Activity, d.U).String()
		}
	}
	return out
}

// reopening is what a correction changed in closed records: the old figures
// beside the new. It is empty for what reopened none.
func (q *request) reopening(r journal.Record) []view.Pair {
	c, ok := r.Fact.(*journal.Correct)
	if !ok || c.Countersigned == "" {
		return nil
	}
	f, at := q.lab.FileOf(r.N), r.Recorded
	i := slices.IndexFunc(f.Records, func(x journal.Record) bool { return x.N == r.N })
	if i < 0 {
		return nil
	}
	before, err := q.reckon(&file{Records: f.Records[:i]}, at)
	if err != nil {
		return nil
	}
	after, err := q.reckon(&file{Records: f.Records[:i+1]}, at)
	if err != nil {
		return nil
	}
	return beside(before, after, before.closedWith(c.Entry))
}

// reopened says on the bench that the record is open again, and what the
// correction changed; nothing where it is not.
func (b *bench) reopened() []view.Notice {
	n := b.prep.Reopened
	e, ok := b.file.Entry(n)
	if n == 0 || !ok {
		return nil
	}
	text := "The record was closed, and entry " + decimal(uint64(n)) + " corrected it."
	for _, p := range b.q.reopening(b.file.Records[e.Place]) {
		text += " " + p.Name + ": " + p.Value + "."
	}
	return []view.Notice{{Kind: "warn", Word: "Reopened", Text: text, Hint: "Review it, and close it again."}}
}
