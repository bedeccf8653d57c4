package learning

import (
	"math"
	"testing"

	"vialwright/quantity"
)

// near fails unless got lies within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g to within %.3g (off by %.3g)", what, got, want, tolerance, got-want)
	}
}

// The estimates and standard errors of D. B. Rubin, J. Educ. Stat. 6 (1981)
// 377-401, to the digits of the paper.
var schools = []struct{ y, u, median float64 }{
	// The medians are those of Gelman et al., Bayesian Data Analysis, 3rd ed., table
	// 5.3, from memory, not seen.
	{28.39, 14.9, 10},
	{7.94, 10.2, 8},
	{-2.75, 16.3, 7},
	{6.82, 11.0, 8},
	{-0.64, 9.4, 5},
	{0.63, 11.4, 6},
	{18.01, 10.4, 10},
	{12.16, 17.6, 8},
}

// schoolModel has one level above the schools, no scatter of its own, a uniform
// prior of the spread and a prior of the mean that is flat for any purpose.
func schoolModel(t testing.TB, spread Spread[quantity.Fraction]) *Model[quantity.Fraction] {
	none := Spread[quantity.Fraction]{Shape: None}
	m := New(Prior[quantity.Fraction]{Mean: 0, SD: 1e4, Scatter: none, Persons: none, Kinds: spread})
	for i, s := range schools {
		err := m.Add(Case[quantity.Fraction]{Kind: string(rune('A' + i)), Person: "any", Value: quantity.Fraction(s.y), U: quantity.Fraction(s.u)})
		if err != nil {
			t.Fatal(err)
		}
	}
	return m
}

// bda works out Gelman et al. (2013) 5.20 and 5.21 on a fine linear grid of tau:
// for the check of the published example by a way of its own.
func bda(school int, top float64) (mean, sd, mu float64) {
	const steps = 20_000
	var total, m1, m2, mm float64
	for i := range steps {
		tau2 := math.Pow((float64(i)+0.5)*top/steps, 2)
		var w, wy float64
		for _, s := range schools {
			w += 1 / (s.u*s.u + tau2)
			wy += s.y / (s.u*s.u + tau2)
		}
		hat := wy / w
		log := -math.Log(w) / 2
		for _, s := range schools {
			v := s.u*s.u + tau2
			log -= math.Log(v)/2 + (s.y-hat)*(s.y-hat)/(2*v)
		}
		p := math.Exp(log + 30)
		s := schools[school]
		r := s.u * s.u / (s.u*s.u + tau2) // pull towards mu
		e := r*hat + (1-r)*s.y
		v := r*tau2 + r*r/w
		total += p
		m1 += p * e
		m2 += p * (v + e*e)
		mm += p * hat
	}
	mean = m1 / total
	return mean, math.Sqrt(m2/total - mean*mean), mm / total
}

// Pooled completely the eight schools give 7.9 with variance 17.4 (Gelman et al.
// 2013, 5.5; the text prints two and three digits).
func TestEightSchoolsPooledGelmanBDA3(t *testing.T) {
	m := schoolModel(t, Spread[quantity.Fraction]{Shape: None})
	site := m.estimate("A", "any", ofSite)
	near(t, "mean", float64(site.Mean), 7.9, 0.05)
	near(t, "variance", float64(site.SD*site.SD), 17.4, 0.05)
}

// The hierarchical answer, against the published medians and against the
// formulas of the book on a fine grid. The medians come from 200 simulated draws of
// spread 5 to 8: standard error 0.5 to 0.7, and rounding 0.3: 2 is three of
// them. The grid has no such noise; the taper of the prior at 3000 changes the
// density at tau = 30 by 1e-4, and so near must the two be.
func TestEightSchoolsRubin1981(t *testing.T) {
	const top = 600
	m := schoolModel(t, Spread[quantity.Fraction]{Shape: Uniform, Scale: 300})
	for i, s := range schools {
		name := string(rune('A' + i))
		got := m.estimate(name, "any", ofPerson)
		mean, sd, mu := bda(i, top)
		near(t, "mean of "+name, float64(got.Mean), mean, 1e-4*sd)
		near(t, "sd of "+name, float64(got.SD), sd, 1e-4*sd)
		near(t, "site", float64(m.estimate(name, "any", ofSite).Mean), mu, 1e-4*sd)
		near(t, "median of "+name, m.engine.mixture(name, "any", ofPerson).quantile(0.5), s.median, 2)
		t.Logf("%s: mean %.4f (grid %.4f) sd %.4f (grid %.4f) median %.3f (book %v)", name, float64(got.Mean), mean, float64(got.SD), sd, m.engine.mixture(name, "any", ofPerson).quantile(0.5), s.median)
	}
}
