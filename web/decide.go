package web

import (
	"errors"
	"net/url"
	"time"

	"vialwright/journal"
)

// decide asks the rules and the fold with the case as it is.
func (q *request) decide(e *entryForm, f *file, next int, facts []journal.Fact, from []int, typed url.Values) ([]journal.Record, error) {
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
	facts = q.withLearned(now, facts)
	records := make([]journal.Record, len(facts))
	for i, fact := range facts {
		records[i] = journal.Record{Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: fact, N: next + i}
	}
	after, err := q.reckon(f.With(records...), q.now)
	r, refusal := errors.AsType[*journal.Refusal](err)
	switch {
	case refusal && e.head != nil:
		return nil, placeHead(e.parts, r.Path, r.Msg, r.Hint)
	case refusal:
		return nil, place(e.parts, from, next-1, r.Path, r.Code, r.Msg, r.Hint)
	}
	if err == nil && e.after != nil {
		err = e.after(now, after)
	}
	if err == nil {
		err = q.questions(e, now, facts, from, typed) // it writes the answers into the facts, which the records hold
	}
	return records, err
}
