package settling

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"vialwright/quantity"
)

// curve makes readings of y = b (1 + a (1 - exp(-t/tau))) with scatter.
func curve(b, a, tau, u float64, seed uint64, times ...float64) []Reading {
	rng := rand.New(rand.NewPCG(seed, 1))
	var rs []Reading
	for _, t := range times {
		y := b * (1 - a*math.Expm1(-t/tau))
		rs = append(rs, Reading{quantity.Span(t), quantity.Activity(y + u*rng.NormFloat64()), quantity.Activity(u)})
	}
	return rs
}

var minutes = []float64{0, 15, 30, 45, 60, 90, 120, 180, 240, 300, 420, 600}

// Without scatter the parameters come back.
func TestFitReadingsRecoversExactData(t *testing.T) {
	rs := curve(3.1e9, -0.042, 70, 0, 1, minutes...)
	for i := range rs {
		rs[i].U = 5e6
	}
	s, err := FitReadings(rs)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "b", float64(s.Fresh), 3.1e9, 1e-9)
	near(t, "a", float64(s.Amplitude), -0.042, 1e-6)
	near(t, "tau", float64(s.Tau), 70, 1e-5)
	if !s.Effect || s.TauHeld || s.Chi2 > 1e-6 {
		t.Errorf("%+v", s)
	}
	f, _, err := s.Correction(100)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "factor at 100 s", float64(f), 1/(1-0.042*(1-math.Exp(-100.0/70))), 1e-7)
}

// scipy's curve_fit on the same scattered readings: parameters and, where
// chi-square asks for no enlargement, standard uncertainties.
func TestFitReadingsAgainstScipy(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		rs := curve(2.9e9, 0.06, 110, 9e6, seed, minutes...)
		s, err := FitReadings(rs)
		if err != nil {
			t.Fatal(err)
		}
		var args []float64
		for _, r := range rs {
			args = append(args, float64(r.At), float64(r.Value), float64(r.U))
		}
		rows := peer(t, "reading.py", args...)
		near(t, "b", float64(s.Fresh), rows[0][0], 1e-6)
		near(t, "a", float64(s.Amplitude), rows[0][1], 1e-4)
		near(t, "tau", float64(s.Tau), rows[0][2], 1e-3)
		near(t, "chi2", s.Chi2, rows[2][0], 1e-6)
		grow := math.Max(1, s.Chi2/float64(s.DOF))
		near(t, "u(b)", math.Sqrt(s.cov[0][0]/grow), rows[1][0], 1e-3)
		near(t, "u(tau)", math.Sqrt(s.cov[2][2]/grow), rows[1][2], 5e-3)
	}
}

// Over many sets of readings the correction scatters as it says and is centred.
func TestCorrectionUncertaintyIsHonest(t *testing.T) {
	const n = 400
	truth := 1 / (1 - 0.05*(1-math.Exp(-60.0/80)))
	sum, square, said := 0.0, 0.0, 0.0
	for seed := range uint64(n) {
		s, err := FitReadings(curve(3e9, -0.05, 80, 5e6, seed, minutes...))
		if err != nil {
			t.Fatal(err)
		}
		f, u, err := s.Correction(60)
		if err != nil {
			t.Fatal(err)
		}
		d := float64(f) - truth
		sum += d / n
		square += d * d / n
		said += float64(u) / n
	}
	scatter := math.Sqrt(square)
	if abs(sum) > 4*scatter/math.Sqrt(n) {
		t.Errorf("off by %g on average, scatter %g", sum, scatter)
	}
	// 400 sets give the scatter to 3.5 %; enlargement by chi-square adds some.
	if !(said > 0.93*scatter && said < 1.25*scatter) {
		t.Errorf("says %g, scatters by %g", said, scatter)
	}
}

// A meter that does not see settling is left alone, with an uncertainty. At the
// 95 % level some sets look like settling; freeing tau makes it a few more than
// one in twenty.
func TestFitReadingsWithoutEffect(t *testing.T) {
	const n = 300
	seen := 0
	for seed := range uint64(n) {
		s, err := FitReadings(curve(3e9, 0, 80, 5e6, seed, minutes...))
		if err != nil {
			t.Fatal(err)
		}
		if s.Effect {
			seen++
			continue
		}
		f, u, err := s.Correction(120)
		if err != nil || !s.TauHeld || f != 1 || !(u > 0 && u < 0.005) {
			t.Errorf("%+v: factor %v, u %v, %v", s, f, u, err)
		}
	}
	if seen < n/50 || seen > n/10 {
		t.Errorf("an effect seen in %d of %d", seen, n)
	}
}

func TestFitReadingsRefusals(t *testing.T) {
	good := curve(3e9, -0.05, 80, 5e6, 1, minutes...)
	for name, change := range map[string]func([]Reading) []Reading{
		"three readings": func(r []Reading) []Reading { return r[:3] },
		"two times":      func(r []Reading) []Reading { return []Reading{r[0], r[0], r[0], r[1], r[1]} },
		"negative time":  func(r []Reading) []Reading { r[0].At = -1; return r },
		"no uncertainty": func(r []Reading) []Reading { r[3].U = 0; return r },
		"NaN":            func(r []Reading) []Reading { r[3].Value = quantity.Activity(math.NaN()); return r },
	} {
		var e *Error
		if _, err := FitReadings(change(append([]Reading(nil), good...))); !errors.As(err, &e) {
			t.Errorf("%s: %v", name, err)
		}
	}
	s, err := FitReadings(good)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []quantity.Span{-1, 601} {
		var e *Error
		if _, _, err := s.Correction(at); !errors.As(err, &e) || e.Input != "at" {
			t.Errorf("correction at %v: %v", at, err)
		}
	}
}
