package kit

import (
	"errors"
	"net/url"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/web/words"
)

// decide asks the rules and the fold with the case as it is; beside is the mark of who
// supervised, nil for nobody.
func (q *Request) decide(e *Form, f *File, next int, facts []fact.Fact, from []int, typed url.Values, beside *fact.Supervised) ([]journal.Record, error) {
	at, s := q.Now, q.Sheet()
	if e.Setting != nil {
		s = nil // settings are made now
	}
	if s != nil {
		var err error
		if at, err = s.moment(e.Parts, facts, from, q.Now); err != nil {
			return nil, err
		}
	}
	f = q.widened(f, facts)
	now, err := q.Reckon(f, at)
	if err != nil {
		return nil, err
	}
	if e.Amend != nil {
		if err := e.Amend(now, facts); err != nil {
			return nil, err
		}
	}
	if e.Permit != nil {
		if err := e.Permit(now, facts); err != nil {
			return nil, err
		}
	}
	if beside != nil {
		if err := q.besides(now, beside.By, facts); err != nil {
			return nil, err
		}
	}
	facts = marked(facts, next, s, beside)
	if e.Also != nil {
		facts = e.Also(now, facts)
	}
	records := q.Records(facts, next)
	for _, r := range records {
		if x := fold.Typed(r); x != nil {
			return nil, q.refusedAt(e.Parts, from, next-1, facts, x)
		}
	}
	after, err := q.Reckon(q.Lab.With(f, records...), q.Now)
	r, refusal := errors.AsType[*fact.Refusal](err)
	switch {
	case refusal && e.Setting != nil:
		return nil, placeHead(e.Parts, e.TypedAs, r.Path, r.Msg, r.Hint)
	case refusal:
		return nil, q.refusedAt(e.Parts, from, next-1, facts, r)
	}
	if err == nil && e.After != nil {
		err = e.After(now, after)
	}
	if err == nil {
		err = q.questions(e, now, after, facts, from, typed) // it writes the answers into the facts, which the records hold
	}
	return records, err
}

// marked are facts, the first of which has a number, with the marks that are recorded
// behind them: of their sheet of paper, and of who supervised.
func marked(facts []fact.Fact, first int, s *Sheet, beside *fact.Supervised) []fact.Fact {
	out := facts[:len(facts):len(facts)]
	if s != nil {
		out = append(out, s.mark(first-1, len(facts)))
	}
	if beside != nil {
		out = append(out, fact.Remarked(beside, first, first+len(facts)-1))
	}
	return out
}

// refusedAt puts a refusal of the fold beside its control. Where that names an
// id that is in use, it says by what, and a free one.
func (q *Request) refusedAt(parts []Part, from []int, before int, facts []fact.Fact, r *fact.Refusal) Faults {
	n, field := entryOf(r.Path)
	if i := n - before - 1; i >= 0 && i < len(facts) {
		o, ok := fact.Opens(facts[i])
		if by, used := q.Lab.Used(o.ID); ok && used && strings.HasSuffix("."+field, "."+o.Field) {
			text, way := q.usedSays(o, by)
			return place(parts, from, before, r.Path, r.Code, r.Msg+"; "+text, way)
		}
	}
	return place(parts, from, before, r.Path, r.Code, r.Msg, r.Hint)
}

// used puts the refusal of an id beside the control that names it.
func (q *Request) used(parts []Part, from []int, facts []fact.Fact, e *replica.UsedError) Faults {
	for i, f := range facts {
		if o, ok := fact.Opens(f); ok && o.ID == e.ID {
			text, way := q.usedSays(o, e.By)
			path := o.Field
			if c, ok := f.(*fact.Correct); ok {
				path = "with." + fact.Word(c.With) + "." + path
			}
			return place(parts, from, 0, "entries["+strconv.Itoa(i+1)+"]."+fact.Word(f)+"."+path, "used", text, way)
		}
	}
	return Faults{"": {e.Error(), "Write another id."}}
}

// usedSays says what the id of something new was used for and when, without a figure, and
// which one is free: with the letters of that id if it was used for the like.
func (q *Request) usedSays(o fact.Opening, by journal.Record) (text, way string) {
	was, _ := fact.Opens(by.Fact)
	letter := o.Letter
	if was.As == o.As {
		letter = strings.TrimRight(o.ID, "0123456789")
	}
	says := " was used before, for "
	if was.ID != o.ID {
		says = " differs in letter case alone from " + was.ID + ", which was used for "
	}
	text = o.ID + says + was.As + ", in entry " + strconv.Itoa(by.N) + " of " + words.Zoned{Location: q.Location()}.Clock(by.Recorded)
	way = "An id is used once on the site, for ever. Free is " + q.Lab.Free(letter) + "."
	if _, order := by.Fact.(*fact.Order); order {
		way += " To change order " + was.ID + ", open it and choose Revise the order."
	}
	return text, way
}
