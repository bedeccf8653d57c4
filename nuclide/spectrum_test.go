package nuclide_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/nuclide"
)

func spectrum(t testing.TB, z, a int, end nuclide.Energy, shape nuclide.Shape) *nuclide.Spectrum {
	t.Helper()
	s, err := nuclide.NewSpectrum(z, a, end, shape)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Another program's numbers for Y-90 with an end point of 2278.5 keV, printed
// to four or five digits; the tolerance is half the last one.
func TestY90MeanEnergyByShape(t *testing.T) {
	for _, c := range []struct {
		shape nuclide.Shape
		keV   float64
	}{
		{nuclide.Allowed, 927.36},
		{nuclide.FirstForbiddenUniquePlain, 946.48},
		{nuclide.FirstForbiddenUnique, 933.07},
	} {
		near(t, "mean", float64(spectrum(t, 40, 90, 2278.5, c.shape).Mean()), c.keV, 5.01e-3)
	}
}

func TestLambda2OfZirconium(t *testing.T) {
	s := spectrum(t, 40, 90, 2278.5, nuclide.FirstForbiddenUnique)
	for _, c := range []struct {
		at         nuclide.Energy
		want, last float64
	}{{100, 1.0125, 1e-4}, {500, 0.906, 1e-3}, {1000, 0.909, 1e-3}, {2000, 0.925, 1e-3}} {
		near(t, "lambda2", nuclide.Lambda2(s, c.at), c.want, c.last*0.501)
	}
}

func TestY90SpectrumTable(t *testing.T) {
	s := spectrum(t, 40, 90, 2278.5, nuclide.FirstForbiddenUnique)
	for _, c := range []struct{ mev, density, cumulative float64 }{
		{0.1, 0.4053, -1},
		{0.2, 0.4737, 0.0809},
		{0.4, 0.5701, 0.1862},
		{0.6, 0.6176, 0.3057},
		{0.8, 0.6292, 0.4309},
		{1.0, 0.6146, 0.5557},
		{1.2, 0.5765, 0.6752},
		{1.4, 0.5107, 0.7844},
		{1.6, 0.4110, 0.8772},
		{1.8, 0.2770, 0.9465},
		{2.0, 0.1270, 0.9869},
		{2.2, 0.0136, 0.9996},
	} {
		at := nuclide.Energy(c.mev * 1000)
		near(t, "per MeV", 1000*s.Density(at), c.density, 5.01e-5)
		if c.cumulative >= 0 {
			near(t, "cumulative", float64(s.Cumulative(at)), c.cumulative, 5.01e-5)
		}
	}
}

// ICRP Publication 107 (2008) gives 0.93310 MeV of electrons per decay of
// Y-90 and 0.19572 MeV for Sr-90. It has its own end points and Coulomb
// functions, known to about 0.1 % of a mean.
func TestMeansAgainstICRP107(t *testing.T) {
	y, want := spectrum(t, 40, 90, 2278.7, nuclide.FirstForbiddenUnique), nuclide.Y90.ElectronEnergies()[0].Value
	near(t, "Y-90", float64(y.Mean()/want), 1, 1e-3)
	sr, want := spectrum(t, 39, 90, 545.9, nuclide.FirstForbiddenUnique), nuclide.Sr90.ElectronEnergies()[0].Value
	near(t, "Sr-90", float64(sr.Mean()/want), 1, 1e-3)
	// the shape matters: an allowed one would miss by 0.6 % and 11 %
	for _, c := range []struct {
		z         int
		end, want nuclide.Energy
	}{{40, 2278.7, 933.10}, {39, 545.9, 195.72}} {
		if got := spectrum(t, c.z, 90, c.end, nuclide.Allowed).Mean(); math.Abs(float64(got/c.want)-1) < 5e-3 {
			t.Errorf("an allowed shape gives %v too", got)
		}
	}
}

// The evaluated means, each within twice its standard uncertainty; for the
// 513.97 keV branch of Cs-137 the stated 0.06 keV is smaller than what the
// choice of nuclear radius and the missing screening make (0.3 %).
func TestMeansAgainstEvaluations(t *testing.T) {
	for _, c := range []struct {
		n           nuclide.Nuclide
		branch, z   int
		a           int
		uncertainty float64
	}{
		{nuclide.Y90, 1, 40, 90, 2 * 0.7},
		{nuclide.Y90, 2, 40, 90, 2 * 0.6},
		{nuclide.Sr90, 1, 39, 90, 2 * 0.5},
		{nuclide.Cs137, 1, 56, 137, 0.003 * 174.32},
	} {
		end := c.n.Find(nuclide.QuantityBetaEndPoint, c.branch)[0].Value
		want := c.n.BetaMeanEnergies(c.branch)[0]
		s := spectrum(t, c.z, c.a, nuclide.Energy(end), nuclide.FirstForbiddenUnique)
		near(t, string(c.n), float64(s.Mean()), float64(want.Value), c.uncertainty)
	}
}

// The DDEP means of both forbidden branches of Y-90 are those of an allowed
// shape: 926.7(8) and 163.7(6) keV.
func TestDDEPMeansOfY90AreAllowedShapes(t *testing.T) {
	near(t, "main branch", float64(spectrum(t, 40, 90, 2278.7, nuclide.Allowed).Mean()), 926.7, 2*0.8)
	near(t, "second branch", float64(spectrum(t, 40, 90, 518.0, nuclide.Allowed).Mean()), 163.7, 2*0.6)
}

func TestSpectrumProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.IntRange(1, 100).Draw(t, "z")
		a := rapid.IntRange(2*z, 3*z).Draw(t, "a")
		end := nuclide.Energy(rapid.Float64Range(5, 10e3).Draw(t, "end"))
		shape := rapid.SampledFrom([]nuclide.Shape{
			nuclide.Allowed, nuclide.FirstForbiddenUnique, nuclide.FirstForbiddenUniquePlain,
		}).Draw(t, "shape")
		s, err := nuclide.NewSpectrum(z, a, end, shape)
		if err != nil {
			t.Fatal(err)
		}
		if s.Density(-1) != 0 || s.Density(end*1.01) != 0 || s.Cumulative(0) != 0 || s.Cumulative(end) != 1 {
			t.Fatal("something lies outside 0 to the end point")
		}
		// normalised, and the mean is the integral of 1 - cumulative
		last, tail, n := 0.0, 0.0, 60
		for i := 1; i <= n; i++ {
			at := end * nuclide.Energy(i) / nuclide.Energy(n)
			c := float64(s.Cumulative(at))
			if c < last-1e-12 || s.Density(at) < 0 {
				t.Fatalf("at %v the cumulative falls from %v to %v", at, last, c)
			}
			tail += float64(end) / float64(n) * (1 - (c+last)/2)
			last = c
		}
		near1 := float64(s.Cumulative(end * (1 - 1e-12)))
		if math.Abs(near1-1) > 1e-9 || math.Abs(tail/float64(s.Mean())-1) > 1e-3 { // trapezia of 1/60
			t.Fatalf("cumulative ends at %v, mean %v against %v", near1, s.Mean(), tail)
		}
	})
}

// Towards zero energy the density is finite and smooth: the form for p = 0
// and the general one meet.
func TestDensityAtZeroEnergy(t *testing.T) {
	for _, shape := range []nuclide.Shape{nuclide.Allowed, nuclide.FirstForbiddenUnique} {
		s := spectrum(t, 40, 90, 2278.5, shape)
		zero := s.Density(0)
		for _, e := range []nuclide.Energy{1e-12, 1e-9, 1e-7, 1e-6, 1e-5, 1e-4} {
			// the slope is of order 1e-3 per keV
			near(t, "near 0", s.Density(e)/zero, 1, 1e-10+5e-3*float64(e))
		}
	}
}

func TestSpectrumRefusals(t *testing.T) {
	for _, c := range []struct {
		z, a  int
		end   float64
		shape nuclide.Shape
	}{
		{0, 90, 1000, 0},
		{119, 300, 1000, 0},
		{40, 39, 1000, 0},
		{40, 301, 1000, 0},
		{40, 90, 0.9, 0},
		{40, 90, 20001, 0},
		{40, 90, math.NaN(), 0},
		{40, 90, 1000, -1},
		{40, 90, 1000, 3},
	} {
		if s, err := nuclide.NewSpectrum(c.z, c.a, nuclide.Energy(c.end), c.shape); code(err) != nuclide.InvalidSpectrum || s != nil {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// NIST Digital Library of Mathematical Functions 5.4.3 and 5.4.4:
// |Gamma(1+iy)|^2 = pi y/sinh(pi y), |Gamma(1/2+iy)|^2 = pi/cosh(pi y).
func TestLogGammaDLMF54(t *testing.T) {
	for _, y := range []float64{1e-3, 0.1, 0.3, 1, 2, 5, 11.9, 12.1, 30, 200} {
		lnSinh := math.Pi*y + math.Log(-math.Expm1(-2*math.Pi*y)) - math.Ln2
		lnCosh := math.Pi*y + math.Log1p(math.Exp(-2*math.Pi*y)) - math.Ln2
		near(t, "1+iy", 2*real(nuclide.LogGamma(complex(1, y))), math.Log(math.Pi*y)-lnSinh, 1e-14+1e-15*math.Pi*y)
		near(t, "1/2+iy", 2*real(nuclide.LogGamma(complex(0.5, y))), math.Log(math.Pi)-lnCosh, 1e-14+1e-15*math.Pi*y)
	}
}

func TestLogGammaRealAxis(t *testing.T) {
	for _, x := range []float64{1e-8, 0.25, 0.5, 1, 1.5, 2, 3, 11.999, 12, 25, 171, 1e6} {
		want, _ := math.Lgamma(x)
		got := nuclide.LogGamma(complex(x, 0))
		near(t, "real part", real(got), want, 3e-14+3e-15*math.Abs(want))
		near(t, "imaginary part", imag(got), 0, 0)
	}
}

// Gamma(z+1) = z Gamma(z) across the border of the series, and the mirror
// image of z gives the mirror image.
func TestLogGammaRecurrence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := complex(rapid.Float64Range(0.01, 20).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y"))
		got, up, mirror := nuclide.LogGamma(z), nuclide.LogGamma(z+1), nuclide.LogGamma(complex(real(z), -imag(z)))
		lnAbs, arg := math.Log(math.Hypot(real(z), imag(z))), math.Atan2(imag(z), real(z))
		if math.Abs(real(up-got)-lnAbs) > 3e-13 || math.Abs(imag(up-got)-arg) > 3e-13 {
			t.Fatalf("%v and %v at %v", got, up, z)
		}
		if real(mirror) != real(got) || imag(mirror) != -imag(got) {
			t.Fatalf("%v is no mirror of %v", mirror, got)
		}
	})
}
