package journal

import "slices"

// struck is an entry that was struck out. It keeps its kind, since a later
// correction may put it back.
type struck struct{ Fact }

// inForce applies the corrections: it gives every entry that is not struck
// out, as the last correction of it says, in the order of the list. Refused: a
// correction of an entry that does not stand above it, of a correction, and
// one that puts in another kind.
func inForce(facts []Fact) ([]step, *Refusal) {
	list := make([]step, 0, len(facts)) // by entry number less one
	for _, fact := range facts {
		if isHeader(fact) {
			continue
		}
		n := len(list) + 1
		list = append(list, step{entry: n, written: n, fact: fact})
		if c, ok := fact.(*Correct); ok {
			if err := apply(list, c); err != nil {
				return nil, err
			}
		}
	}
	return slices.DeleteFunc(list, func(s step) bool {
		switch s.fact.(type) {
		case *Correct, struck:
			return true
		}
		return false
	}), nil
}

// apply puts the last step of the list, a correction, in force.
func apply(list []step, c *Correct) *Refusal {
	own := &list[len(list)-1]
	if c.Entry < 1 || c.Entry >= own.entry {
		return own.refuse("entry", "unknown-entry", "count the entries from 1; a correction stands below what it corrects",
			"there is no entry %d above this one", c.Entry)
	}
	old := &list[c.Entry-1]
	kind := old.fact.Kind()
	switch {
	case kind == "correct":
		return own.refuse("entry", "correction-of-correction", "correct the first entry once more: its last correction holds",
			"entry %d is itself a correction", c.Entry)
	case c.With == nil:
		old.fact = struck{old.fact}
	case c.With.Kind() != kind:
		return own.refuse("with", "other-kind", "strike the entry out with a correction without with, and add the other one",
			"entry %d is of the kind %s and cannot become one of the kind %s", c.Entry, kind, c.With.Kind())
	default:
		old.fact = c.With
	}
	old.written = own.entry
	return nil
}
