package casefile

import (
	"time"

	"vialwright/fact"
	"vialwright/journal"
)

// Place gives the facts of a case file as they are recorded in the journal of a
// site, behind record number head: in an empty journal its settings hold from a
// moment on, the zero time for the beginning; the policies stay between the
// entries as they are, the meters stand before them, and what names an entry by
// its number names it by the one it will have. The site itself is left out but at
// the beginning. Settings for which left holds, asked in their order, are left out.
func Place(facts []fact.Fact, head int, from time.Time, left func(fact.Fact) bool) []fact.Fact {
	var top, rest []journal.Record // with the numbers of the file, 0 for what has none
	n := 0
	for _, f := range facts {
		r := journal.Record{Fact: f}
		if !fact.IsHeader(f) {
			n++
			r.N = n
		}
		switch x := f.(type) {
		case *fact.Site:
			if head == 0 {
				top = append(top, r)
			}
			continue
		case *fact.Policy:
			p := *x
			if p.From.IsZero() {
				p.From = from
			}
			r.Fact = &p
		case *fact.Meter:
			m := *x
			if m.From.IsZero() && head == 0 {
				m.From = from
			}
			r.Fact = &m
		}
		_, meter := r.Fact.(*fact.Meter)
		switch {
		case fact.IsSetting(f) && left != nil && left(r.Fact):
		case meter || r.N == 0:
			top = append(top, r)
		default:
			rest = append(rest, r)
		}
	}
	all := append(top, rest...)
	number := map[int]int{}
	for i, r := range all {
		if r.N > 0 { // an entry that names none goes on naming none
			number[r.N] = head + i + 1
		}
	}
	out := make([]fact.Fact, len(all))
	for i, r := range all {
		out[i] = renamed(r.Fact, number)
	}
	return out
}
