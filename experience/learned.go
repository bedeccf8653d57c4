package experience

import (
	"vialwright/learning"
	"vialwright/quantity"
)

// Row puts what was believed before any case and what is expected now side by
// side, for one kind of vial and one person.
type Row struct {
	// Kind is empty for a kind not seen before, Person for anybody else.
	Kind, Person              string
	Yield, Fraction           learning.Shown[quantity.Fraction]
	Activity                  learning.Shown[quantity.Activity]
	YieldCases, FractionCases int // those of this row
}

// Learned gives a row for every kind of vial and person that is known, each
// kind before its persons, and last that of what was not seen before. The
// intervals hold the next case with 95 %.
func (t *Tally) Learned() []Row {
	s := t.Site()
	var out []Row
	for _, g := range t.groups() {
		y, errY := s.Yields.Show(g.kind, g.person, coverage)
		f, errF := s.Fractions.Show(g.kind, g.person, coverage)
		a, errA := s.Activities.Show(g.kind, g.person, coverage)
		if errY != nil || errF != nil || errA != nil {
			continue // a coverage of 95 % is never refused
		}
		r := Row{Kind: g.kind, Person: g.person, Yield: y, Fraction: f, Activity: a}
		for p := range t.each {
			for _, d := range p.Draws {
				if (g.kind == "" || d.Kind == g.kind) && (g.person == "" || d.Person == g.person) {
					r.YieldCases++
				}
			}
			if p.Residual != nil && (g.kind == "" || p.Kind == g.kind) && (g.person == "" || p.Person == g.person) {
				r.FractionCases++
			}
		}
		out = append(out, r)
	}
	return out
}
