package learning

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

type share = quantity.Fraction

// anyCases draws up to ten cases of up to two kinds and three persons.
func anyCases(t *rapid.T) []Case[share] {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Case[share] {
		return Case[share]{
			Kind:   rapid.SampledFrom([]string{"k1", "k2"}).Draw(t, "kind"),
			Person: rapid.SampledFrom([]string{"p1", "p2", "p3"}).Draw(t, "person"),
			Value:  share(rapid.Float64Range(0.6, 1.3).Draw(t, "value")),
			U:      share(rapid.SampledFrom([]float64{0, 0.003, 0.01, 0.04}).Draw(t, "u")),
		}
	}), 0, 10).Draw(t, "cases")
}

func learned(t *rapid.T, cases []Case[share]) *Model[share] {
	m := New(YieldPrior())
	for _, c := range cases {
		if err := m.Add(c); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

func predicted(t *rapid.T, m *Model[share]) Predictive[share] {
	return m.Predict("k1", "p1")
}

func alike(t *rapid.T, what string, got, want, tolerance share) {
	if !(math.Abs(float64(got-want)) <= float64(tolerance)) {
		t.Fatalf("%s = %.12g, want %.12g to within %.2g", what, got, want, tolerance)
	}
}

// Three properties of the same few cases, since each reckoning takes a while:
// the order does not matter (but for the rounding of sums, which the quadrature's
// choice of steps may enlarge to some 1e-7), a question between two cases
// changes nothing, and a case set aside has never been.
func TestOrderQuestionsAndSettingAside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cases := anyCases(t)
		m := learned(t, cases)
		want := predicted(t, m)
		other := learned(t, nil)
		for n, i := range rapid.Permutation(indices(len(cases))).Draw(t, "order") {
			if n == 1 {
				predicted(t, other)
			}
			if err := other.Add(cases[i]); err != nil {
				t.Fatal(err)
			}
		}
		extra := Case[share]{Kind: "k1", Person: "p1", Value: 0.2, U: 0.01}
		if err := other.Add(extra); err != nil {
			t.Fatal(err)
		}
		other.takeOut(len(cases))
		got := predicted(t, other)
		alike(t, "mean", got.Mean, want.Mean, 1e-5*want.SD)
		alike(t, "sd", got.SD, want.SD, 1e-5*want.SD)
		alike(t, "low", got.Low, want.Low, 1e-5*want.SD)
		alike(t, "high", got.High, want.High, 1e-5*want.SD)
	})
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// What lies below knows less than what lies above, the next case is never known
// better than sigma allows, and the interval holds the mean.
func TestPredictiveNeverBelowScatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := learned(t, anyCases(t))
		p := predicted(t, m)
		person := m.estimate("k1", "p1", ofPerson)
		sigma := m.Spreads().Scatter
		floor := math.Sqrt(float64(sigma.Mean*sigma.Mean+sigma.SD*sigma.SD) + float64(person.SD*person.SD))
		alike(t, "sd of the next case", p.SD, share(floor), 1e-9)
		if !(p.Low < p.Mean && p.Mean < p.High) || !(p.SD > sigma.Mean) {
			t.Fatalf("%+v with scatter %+v", p, sigma)
		}
	})
}

// Where no case scatters, the measurement's own noise is the floor: 1000 draws
// that agree far better than their u = 2 % allows leave the site's value known
// to u/sqrt(1000) and no better, and the score of a new reading is taken against
// at least u.
func TestMeasurementNoiseIsTheFloor(t *testing.T) {
	m := New(YieldPrior())
	const u, n = 0.02, 1000
	for range n {
		if err := m.Add(Case[share]{Kind: "k", Person: "p", Value: 0.97, U: u}); err != nil {
			t.Fatal(err)
		}
	}
	if sd := float64(m.estimate("k", "p", ofPerson).SD); sd < u/math.Sqrt(n) {
		t.Errorf("the person's value is known to %g, better than %g", sd, u/math.Sqrt(n))
	}
	z := m.surprise(Case[share]{Kind: "k", Person: "p", Value: 0.97 + 2*u, U: u})
	if z <= 1 || z > 2 {
		t.Errorf("a reading two u away has z = %g", z)
	}
}

// With no case every answer is the prior's. E[tau^2] of the tapered half-t is here
// the midpoint rule in v = tau/A, p(v) ~ (1 + v^2/4)^-2.5 exp(-v^2/100).
func TestNoCaseGivesThePriorPredictive(t *testing.T) {
	var total, second float64
	for i := range 400_000 {
		v := (float64(i) + 0.5) * 1e-4
		p := math.Pow(1+v*v/4, -2.5) * math.Exp(-v*v/100)
		total += p
		second += p * v * v
	}
	second /= total
	t.Logf("E[tau^2] = %.6f A^2", second)
	s := NewSite()
	p := s.Yields.Predict("k", "p")
	want := math.Sqrt(0.05*0.05 + second*(0.05*0.05+2*0.02*0.02))
	near(t, "sd", float64(p.SD), want, 1e-5*want)
	near(t, "mean", float64(p.Mean), 1, 1e-12)
	near(t, "site", float64(s.Yields.estimate("k", "p", ofSite).SD), 0.05, 1e-12)
	if err := s.Yields.Add(Case[share]{Kind: "k", Person: "p", Value: 0.9, U: 0.01}); err != nil {
		t.Fatal(err)
	}
	if q := s.Yields.Predict("k", "p"); q == p {
		t.Errorf("one case: %+v", q)
	}
}

// The interpolated sums against sums at the value itself, over the whole range
// of sigma and uncertainties from none to 30 A.
func TestSumsBetweenPoints(t *testing.T) {
	s := spread{HalfT, 0.05}
	g := newGrid(s)
	for _, u := range []float64{0, 1e-5, 1e-3, 0.01, 0.05, 0.3, 1.5} {
		a := newSums(len(g.x))
		a.add(g, 0.07, u, 1)
		a.add(g, -0.02, u, 1)
		worst := 0.0
		for i := range 201 {
			x := s.low() + (s.high()-s.low())*float64(i)/200
			sigma2 := math.Exp(2 * x)
			w, sy, q, l := a.at(g, sigma2, g.basis(x, nil))
			v := u*u + sigma2
			worst = max(worst, abs(w*v/2-1), abs(sy*v/0.05-1), abs(q*v/0.0053-1), abs(l-2*math.Log(v)))
		}
		if worst > 1e-8 {
			t.Errorf("u = %g: off by %.2g", u, worst)
		}
	}
}

// Twenty thousand cases make the peak of sigma narrow, 0.6 % of itself: mean and
// standard deviation of sigma and of the site's value against the midpoint rule over
// sigma with the sums worked out again at each, which knows nothing of grids and peaks.
func TestNarrowPeak(t *testing.T) {
	p := YieldPrior()
	p.Persons.Shape, p.Kinds.Shape = None, None
	m := New(p)
	cases := invented(20_000, 5)
	for _, c := range cases {
		if err := m.Add(c); err != nil {
			t.Fatal(err)
		}
	}
	const low, high, steps = 0.030, 0.036, 300
	var total, s1, s2, m1, peak float64
	for i := range steps {
		sigma := low + (float64(i)+0.5)*(high-low)/steps
		var w, s, q, l float64
		for _, c := range cases {
			v := sigma*sigma + float64(c.U*c.U)
			y := float64(c.Value) - 1
			w, s, q, l = w+1/v, s+y/v, q+y*y/v, l+math.Log(v)
		}
		d := 1 + w*0.05*0.05
		log := -(l+q-s*s/w)/2 - math.Log(d)/2 - s*s/(w*d)/2 - 2.5*math.Log1p(sigma*sigma/0.01) - sigma*sigma/0.25
		if i == 0 {
			peak = log
		}
		f := math.Exp(log - peak - 300)
		total, s1, s2, m1 = total+f, s1+f*sigma, s2+f*sigma*sigma, m1+f*s*0.05*0.05/d
	}
	mean := s1 / total
	sd := math.Sqrt(s2/total - mean*mean)
	got := m.Spreads().Scatter
	near(t, "sigma", float64(got.Mean), mean, 1e-4*sd)
	near(t, "sd of sigma", float64(got.SD), sd, 1e-4*sd)
	near(t, "site", float64(m.estimate("kind 1", "person 1", ofSite).Mean), 1+m1/total, 1e-9)
	t.Logf("sigma %.6f, sd %.6f, off by %.2g sd", mean, sd, abs(float64(got.Mean)-mean)/sd)
}

// A yield typed with a slipped digit among thirty is named, by number, and its
// neighbours are not; two slips alike do not hide each other; and data without
// fault are left alone.
func TestUnusualNamesTheSlip(t *testing.T) {
	cases := invented(30, 7)
	m := with(t, cases)
	if got := m.Unusual(); len(got) != 0 {
		t.Errorf("sound data: %+v", got)
	}
	before := m.Predict("kind 1", "person 2")
	for _, slip := range []share{0.51, 0.52} {
		if err := m.Add(Case[share]{Kind: "kind 1", Person: "person 2", Value: slip, U: 0.01}); err != nil {
			t.Fatal(err)
		}
	}
	got := m.Unusual()
	if len(got) != 2 || got[0].Number+got[1].Number != 61 || got[0].Z > -3 {
		t.Fatalf("named %+v", got)
	}
	t.Log(got[0].Sentence())
	for _, u := range got {
		m.takeOut(u.Number)
	}
	after := m.Predict("kind 1", "person 2")
	near(t, "set aside", float64(after.Mean), float64(before.Mean), 1e-6)
	if m.Cases() != 30 {
		t.Errorf("%d preparations", m.Cases())
	}
}

// Of the intervals at 90 % made before every third of 300 cases some 90 % hold
// the value then measured: binomial, standard deviation 3 %, four of them asked.
func TestIntervalsCover(t *testing.T) {
	m := New(YieldPrior())
	hit, n := 0, 0
	for i, c := range invented(400, 3) {
		if i >= 100 && i%3 == 0 {
			p := m.engine.mixture(c.Kind, c.Person, ofNext)
			z := p.score(float64(c.Value), float64(c.U)*float64(c.U))
			n++
			if math.Abs(z) < 1.6449 {
				hit++
			}
		}
		if err := m.Add(c); err != nil {
			t.Fatal(err)
		}
	}
	near(t, "coverage", float64(hit)/float64(n), 0.9, 0.12)
	t.Logf("%d of %d", hit, n)
}

// The worked example of the package comment: with the spreads given, scatter and
// reading make one variance of 0.03^2 + 0.01^2.
func TestWorkedExample(t *testing.T) {
	p := YieldPrior()
	p.Scatter.Shape, p.Persons.Shape, p.Kinds.Shape = None, None, None
	m := New(p)
	for i := range 10 {
		u := share(math.Hypot(0.03, 0.01))
		if err := m.Add(Case[share]{Kind: "k", Person: "p", Value: 0.96 + share(i%2)*0.02 - 0.01, U: u}); err != nil {
			t.Fatal(err)
		}
	}
	site := m.estimate("k", "p", ofSite)
	near(t, "site", float64(site.Mean), 0.961538461538, 1e-11)
	near(t, "sd", float64(site.SD), 1/math.Sqrt(10_400), 1e-12)
}

func TestRefused(t *testing.T) {
	code := func(what string, err error, want string) {
		t.Helper()
		var e *Error
		if !errors.As(err, &e) || e.Code != want || e.Text == "" || e.Hint == "" {
			t.Errorf("%s: %v, want %s", what, err, want)
		}
	}
	m := NewSite().Yields
	code("no kind", m.Add(Case[share]{Person: "p", Value: 1}), "no-name")
	code("no number", m.Add(Case[share]{Kind: "k", Person: "p", Value: share(math.NaN())}), "bad-value")
	code("percent for a share of becquerels", m.Add(Case[share]{Kind: "k", Person: "p", Value: 1e9}), "bad-value")
	code("negative u", m.Add(Case[share]{Kind: "k", Person: "p", Value: 1, U: -1}), "bad-u")
	if u := m.Unusual(); u != nil {
		t.Errorf("of no case %v is unusual", u)
	}
	if err := m.Add(Case[share]{Kind: "k", Person: "p", Value: 1}); err != nil {
		t.Fatal(err)
	}
	m.takeOut(0)
	exact := schoolModel(t, Spread[share]{Shape: Uniform, Scale: 10})
	code("exact without scatter", exact.Add(Case[share]{Kind: "k", Person: "p", Value: 1}), "bad-u")
	s := NewSite()
	code("half a residual", s.AddResidual("k", "p", Residual{Activity: 1e7, Fraction: share(math.Inf(1))}), "bad-value")
	if s.Activities.Cases() != 0 {
		t.Error("half a residual was taken in")
	}
}

// Whatever numbers come, a case is refused or the prediction is finite.
func FuzzAdd(f *testing.F) {
	f.Add(0.97, 0.01, 0.95, 0.0)
	f.Add(math.NaN(), 0.01, math.Inf(1), -1.0)
	f.Add(1e300, 1e-300, 4e4, 0.0)
	f.Add(1.0, 0.0, 1.0, 0.0)
	f.Fuzz(func(t *testing.T, y1, u1, y2, u2 float64) {
		m := NewSite().Yields
		for _, c := range [][2]float64{{y1, u1}, {y2, u2}} {
			err := m.Add(Case[share]{Kind: "k", Person: "p", Value: share(c[0]), U: share(c[1])})
			if taken := err == nil; taken && (!finite(c[0]) || !finite(c[1]) || c[1] < 0) {
				t.Fatalf("%v was taken in", c)
			}
		}
		p := m.Predict("k", "p")
		for _, x := range []share{p.Mean, p.SD, p.Low, p.High} {
			if !finite(float64(x)) {
				t.Fatalf("%+v", p)
			}
		}
		if !(p.SD > 0) || p.Low > p.High {
			t.Fatalf("%+v", p)
		}
	})
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
