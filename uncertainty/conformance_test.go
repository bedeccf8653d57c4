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
	near(t, "no width, some uncertainty", must(Conformance(3, 0.1, Limits{3, 3}))(t), 0, 0)
	near(t, "no limits", must(Conformance(3, 0.1, Limits{-open, open}))(t), 1, 0)
}

func TestConformanceRefuses(t *testing.T) {
	nan, ok := math.NaN(), Limits{2, 3}
	for _, l := range []Limits{{3, 2}, {nan, 3}, {2, nan}, {open, open}, {-open, -open}} {
		_, err := Conformance(2.5, 1, l)
		refused(t, "Conformance", err, "bad-limits")
	}
	for _, y := range []float64{nan, open, -open} {
		_, err := Conformance(y, 1, ok)
		refused(t, "value", err, "bad-value")
	}
	for _, u := range []float64{nan, open, -1} {
		_, err := Conformance(2.5, u, ok)
		refused(t, "u", err, "bad-uncertainty")
	}
}
