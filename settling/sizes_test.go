package settling

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"vialwright/quantity"
)

// Shares add to one; number mean and mean sphere volume, and the dilute flux
// <d^5>/<d^3>, do not depend on the number of classes.
func TestSplitKeepsMoments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		um := func(x float64) quantity.Length { return quantity.Length(x) * quantity.Micrometre }
		s := Sizes{
			Mean: um(rapid.Float64Range(30, 38).Draw(t, "mean")), SD: um(rapid.Float64Range(0.5, 6).Draw(t, "sd")),
			Min: um(20), Max: um(60),
		}
		n := rapid.IntRange(1, 40).Draw(t, "classes")
		classes, ball, err := s.Split(n)
		if err != nil {
			t.Fatal(err)
		}
		whole, ball1, err := s.Split(1)
		if err != nil {
			t.Fatal(err)
		}
		var surface, volume, flux, one float64
		last := math.Inf(1)
		for _, c := range classes {
			d := float64(c.Diameter)
			if d > last || d < 0.02 || d > 0.06 {
				t.Fatalf("diameter %v mm after %v", d, last)
			}
			last = d
			surface += float64(c.Surface)
			volume += float64(c.Volume)
			flux += float64(c.Volume) * d * d
		}
		one = float64(whole[0].Diameter)
		for what, x := range map[string][2]float64{
			"surfaces": {surface, 1}, "volumes": {volume, 1},
			"dilute flux": {flux, one * one}, "mean volume": {float64(ball), float64(ball1)},
		} {
			if abs(x[0]-x[1]) > 1e-9*x[1] {
				t.Fatalf("%s %v, want %v", what, x[0], x[1])
			}
		}
	})
}

// Moments of a log-normal distribution cut at a and b have a closed form,
//
//	<d^k> = exp(k m + k^2 s^2/2) [Phi(beta - k s) - Phi(alpha - k s)]/[Phi(beta) - Phi(alpha)],
//
// with alpha = (ln a - m)/s. The fitted m and s must give back mean and
// standard deviation, and the mean sphere volume.
func TestSplitAgainstClosedForm(t *testing.T) {
	sizes := Default().Sizes
	s, err := sizes.spectrum()
	if err != nil {
		t.Fatal(err)
	}
	phi := distuv.UnitNormal.CDF
	moment := func(k float64) float64 {
		a, b := (math.Log(20)-s.centre)/s.spread, (math.Log(60)-s.centre)/s.spread
		return math.Exp(k*s.centre+k*k*s.spread*s.spread/2) * (phi(b-k*s.spread) - phi(a-k*s.spread)) / (phi(b) - phi(a))
	}
	near(t, "mean", moment(1), 32.5, 1e-9)
	near(t, "standard deviation", math.Sqrt(moment(2)-moment(1)*moment(1)), 5, 1e-8)
	_, ball, _ := sizes.Split(16)
	near(t, "mean sphere volume in mL", float64(ball), math.Pi/6*moment(3)*1e-12, 1e-9)
	// 60e6 equal spheres of 32.5 um are 1.078 mL, 0.216 of 5 mL; a spread of
	// 5 um adds 3 (sd/mean)^2 and a little skewness.
	equal := sizes
	equal.SD = 0
	_, ball, _ = equal.Split(16)
	near(t, "volume of 60e6 spheres in mL", 60e6*float64(ball), 1.078, 1e-3)
}

func TestSplitRefusals(t *testing.T) {
	good := Default().Sizes
	for name, c := range map[string]struct {
		change func(*Sizes)
		input  string
	}{
		"mean":     {func(s *Sizes) { s.Mean = 0 }, "Sizes.Mean"},
		"mean NaN": {func(s *Sizes) { s.Mean = quantity.Length(math.NaN()) }, "Sizes.Mean"},
		"sd":       {func(s *Sizes) { s.SD = -1 }, "Sizes.SD"},
		"too wide": {func(s *Sizes) { s.SD = 0.018 }, "Sizes.SD"},
		"min":      {func(s *Sizes) { s.Min = 0.04 }, "Sizes.Min"},
		"max":      {func(s *Sizes) { s.Max = 0.03 }, "Sizes.Max"},
	} {
		s := good
		c.change(&s)
		var e *Error
		if _, _, err := s.Split(7); !errors.As(err, &e) || e.Input != c.input {
			t.Errorf("%s: %v, want a refusal of %s", name, err, c.input)
		}
	}
	var e *Error
	if _, _, err := good.Split(0); !errors.As(err, &e) || e.Input != "Classes" {
		t.Errorf("no classes: %v", err)
	}
}
