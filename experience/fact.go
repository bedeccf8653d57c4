package experience

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/learning"
	"vialwright/quantity"
)

// group is a kind of vial and a person; either may be empty.
type group struct{ kind, person string }

// groups gives the kinds of vial and the persons that have drawn from them,
// each kind before its persons, and last the group of what was not seen before.
func (t *Tally) groups() []group {
	t.Site()
	out := slices.AppendSeq(slices.Collect(maps.Keys(t.draws)), maps.Keys(t.left))
	slices.SortFunc(out, func(a, b group) int { return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.person, b.person)) })
	return append(slices.Compact(out), group{})
}

// Fact writes the site experience as a fact for a case: the predictive mean and
// standard deviation of the next draw's yield by every person with every kind
// of vial, and of the residual by kind. upTo is the number of the last record
// of the journal that was taken. The figures are those of [Tally.Rows]. It is
// nil where nothing was learned.
func (t *Tally) Fact(at time.Time, upTo int) *fact.Experience {
	s := t.Site()
	x := &fact.Experience{At: at.Truncate(time.Second), UpTo: upTo}
	for _, g := range t.groups() {
		if y, ok := yieldRow(s, g, t.draws[g]); ok {
			x.Yields = append(x.Yields, y)
		}
		if g.person != "" {
			continue
		}
		if r, ok := residualRow(s, g.kind, t.left[g]); ok {
			x.Residuals = append(x.Residuals, r)
		}
	}
	if len(x.Yields) > fact.MostExperience {
		x.Yields = fewest(x.Yields)
	}
	if len(x.Residuals) > fact.MostExperience {
		x.Residuals = x.Residuals[len(x.Residuals)-fact.MostExperience:]
	}
	if len(x.Yields) == 0 && len(x.Residuals) == 0 {
		return nil
	}
	if j := t.Jar(); j.Cases > 0 {
		x.DoseRate = &fact.ExpectedDoseRate{
			PerGBq: stated[quantity.MeterRate](j.PerGBq, j.SD, j.Family), SD: stated[quantity.MeterRate](j.SD, j.SD, j.Family), Cases: j.Cases,
		}
	}
	return x
}

// fewest leaves the rows of persons with the fewest cases out, whose kind's row
// stands in for them.
func fewest(rows []fact.ExpectedYield) []fact.ExpectedYield {
	order := slices.Clone(rows)
	slices.SortStableFunc(order, func(a, b fact.ExpectedYield) int { return cmp.Or(min(len(a.By), 1)-min(len(b.By), 1), b.Own-a.Own) })
	keep := order[:fact.MostExperience]
	return slices.DeleteFunc(slices.Clone(rows), func(y fact.ExpectedYield) bool { return !slices.Contains(keep, y) })
}

func yieldRow(s *learning.Site, g group, own int) (fact.ExpectedYield, bool) {
	n := s.Yields.Cases()
	if n == 0 {
		return fact.ExpectedYield{}, false
	}
	p := s.Yields.Predict(g.kind, g.person)
	if !(p.Mean > 0 && p.Mean < 2) {
		return fact.ExpectedYield{}, false
	}
	q, u := percents(p.Mean, p.SD)
	return fact.ExpectedYield{Vial: g.kind, By: g.person, Q: q, U: u, Cases: n, Own: own}, true
}

// residualRow is that of a kind of vial, for all who draw.
func residualRow(s *learning.Site, kind string, own int) (fact.ExpectedResidual, bool) {
	n := s.Fractions.Cases()
	if n == 0 {
		return fact.ExpectedResidual{}, false
	}
	f, a := s.Fractions.Predict(kind, ""), s.Activities.Predict(kind, "")
	if !(f.Mean < 1) {
		return fact.ExpectedResidual{}, false
	}
	f.Mean, a.Mean = max(0, f.Mean), max(0, a.Mean)
	r := fact.ExpectedResidual{Vial: kind, Cases: n, Own: own}
	r.Fraction, r.U = percents(f.Mean, f.SD)
	r.Activity = stated[quantity.Activity](a.Mean.MBq(), a.SD.MBq(), "MBq")
	r.ActivityU = stated[quantity.Activity](a.SD.MBq(), a.SD.MBq(), "MBq")
	return r, true
}

func percents(q, u quantity.Fraction) (_, _ quantity.Stated[quantity.Fraction]) {
	return stated[quantity.Fraction](100*float64(q), 100*float64(u), "%"), stated[quantity.Fraction](100*float64(u), 100*float64(u), "%")
}

// stated writes a number to the second digit of its uncertainty u, as it stands
// in the record ever after (JCGM 100:2008, 7.2.6).
func stated[Q quantity.Kind](x, u float64, unit string) quantity.Stated[Q] {
	decimals := 0
	if u > 0 {
		decimals = max(0, min(6, 1-int(math.Floor(math.Log10(u)))))
	}
	s, err := quantity.Parse[Q](strconv.FormatFloat(x, 'f', decimals, 64) + " " + unit)
	if err != nil {
		return quantity.Stated[Q]{}
	}
	return s
}
