package settling

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// fitted are readings without scatter, read to u.
func fitted(t *testing.T, a, tau, u float64) CurveFit {
	t.Helper()
	rs := curve(3e9, a, tau, 0, 1, minutes...)
	for i := range rs {
		rs[i].U = quantity.Activity(u)
	}
	s, err := FitReadings(rs)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// By hand: with a = −4 % and tau = 70 s a reading is 1 % off after
// −70·ln(3/4) = 20.138 s, 2 % after 48.52 s, and never 4 %. With +20 % and
// 5000 s, 2.2619 % is reached only after the last reading at 600 s.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		a, tau, tolerance, want float64
		ends                    bool
	}{
		{-0.04, 70, 0.01, 20.138, true},
		{-0.04, 70, 0.02, 48.520, true},
		{-0.04, 70, 0.04, 600, false},
		{-0.04, 70, 0.05, 600, false},
		{0.2, 5000, 0.01, 256.466, true},
		{0.2, 5000, 0.0227, 600, false},
		{0, 70, 0.01, 600, false},
	} {
		// A tau beyond three times the last reading cannot be found: it is given.
		s := fitted(t, c.a, c.tau, 3e6)
		if c.tau > 1800 {
			s = CurveFit{Fresh: 3e9, Amplitude: quantity.Fraction(c.a), Tau: quantity.Span(c.tau), Effect: true, Last: 600}
		}
		got, ends := s.Within(quantity.Fraction(c.tolerance))
		if math.Abs(float64(got)-c.want) > 2e-3 || ends != c.ends {
			t.Errorf("a %v, tau %v: %v off after %v, %v, want %v, %v", c.a, c.tau, c.tolerance, got, ends, c.want, c.ends)
		}
	}
}

// TestOff: right after agitation nothing, after one tau 1 − 1/e of a.
func TestOff(t *testing.T) {
	s := fitted(t, -0.04, 70, 3e6)
	for at, want := range map[quantity.Span]float64{0: 0, 70: -0.04 * (1 - 1/math.E), 600: -0.04 * (1 - math.Exp(-600.0/70))} {
		off, u, err := s.Off(at)
		if err != nil || math.Abs(float64(off)-want) > 1e-7 || u < 0 || u > 0.002 {
			t.Errorf("at %v off %v ± %v, %v; want %v", at, off, u, err, want)
		}
		if got := float64(s.Reads(at)/s.Fresh) - 1; math.Abs(got-want) > 1e-7 {
			t.Errorf("at %v it reads %v off", at, got)
		}
	}
	if _, _, err := s.Off(601); err == nil {
		t.Error("a time that was not read is told of")
	}
	flat := fitted(t, 0, 70, 3e6)
	if off, _, err := flat.Off(60); off != 0 || err != nil {
		t.Errorf("without an effect a reading is off by %v, %v", off, err)
	}
}

// TestOffAmplitudeU: the uncertainty of the change is the scatter that
// it has over many fits. 400 fits know a standard deviation to 3.5 %; three of
// that, and the curvature of a ratio, are allowed.
func TestOffAmplitudeU(t *testing.T) {
	var sum, square, u float64
	const fits = 400
	for seed := range uint64(fits) {
		s, err := FitReadings(curve(3e9, -0.08, 70, 6e6, seed, minutes...))
		if err != nil {
			t.Fatal(err)
		}
		_, ua, _ := s.U()
		if !(s.Chi2 > float64(s.DOF)) {
			u += float64(ua) // not enlarged
			square++
		}
		sum += float64(s.Amplitude)
	}
	u, mean := u/square, sum/fits
	var v float64
	for seed := range uint64(fits) {
		s, err := FitReadings(curve(3e9, -0.08, 70, 6e6, seed, minutes...))
		if err != nil {
			t.Fatal(err)
		}
		v += (float64(s.Amplitude) - mean) * (float64(s.Amplitude) - mean)
	}
	if sd := math.Sqrt(v / (fits - 1)); math.Abs(u/sd-1) > 0.12 {
		t.Errorf("u(a) is %v, the scatter %v", u, sd)
	}
}

// TestWithinIsWhereItIsOff: at the time given a reading is off by the
// tolerance, before it by less.
func TestWithinIsWhereItIsOff(t *testing.T) {
	s := fitted(t, 0.07, 90, 3e6)
	rapid.Check(t, func(t *rapid.T) {
		tolerance := quantity.Fraction(rapid.Float64Range(1e-4, 0.069).Draw(t, "tolerance"))
		until, ends := s.Within(tolerance)
		if !ends {
			t.Fatalf("%v is never reached", tolerance)
		}
		at, _, err := s.Off(until)
		before, _, err2 := s.Off(until / 2)
		if err != nil || err2 != nil || math.Abs(float64(at-tolerance)) > 1e-9 || !(before < tolerance) {
			t.Fatalf("off %v at %v, %v before; %v", at, until, before, tolerance)
		}
	})
}
