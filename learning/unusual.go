package learning

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Unusual names a case that does not fit the others.
type Unusual[Q Quantity] struct {
	// Number is that of the case, from 0 in the order of adding.
	Number int
	Case   Case[Q]
	// Expected is what the other cases predict for its true value.
	Expected Estimate[Q]
	// Z is its normalised predictive residual, see the package comment.
	Z float64
}

// Sentence says what is unusual.
func (u Unusual[Q]) Sentence() string {
	return fmt.Sprintf("%s by %s gave %s; the others predict %s ± %s (z = %.1f). Look into it, and set it aside only with a reason.",
		u.Case.Kind, u.Case.Person, show(u.Case.Value), show(u.Expected.Mean), show(u.Expected.SD), u.Z)
}

const (
	// mostUnusual is how many cases at most are named at once.
	mostUnusual = 5
	// falseAlarm is the probability that any case is named where all is well.
	falseAlarm = 0.01
)

func (m *Model[Q]) surprise(c Case[Q]) float64 {
	return m.engine.mixture(c.Kind, c.Person, ofNext).score(float64(c.Value), float64(c.U)*float64(c.U))
}

// Unusual names up to five cases that do not fit, the worst first, none of fewer than
// three cases. Where all is well any is named with a probability of 1 % (Bonferroni's
// bound). The worst case
// is taken out and judged by the rest, then the worst of the rest, and so on; all
// are named down to the last that exceeds the limit, so that two alike cannot
// hide each other (B. Rosner, Technometrics 25 (1983) 165-172, with predictive
// residuals in place of his). Every case is in again afterwards.
func (m *Model[Q]) Unusual() []Unusual[Q] {
	n := m.Cases()
	if n < 3 {
		return nil
	}
	limit := -mathext.NormalQuantile(falseAlarm / (2 * float64(n)))
	trial := m.trial()
	var found []Unusual[Q]
	named := 0
	for range min(mostUnusual, n-2) {
		u := trial.worst()
		found = append(found, u)
		if math.Abs(u.Z) > limit {
			named = len(found)
		}
	}
	return found[:named]
}

// trial gives a model with the same cases that may be taken apart.
func (m *Model[Q]) trial() *Model[Q] {
	e := *m.engine
	e.kinds = make([]*kind, len(m.engine.kinds))
	for i, k := range m.engine.kinds {
		e.kinds[i] = &kind{name: k.name}
		for _, p := range k.persons {
			e.kinds[i].persons = append(e.kinds[i].persons, &person{p.name, p.sums.copy()})
		}
	}
	aside := map[int]bool{}
	for number := range m.aside {
		aside[number] = true
	}
	return &Model[Q]{prior: m.prior, engine: &e, groups: m.groups, cases: m.cases, aside: aside}
}

// worst takes out the case farthest from its expectation, measured with the
// mean scatter, and judges it by all that stay.
func (m *Model[Q]) worst() Unusual[Q] {
	sigma := m.engine.spreads()[0]
	s2 := sigma.mean*sigma.mean + sigma.variance
	expected := map[int32]float64{}
	worst, far := -1, -1.0
	for i := range m.cases.Len() {
		c := m.cases.At(i)
		if m.aside[i] {
			continue
		}
		mean, ok := expected[c.group]
		if !ok {
			g := m.groups[c.group]
			mean, _ = m.engine.mixture(g[0], g[1], ofNext).moments()
			expected[c.group] = mean
		}
		if z := math.Abs(float64(c.value)-mean) / math.Sqrt(s2+float64(c.u)*float64(c.u)); z > far {
			worst, far = i, z
		}
	}
	c := m.takeOut(worst)
	return Unusual[Q]{Number: worst, Case: c, Expected: m.estimate(c.Kind, c.Person, ofNext), Z: m.surprise(c)}
}

func (m *Model[Q]) takeOut(number int) Case[Q] {
	c := m.of(number)
	m.aside[number] = true
	m.engine.add(c.Kind, c.Person, float64(c.Value), float64(c.U), -1)
	return c
}
