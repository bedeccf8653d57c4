package web

import (
	"errors"
	"net/url"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
)

// decide asks the rules and the fold with the case as it is.
func (q *request) decide(e *entryForm, f *file, next int, facts []fact.Fact, from []int, typed url.Values) ([]journal.Record, error) {
	at, s := q.now, q.sheet()
	if e.head != nil {
		s = nil // settings are made now
	}
	if s != nil {
		var err error
		if at, err = s.moment(e.parts, facts, from, q.now); err != nil {
			return nil, err
		}
	}
	f = q.widened(f, facts)
	now, err := q.reckon(f, at)
	if err != nil {
		return nil, err
	}
	if e.amend != nil {
		if err := e.amend(now, facts); err != nil {
			return nil, err
		}
	}
	if e.permit != nil {
		if err := e.permit(now, facts); err != nil {
			return nil, err
		}
	}
	if s != nil {
		facts = append(facts[:len(facts):len(facts)], s.mark(next-1, len(facts)))
	}
	if e.also != nil {
		facts = e.also(now, facts)
	}
	records := make([]journal.Record, len(facts))
	for i, x := range facts {
		records[i] = journal.Record{Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: x, N: next + i}
	}
	after, err := q.reckon(f.With(records...), q.now)
	r, refusal := errors.AsType[*fact.Refusal](err)
	switch {
	case refusal && e.head != nil:
		return nil, placeHead(e.parts, e.typedAs, r.Path, r.Msg, r.Hint)
	case refusal:
		return nil, q.refusedAt(e.parts, from, next-1, facts, r)
	}
	if err == nil && e.after != nil {
		err = e.after(now, after)
	}
	if err == nil {
		err = q.questions(e, now, facts, from, typed) // it writes the answers into the facts, which the records hold
	}
	return records, err
}

// refusedAt puts a refusal of the fold beside its control. Where that names an
// id that is in use, it says by what, and a free one.
func (q *request) refusedAt(parts []part, from []int, before int, facts []fact.Fact, r *fact.Refusal) faults {
	n, field := entryOf(r.Path)
	if i := n - before - 1; i >= 0 && i < len(facts) {
		o, ok := fact.Opens(facts[i])
		if by, used := q.lab.Used(o.ID); ok && used && strings.HasSuffix("."+field, "."+o.Field) {
			text, way := q.usedSays(o.ID, by)
			return place(parts, from, before, r.Path, r.Code, r.Msg+"; "+text, way)
		}
	}
	return place(parts, from, before, r.Path, r.Code, r.Msg, r.Hint)
}

// used puts the refusal of an id beside the control that names it.
func (q *request) used(parts []part, from []int, facts []fact.Fact, e *replica.UsedError) faults {
	text, way := q.usedSays(e.ID, e.By)
	for i, f := range facts {
		if o, ok := fact.Opens(f); ok && o.ID == e.ID {
			path := o.Field
			if c, ok := f.(*fact.Correct); ok {
				path = "with." + c.With.Kind() + "." + path
			}
			return place(parts, from, 0, "entries["+strconv.Itoa(i+1)+"]."+f.Kind()+"."+path, "used", text, way)
		}
	}
	return faults{"": {text, way}}
}

// usedSays says what an id was used for and when, without a figure, and which
// one is free.
func (q *request) usedSays(id string, by journal.Record) (text, way string) {
	o, _ := fact.Opens(by.Fact)
	z, _ := q.Zones(q.Zone)
	text = id + " was used before, for " + o.As + ", in entry " + strconv.Itoa(by.N) + " of " + zoned{z}.clock(by.Recorded)
	return text, "An id is used once on the site, for ever. Free is " + q.lab.Free(strings.TrimRight(id, "0123456789")) + "."
}
