package uncertainty

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

var open = math.Inf(1)

// The worked examples of JCGM 106:2012 as published, to half of their last digit,
// and to six digits as computed apart (published values from memory, not seen).
func TestJCGM106ConformanceProbability(t *testing.T) {
	for _, c := range []struct {
		name             string
		y, u             float64
		tolerance        Limits
		published, exact float64
	}{
		{"oil viscosity in 1e-6 m2/s", 13.6, 1.8, Limits{12.5, 16.3}, 0.66, 0.662630},
		{"breakdown voltage in V, upper limit", -5.47, 0.05, Limits{-open, -5.40}, 0.92, 0.919243},
		{"burst pressure in kPa, lower limit", 509.7, 8.6, Limits{490, open}, 0.99, 0.989010},
		{"activity of 3.00 GBq to 10 %", 2.80, 0.09, Limits{2.7, 3.3}, 0.87, 0.866740},
	} {
		p := must(Conformance(c.y, c.u, c.tolerance))(t)
		near(t, c.name, p, c.published, 0.005)
		near(t, c.name, p, c.exact, 5e-7)
	}
}

// JCGM 106:2012 Table 1: how far inside one limit y must lie, in u.
func TestJCGM106OneSidedLimits(t *testing.T) {
	for _, c := range []struct{ p, z float64 }{{0.80, 0.84}, {0.90, 1.28}, {0.95, 1.64}, {0.99, 2.33}, {0.999, 3.09}} {
		a := must(Acceptance(Limits{-open, 10}, 0.5, c.p))(t)
		near(t, "z", (10-a.Upper)/0.5, c.z, 0.0051)
		near(t, "conformance there", must(Conformance(a.Upper, 0.5, Limits{-open, 10}))(t), c.p, 1e-12)
		b := must(Acceptance(Limits{10, open}, 0.5, c.p))(t)
		near(t, "the lower limit mirrors it", b.Lower-10, 10-a.Upper, 1e-12)
		if !math.IsInf(a.Lower, -1) || !math.IsInf(b.Upper, 1) {
			t.Errorf("an open side was closed: %v %v", a, b)
		}
	}
}

// 3.00 GBq to 10 % at u = 0.09 GBq and 95 %: one limit at a time 2.848037 and
// 3.151963; with both, p_c at the limit is 0.95 exactly and the limit lies further
// in.
func TestAcceptanceOfAnActivity(t *testing.T) {
	lower := must(Acceptance(Limits{2.7, open}, 0.09, 0.95))(t)
	upper := must(Acceptance(Limits{-open, 3.3}, 0.09, 0.95))(t)
	near(t, "lower", lower.Lower, 2.848037, 5e-7)
	near(t, "upper", upper.Upper, 3.151963, 5e-7)
	both := must(Acceptance(Limits{2.7, 3.3}, 0.09, 0.95))(t)
	near(t, "conformance at the limit", must(Conformance(both.Lower, 0.09, Limits{2.7, 3.3}))(t), 0.95, 1e-12)
	near(t, "conformance at the limit", must(Conformance(both.Upper, 0.09, Limits{2.7, 3.3}))(t), 0.95, 1e-12)
	if both.Lower < lower.Lower || both.Upper > upper.Upper || both.Lower > lower.Lower+0.001 {
		t.Errorf("both %v, one at a time %v %v", both, lower.Lower, upper.Upper)
	}
	_, err := Acceptance(Limits{2.7, 3.3}, 0.16, 0.95)
	refused(t, "u too large", err, "no-acceptance")

	guarded := must(Guarded(Limits{2.7, 3.3}, 0.18))(t) // w = U = 2u, r = 1
	near(t, "A_L", guarded.Lower, 2.88, 1e-12)
	near(t, "A_U", guarded.Upper, 3.12, 1e-12)
	_, err = Guarded(Limits{2.7, 3.3}, 0.31)
	refused(t, "nothing left", err, "no-acceptance")
	wide := must(Guarded(Limits{-open, 3.3}, -0.1))(t)
	near(t, "guarded rejection", wide.Upper, 3.4, 1e-12)
}

// Acceptance by the bracket against every p and width: p_c at the limits is p, a
// hair further out it is less.
func TestAcceptanceSolvesItsEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(0.01, 10).Draw(t, "u")
		width := rapid.Float64Range(0.1, 30).Draw(t, "width")
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		tolerance := Limits{-width * u / 2, width * u / 2}
		a, err := Acceptance(tolerance, u, p)
		middle, _ := Conformance(0, u, tolerance)
		if err != nil {
			if middle >= p {
				t.Fatalf("refused, though the middle conforms with %v", middle)
			}
			return
		}
		for _, y := range []float64{a.Lower, a.Upper} {
			at, _ := Conformance(y, u, tolerance)
			out, _ := Conformance(y+math.Copysign(1e-6*u, y), u, tolerance)
			if math.Abs(at-p) > 1e-9 || (out >= p && math.Abs(y) > 1e-3*u) {
				t.Fatalf("p_c(%v) = %v, just outside %v, want %v", y, at, out, p)
			}
		}
	})
}

// Over a partition of the axis the probabilities add to 1.
func TestConformanceAddsUpToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.Float64Range(-10, 10).Draw(t, "y")
		u := rapid.Float64Range(1e-3, 20).Draw(t, "u")
		cuts := rapid.SliceOfN(rapid.Float64Range(-50, 50), 1, 6).Draw(t, "cuts")
		slices.Sort(cuts)
		edges := append(append([]float64{-open}, cuts...), open)
		sum := 0.0
		for i := 1; i < len(edges); i++ {
			p, err := Conformance(y, u, Limits{edges[i-1], edges[i]})
			if err != nil || p < 0 || p > 1 {
				t.Fatal(p, err)
			}
			sum += p
		}
		if math.Abs(sum-1) > 1e-14 {
			t.Fatalf("sum %v", sum)
		}
	})
}

// Far out, digits are kept on either side alike (erfc by its asymptotic series,
// x = 20/sqrt 2: Q(20) = 2.7536241186e-89, Abramowitz and Stegun 26.2.12).
func TestConformanceKeepsSmallProbabilities(t *testing.T) {
	series := func(z float64) float64 {
		s, term := 0.0, 1.0
		for k := 1.0; k < 12; k++ {
			s += term
			term *= -(2*k - 1) / (z * z)
		}
		return s * math.Exp(-z*z/2) / (z * math.Sqrt(2*math.Pi))
	}
	for _, z := range []float64{10, 20, 30} {
		above := must(Conformance(0, 1, Limits{z, open}))(t)
		below := must(Conformance(0, 1, Limits{-open, -z}))(t)
		alike(t, "Q", above, series(z), 1e-10)
		near(t, "both sides alike", below, above, 0)
		alike(t, "a slice", must(Conformance(0, 1, Limits{z, z + 1}))(t), series(z)-series(z+1), 1e-10)
	}
	alike(t, "Q(20)", must(Conformance(0, 1, Limits{20, open}))(t), 2.7536241186e-89, 1e-10)
}

func TestConformanceWithoutUncertainty(t *testing.T) {
	for _, c := range []struct{ y, want float64 }{{2.7, 1}, {3, 1}, {3.3, 1}, {2.6999, 0}, {3.3001, 0}} {
		near(t, "p", must(Conformance(c.y, 0, Limits{2.7, 3.3}))(t), c.want, 0)
	}
	a := must(Acceptance(Limits{2.7, 3.3}, 0, 0.95))(t)
	if a != (Limits{2.7, 3.3}) {
		t.Errorf("acceptance %v", a)
	}
	near(t, "no width, some uncertainty", must(Conformance(3, 0.1, Limits{3, 3}))(t), 0, 0)
	near(t, "no limits", must(Conformance(3, 0.1, Limits{-open, open}))(t), 1, 0)
}

func TestConformanceRefuses(t *testing.T) {
	nan, ok := math.NaN(), Limits{2, 3}
	for _, l := range []Limits{{3, 2}, {nan, 3}, {2, nan}, {open, open}, {-open, -open}} {
		_, err := Conformance(2.5, 1, l)
		refused(t, "Conformance", err, "bad-limits")
		_, err = Acceptance(l, 1, 0.9)
		refused(t, "Acceptance", err, "bad-limits")
		_, err = Guarded(l, 0.1)
		refused(t, "Guarded", err, "bad-limits")
		_, err = Risk(Process{2.5, 1, 0.1}, l, ok)
		refused(t, "Risk", err, "bad-limits")
		_, err = Risk(Process{2.5, 1, 0.1}, ok, l)
		refused(t, "Risk", err, "bad-limits")
	}
	for _, y := range []float64{nan, open, -open} {
		_, err := Conformance(y, 1, ok)
		refused(t, "value", err, "bad-value")
		_, err = Guarded(ok, y)
		refused(t, "guard band", err, "bad-value")
		_, err = Risk(Process{y, 1, 0.1}, ok, ok)
		refused(t, "process", err, "bad-value")
	}
	for _, u := range []float64{nan, open, -1} {
		_, err := Conformance(2.5, u, ok)
		refused(t, "u", err, "bad-uncertainty")
		_, err = Acceptance(ok, u, 0.9)
		refused(t, "u", err, "bad-uncertainty")
		_, err = Risk(Process{2.5, 1, u}, ok, ok)
		refused(t, "u", err, "bad-uncertainty")
		_, err = Risk(Process{2.5, u, 1}, ok, ok)
		refused(t, "sd", err, "bad-uncertainty")
	}
	_, err := Risk(Process{2.5, 0, 1}, ok, ok)
	refused(t, "no spread", err, "bad-uncertainty")
	for _, p := range []float64{0, 1, nan, -0.5} {
		_, err := Acceptance(ok, 1, p)
		refused(t, "p", err, "bad-probability")
	}
}
