package counting_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
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
// memory of model procedures, not seen) within a minute. The whole gross count beside
// the critical level on either side is judged by it.
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
		w, err := c.m.PerCount()
		if err != nil {
			t.Fatal(err)
		}
		at := c.blank.N*60/float64(c.blank.Time) + c.critical
		below, above := judged(t, c.m, math.Floor(at), 60, c.blank), judged(t, c.m, math.Ceil(at), 60, c.blank)
		if below.Detected || !above.Detected {
			t.Errorf("%s: L_C of %v: %v below it, %v above it", c.name, c.critical, below.Detected, above.Detected)
		}
		near(t, c.name+": L_D", float64(below.Detectable/w)*60, c.counted, 1e-5)
		near(t, c.name+": Bq/cm2", float64(above.Detectable), c.surface, 1e-5)
		near(t, c.name+": dpm/100cm2", dpm(above.Detectable), c.dpm, 2e-5)
	}
}

// The formulas as printed for paired counts, L_C = 2.33 sqrt(B), L_D = 2.71 + 4.65 sqrt(B),
// and for a blank counted very long, L_D = 2.71 + 3.29 sqrt(B).
func TestCurrieTable(t *testing.T) {
	each := counting.Method{Efficiency: 1, Wiped: 1, Area: 1}
	for _, c := range []struct{ b, critical, detectable float64 }{
		{10, 7.356, 17.418}, {25, 11.631, 25.968}, {50, 16.449, 35.603}, {100, 23.262, 49.229}, {400, 46.523, 95.753},
	} {
		b := counting.Count{N: c.b, Time: 1}
		r := judged(t, each, c.b+c.critical-1e-3, 1, b)
		if r.Detected || !judged(t, each, c.b+c.critical+1e-3, 1, b).Detected {
			t.Errorf("L_C of %v is not %v", c.b, c.critical)
		}
		near(t, "L_D", float64(r.Detectable), c.detectable, 1e-4)
		near(t, "L_D as printed", float64(r.Detectable), 2.71+4.65*math.Sqrt(c.b), 2e-3)
	}
	near(t, "L_D, blank known", float64(judged(t, each, 100, 1, counting.Count{N: 100e6, Time: 1e6}).Detectable), 2.7055+32.897, 1e-4)
}

// What the limits promise, by exact Poisson probabilities at B = 100 paired: a
// count above L_C comes by chance about 5 % of the time, one at L_D is missed
// about 5 % of the time. Whole counts make both steps of about 1 %.
func TestCurrieKeepsItsPromise(t *testing.T) {
	each := counting.Method{Efficiency: 1, Wiped: 1, Area: 1}
	limit := judged(t, each, 100, 1, counting.Count{N: 100, Time: 1})
	critical := 100.0
	for !judged(t, each, critical+1, 1, counting.Count{N: 100, Time: 1}).Detected {
		critical++
	}
	exceeds := func(signal float64) float64 {
		p := 0.0
		for n := range 400 { // blank of n counts, expected 100
			g, _ := math.Lgamma(float64(n) + 1)
			// P(N >= n) of a Poisson count, Abramowitz and Stegun 26.4.21
			p += math.Exp(float64(n)*math.Log(100)-100-g) * mathext.GammaIncReg(float64(n)+critical-100+1, 100+signal)
		}
		return p
	}
	near(t, "false alarms", exceeds(0), 0.05, 0.2)
	near(t, "misses at L_D", 1-exceeds(float64(limit.Detectable)), 0.05, 0.2)
}

// The counts of example 1a of ISO 11929:2010 (annex D), the calibration factor taken as
// exact: the primary result as filed with it, and the detection limit by the standard's own
// iteration, y# <- y* + k u~(y#).
func TestISO11929(t *testing.T) {
	m := counting.Method{Efficiency: 0.3, Wiped: 0.6, Area: 0.5}
	r := judged(t, m, 2591, 360, counting.Count{N: 41782, Time: 7200})
	near(t, "y", float64(r.Surface), 15.4907407, 5e-9)
	w, r0 := 1/(0.3*0.6*0.5), 41782.0/7200
	near(t, "u(y)", float64(r.SurfaceU), w*math.Sqrt(2591.0/360/360+r0/7200), 1e-12)
	threshold := k * w * math.Sqrt(r0/360+r0/7200)
	limit := threshold
	for range 100 {
		limit = threshold + k*w*math.Sqrt((limit/w+r0)/360+r0/7200)
	}
	near(t, "y#", float64(r.Detectable), limit, 1e-12)
	if !r.Detected {
		t.Error("not detected")
	}
}

func judged(t *testing.T, m counting.Method, n float64, time quantity.Span, blank counting.Count) counting.Result {
	t.Helper()
	r, err := m.Judge(counting.Count{N: n, Time: time}, blank)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const k = 1.6448536269514722

// The time that sees 200 dpm/100 cm2, by the same formula solved for t: 840.84 s.
func TestTime(t *testing.T) {
	m := counting.Method{Efficiency: 0.35, Wiped: 0.10, Area: 100}
	got, err := m.Time(200*quantity.DpmPer100Cm2, counting.Count{N: 30, Time: 60})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "time", float64(got), 840.84, 1e-5)
}

// Counted as long as it asks for, the limit is the level that was asked.
func TestTimeReachesTheLevel(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := counting.Count{N: math.Floor(rapid.Float64Range(10, 1e5).Draw(r, "n")), Time: quantity.Span(rapid.Float64Range(10, 1e5).Draw(r, "t0"))}
		at := quantity.Span(rapid.Float64Range(1, 1e5).Draw(r, "t"))
		level := judged(t, paired, float64(b.Rate())*float64(at), at, b).Detectable
		got, err := paired.Time(level, b)
		if err != nil {
			r.Fatal(err)
		}
		n := float64(b.Rate()) * float64(got)
		if n < 1 { // no blank to count on
			return
		}
		if back := judged(t, paired, n, got, counting.Count{N: n, Time: got}).Detectable; math.Abs(float64(back/level)-1) > 1e-9 {
			r.Fatalf("%v counted for %v s, asked %v", back, got, level)
		}
	})
}

// A gross count of 310, and one of 118 that is no detection; worked out by hand
// from the same formulas.
func TestJudge(t *testing.T) {
	r := judged(t, paired, 310, 60, blank)
	near(t, "Bq/cm2", float64(r.Surface), 0.291667, 2e-6)
	near(t, "u", float64(r.SurfaceU), 0.028123, 2e-5)
	near(t, "dpm", dpm(r.Surface), 1750, 1e-9)
	if !r.Detected {
		t.Errorf("310 over 100: %+v", r)
	}
	r = judged(t, paired, 118, 60, blank)
	near(t, "what is seen", float64(r.Detectable), 0.0684, 1e-3)
	if r.Detected {
		t.Errorf("118 over 100: %+v", r)
	}
	if r = judged(t, paired, 80, 60, blank); r.Detected || r.Surface >= 0 {
		t.Errorf("80 over 100: %+v", r)
	}
	// 4 Bq/cm2 on 300 cm2 are 120 Bq on the wipe, 48 net counts a second.
	w, _ := paired.PerCount()
	near(t, "package limit", float64(4/w), 48, 1e-12)
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
		"no efficiency":             {with(func(m *counting.Method) { m.Efficiency = 0 }), gross, blank, "bad-value"},
		"efficiency of 40":          {with(func(m *counting.Method) { m.Efficiency = 40 }), gross, blank, "bad-value"},
		"nothing wiped":             {with(func(m *counting.Method) { m.Wiped = 0 }), gross, blank, "bad-value"},
		"no area":                   {with(func(m *counting.Method) { m.Area = 0 }), gross, blank, "bad-value"},
		"NaN wiped":                 {with(func(m *counting.Method) { m.Wiped = quantity.Fraction(nan) }), gross, blank, "bad-value"},
		"an area of nearly nothing": {with(func(m *counting.Method) { m.Area = 1e-310 }), gross, blank, "bad-value"},
		"infinite area":             {with(func(m *counting.Method) { m.Area = quantity.Area(math.Inf(1)) }), gross, blank, "bad-value"},
		"endless":                   {paired, counting.Count{N: 310, Time: 1e300}, counting.Count{N: 100, Time: 1e-300}, "bad-count"},
		"no blank":                  {paired, gross, counting.Count{N: 0, Time: 60}, "bad-count"},
		"negative":                  {paired, counting.Count{N: -1, Time: 60}, blank, "bad-count"},
		"NaN":                       {paired, counting.Count{N: nan, Time: 60}, blank, "bad-count"},
		"no time":                   {paired, gross, counting.Count{N: 100}, "bad-count"},
		"far below a blank":         {paired, counting.Count{N: 0, Time: 60}, counting.Count{N: 1e5, Time: 60}, "bad-count"},
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
	if _, err := paired.Time(0, blank); err == nil {
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
	fmt.Println("Seen from", quantity.Show(r.Detectable, 0))
	// Output:
	// 0.292 ± 0.028 Bq/cm² true
	// Seen from 0.06837 Bq/cm²
}
