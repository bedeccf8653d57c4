package experience

import (
	"math"
	"slices"

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

// Rows gives a row for every kind of vial and person that is known, each
// kind before its persons, and last that of what was not seen before. The
// intervals hold the next case with 95 %.
func (t *Tally) Rows() []Row {
	s, before := t.Site(), learning.NewSite()
	preps := slices.Collect(t.each)
	var out []Row
	for _, g := range t.groups() {
		r := Row{Kind: g.kind, Person: g.person}
		var yields, fractions []quantity.Fraction
		var activities []quantity.Activity
		for _, p := range preps {
			for _, d := range p.Draws {
				if g.has(d.Kind, d.Person) {
					yields = append(yields, d.Yield)
				}
			}
			if p.Residual != nil && g.has(p.Kind, p.Person) {
				fractions, activities = append(fractions, p.Residual.Fraction), append(activities, p.Residual.Activity)
			}
		}
		r.Yield = shown(s.Yields, before.Yields, g, yields)
		r.Fraction = shown(s.Fractions, before.Fractions, g, fractions)
		r.Activity = shown(s.Activities, before.Activities, g, activities)
		r.YieldCases, r.FractionCases = len(yields), len(fractions)
		out = append(out, r)
	}
	return out
}

// has tells whether a case is of the group; one that names no kind or no person
// has those of all.
func (g group) has(kind, person string) bool {
	return (g.kind == "" || kind == g.kind) && (g.person == "" || person == g.person)
}

// shown puts prior, data and predictive distribution side by side. The prior is
// the same for every group.
func shown[Q learning.Quantity](m, before *learning.Model[Q], g group, data []Q) learning.Shown[Q] {
	s := learning.Shown[Q]{Prior: before.Predict("", ""), Predictive: m.Predict(g.kind, g.person), Data: learning.Data[Q]{N: len(data)}}
	for _, x := range data {
		s.Data.Mean += x / Q(len(data))
	}
	if len(data) > 1 {
		sum := 0.0
		for _, x := range data {
			sum += math.Pow(float64(x-s.Data.Mean), 2)
		}
		s.Data.SD = Q(math.Sqrt(sum / float64(len(data)-1)))
	}
	return s
}
