package journal

import "time"

// Place gives the facts of a case file as they are recorded in the journal of a
// site, behind record number head: its settings hold from a time on, in an
// empty journal from the beginning, and what names an entry by its number names
// it by the one it will have. The site itself is left out but at the beginning.
// Settings that are already in force as they are, by same, are left out.
func Place(facts []Fact, head int, from time.Time, same func(Fact) bool) []Fact {
	var settings, entries []Fact
	for _, f := range facts {
		switch x := f.(type) {
		case *Site:
			if head == 0 {
				settings = append(settings, x)
			}
		case *Policy:
			p := *x
			if p.From.IsZero() {
				p.From = from
			}
			settings = put(settings, &p, same)
		case *Meter:
			m := *x
			if m.From.IsZero() {
				m.From = from
			}
			settings = put(settings, &m, same)
		default:
			entries = append(entries, f)
		}
	}
	for i, f := range entries {
		entries[i] = shift(f, head+len(settings))
	}
	return append(settings, entries...)
}

func put(settings []Fact, f Fact, same func(Fact) bool) []Fact {
	if same != nil && same(f) {
		return settings
	}
	return append(settings, f)
}

// shift gives a fact whose numbers of entries are greater by so many.
func shift(f Fact, by int) Fact {
	switch x := f.(type) {
	case *Correct:
		c := *x
		c.Entry += by
		return &c
	case *Paper:
		p := *x
		p.First, p.Last = p.First+by, p.Last+by
		return &p
	}
	return f
}
