package counting_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"

	"vialwright/counting"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// paired is a wipe of 300 cm2 counted for a minute, as long as its blank.
var (
	paired = counting.Method{Efficiency: 0.40, Wiped: 0.10, Area: 300}
	blank  = counting.Count{N: 100, Time: quantity.Minute}
)

func near(t *testing.T, name string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s is %.10g, not %.10g", name, got, want)
	}
}

func dpm(c quantity.Contamination) float64 { return float64(c / quantity.DpmPer100Cm2) }

// Critical level and detection limit by the formulas of L. A. Currie, Anal. Chem.
// 40 (1968) 586, worked out apart for these counts: equal times, a blank counted ten
// times as long, and a counter that cannot see 200 dpm/100 cm2 (an action level from
// memory of model procedures, not seen) within a minute.
func TestLimits(t *testing.T) {
	for _, c := range []struct {
		name                            string
		m                               counting.Method
		blank                           counting.Count
		critical, surface, dpm, counted float64
	}{
		{"equal times", paired, blank, 23.2617, 0.0683737, 410.24, 49.2290},
		{"long blank", counting.Method{Efficiency: 0.45, Wiped: 0.10, Area: 100}, counting.Count{N: 240, Time: 600}, 8.45141, 0.0726236, 435.74, 19.60837},
		{"blind to the level", counting.Method{Efficiency: 0.35, Wiped: 0.10, Area: 100}, counting.Count{N: 30, Time: 60}, k * math.Sqrt(60), 0.134226, 805.36, k*k + 2*k*math.Sqrt(60)},
	} {
		l, err := c.m.Limits(c.blank, quantity.Minute)
		if err != nil {
			t.Fatal(err)
		}
		w, _, _ := c.m.PerCount()
		near(t, c.name+": L_C", l.Critical, c.critical, 1e-5)
		near(t, c.name+": L_D", float64(l.Detectable/w)*60, c.counted, 1e-5)
		near(t, c.name+": Bq/cm2", float64(l.Detectable), c.surface, 1e-5)
		near(t, c.name+": dpm/100cm2", dpm(l.Detectable), c.dpm, 2e-5)
	}
	l, _ := paired.Limits(blank, quantity.Minute)
	near(t, "on the surface", float64(l.OnSample), 20.5121, 1e-5)
}

const k = 1.6448536269514722

// The time that sees 200 dpm/100 cm2, by the same formula solved for t: 840.84 s.
func TestTimes(t *testing.T) {
	m := counting.Method{Efficiency: 0.35, Wiped: 0.10, Area: 100}
	got, err := m.Times(200*quantity.DpmPer100Cm2, counting.Count{N: 30, Time: 60})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "each", float64(got.Each), 840.84, 1e-5)
	if got.Sample != 0 {
		t.Errorf("a blank of 30 counts sees the level after %v", got.Sample)
	}
}

// Counted as long as they ask for, the limits are the level that was asked.
func TestTimesReachTheLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := counting.Count{N: math.Floor(rapid.Float64Range(10, 1e5).Draw(t, "n")), Time: quantity.Span(rapid.Float64Range(10, 1e5).Draw(t, "t0"))}
		l, _ := paired.Limits(b, quantity.Span(rapid.Float64Range(1, 1e5).Draw(t, "t")))
		got, err := paired.Times(l.Detectable, b)
		if err != nil {
			t.Fatal(err)
		}
		check := func(name string, b counting.Count, at quantity.Span) {
			if back, _ := paired.Limits(b, at); math.Abs(float64(back.Detectable/l.Detectable)-1) > 1e-9 {
				t.Fatalf("%s: %v counted for %v s, asked %v", name, back.Detectable, at, l.Detectable)
			}
		}
		check("each", counting.Count{N: float64(b.Rate()) * float64(got.Each), Time: got.Each}, got.Each)
		check("sample", b, got.Sample)
	})
}

// A gross count of 310, and one of 118 that is no detection; worked out by hand
// from the same formulas.
func TestJudge(t *testing.T) {
	r, err := paired.Judge(counting.Count{N: 310, Time: 60}, blank)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Bq/cm2", float64(r.Surface), 0.291667, 2e-6)
	near(t, "u", float64(r.SurfaceU), 0.028123, 2e-5)
	near(t, "dpm", dpm(r.Surface), 1750, 1e-9)
	if !r.Detected || r.Chance > 1e-20 {
		t.Errorf("310 over 100: %+v", r)
	}
	r, _ = paired.Judge(counting.Count{N: 118, Time: 60}, blank)
	near(t, "upper", float64(r.Upper), 0.0587, 1e-3)
	near(t, "what is seen", float64(r.Limits.Detectable), 0.0684, 1e-3)
	if r.Detected || r.Best <= 0 || r.CoverTop <= r.Best {
		t.Errorf("118 over 100: %+v", r)
	}
	// Without an uncertainty of w the two detection limits are the same.
	near(t, "y#", float64(r.Detection), float64(r.Limits.Detectable), 1e-9)
	// 4 Bq/cm2 on 300 cm2 are 120 Bq on the wipe, 48 net counts a second.
	w, _, _ := paired.PerCount()
	near(t, "package limit", float64(4/w), 48, 1e-12)
}

// The exact chance against the sum of the binomial terms.
func TestChance(t *testing.T) {
	for _, c := range []struct{ gross, blank int }{{0, 3}, {3, 1}, {9, 2}, {20, 11}} {
		total, q, want := c.gross+c.blank, 1.0/3, 0.0
		for i := c.gross; i <= total; i++ {
			want += float64(combin.Binomial(total, i)) * math.Pow(q, float64(i)) * math.Pow(1-q, float64(total-i))
		}
		r, err := paired.Judge(counting.Count{N: float64(c.gross), Time: 60}, counting.Count{N: float64(c.blank), Time: 120})
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(c), r.Chance, want, 1e-12)
	}
}

func TestCount(t *testing.T) {
	// 60 000 counts in a minute, blind for 10 us after each: awake for 59.4 s.
	live, err := counting.Count{N: 60_000, Time: 60}.Live(10e-6)
	near(t, "live", float64(live.Time), 59.4, 1e-12)
	near(t, "rate", float64(live.Rate()), 1000/(1-1000*10e-6), 1e-12)
	if err != nil {
		t.Error(err)
	}
}

func TestRefuses(t *testing.T) {
	with := func(f func(*counting.Method)) counting.Method { m := paired; f(&m); return m }
	gross := counting.Count{N: 310, Time: 60}
	nan := math.NaN()
	for name, c := range map[string]struct {
		m            counting.Method
		gross, blank counting.Count
		code         string
	}{
		"no efficiency":     {with(func(m *counting.Method) { m.Efficiency = 0 }), gross, blank, "bad-value"},
		"efficiency of 40":  {with(func(m *counting.Method) { m.Efficiency = 40 }), gross, blank, "bad-value"},
		"nothing wiped":     {with(func(m *counting.Method) { m.Wiped = 0 }), gross, blank, "bad-value"},
		"no area":           {with(func(m *counting.Method) { m.Area = 0 }), gross, blank, "bad-value"},
		"NaN u":             {with(func(m *counting.Method) { m.WipedRelU = quantity.Fraction(nan) }), gross, blank, "bad-value"},
		"too uncertain":     {with(func(m *counting.Method) { m.EfficiencyRelU = 0.7 }), gross, blank, "no-detection-limit"},
		"no blank":          {paired, gross, counting.Count{N: 0, Time: 60}, "bad-count"},
		"negative":          {paired, counting.Count{N: -1, Time: 60}, blank, "bad-count"},
		"NaN":               {paired, counting.Count{N: nan, Time: 60}, blank, "bad-count"},
		"no time":           {paired, gross, counting.Count{N: 100}, "bad-count"},
		"far below a blank": {paired, counting.Count{N: 0, Time: 60}, counting.Count{N: 1e5, Time: 60}, "bad-count"},
	} {
		_, err := c.m.Judge(c.gross, c.blank)
		var e *uncertainty.Error
		if !errors.As(err, &e) || e.Code != c.code {
			t.Errorf("%s: %v, not %s", name, err, c.code)
		}
	}
	if _, err := (counting.Count{N: 1e6, Time: 1}).Live(1e-6); err == nil {
		t.Error("a counter that was always blind")
	}
	if _, err := paired.Times(0, blank); err == nil {
		t.Error("a level of nothing")
	}
}

func ExampleMethod_Judge() {
	m := counting.Method{Efficiency: 0.40, Wiped: 0.10, Area: 300 * quantity.SquareCentimetre}
	r, err := m.Judge(counting.Count{N: 310, Time: quantity.Minute}, counting.Count{N: 100, Time: quantity.Minute})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(quantity.Format(r.Surface, r.SurfaceU, "Bq/cm2"), r.Detected)
	fmt.Println("Seen from", quantity.Show(r.Limits.Detectable, 0))
	// Output:
	// 0.292 ± 0.028 Bq/cm² true
	// Seen from 0.06837 Bq/cm²
}
