package web

import (
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
)

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
		mark: func(facts []fact.Fact, id string) {
			for _, f := range facts {
				if c, ok := f.(*fact.Correct); ok {
					c.Countersigned = id
				}
			}
		},
	}
	e.ask = func(st *state, facts []fact.Fact) (*doubt, error) {
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
func (q *request) with(f *file, facts []fact.Fact) (*state, error) {
	next := q.lab.Report().Head.Seq + 1
	records := make([]journal.Record, len(facts))
	for i, x := range facts {
		records[i] = journal.Record{N: int(next) + i, Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: x}
	}
	return q.reckon(f.With(records...), q.now)
}
