package nuclide_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/nuclide"
	"vialwright/quantity"
)

var start = time.Date(2027, 3, 4, 18, 0, 0, 0, time.UTC)

// A time.Duration ends at 292 years; elapsed times must not.
func TestElapsedBeyondADuration(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     float64
	}{
		{"same", start, start, 0},
		{"half a second", start, start.Add(500 * time.Millisecond), 0.5},
		{"half a second back", start, start.Add(-500 * time.Millisecond), -0.5},
		{"one nanosecond", start, start.Add(1), 1e-9},
		// 400 Gregorian years are 146 097 days
		{"400 years", start, start.AddDate(400, 0, 0), 146097 * 86400},
		{"400 years back", start, start.AddDate(-400, 0, 0), -146097 * 86400},
		{"from no time at all", time.Time{}, time.Unix(0, 0), 62135596800},
	} {
		if got := nuclide.Elapsed(c.from, c.to); float64(got) != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// One instant written in two zones is one instant, also across the hour that
// a clock change takes away (here as fixed offsets, so no zone data needed).
func TestElapsedIgnoresTheZone(t *testing.T) {
	winter, summer := time.FixedZone("", -3600), time.FixedZone("", 0)
	before := time.Date(2027, 3, 27, 23, 30, 0, 0, winter) // 00:30 UTC
	after := time.Date(2027, 3, 28, 1, 30, 0, 0, summer)   // 01:30 UTC
	if got := nuclide.Elapsed(before, after); got != quantity.Hour {
		t.Errorf("%v", got)
	}
	if got := nuclide.Elapsed(before, before.In(summer)); got != 0 {
		t.Errorf("%v", got)
	}
}

func TestElapsedAndShiftUndoEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-1e9, 4e9).Draw(t, "s"), rapid.Int64Range(0, 999999999).Draw(t, "ns"))
		// up to ten days a float64 resolves 0.12 ns, so a nanosecond survives
		to := at.Add(time.Duration(rapid.Int64Range(-864e12, 864e12).Draw(t, "by")))
		got, err := nuclide.Shift(at, nuclide.Elapsed(at, to))
		if err != nil || !got.Equal(to) || got.Location() != at.Location() {
			t.Fatalf("%v, want %v (%v)", got, to, err)
		}
		if nuclide.Elapsed(at, to) != -nuclide.Elapsed(to, at) {
			t.Fatal("there is not the opposite of back")
		}
	})
}

func TestShiftRefusesWhatARecordCannotHold(t *testing.T) {
	for _, by := range []quantity.Span{
		quantity.Span(math.NaN()), quantity.Span(math.Inf(1)), -1e300, 1e12, 8000 * quantity.Year, -2100 * quantity.Year,
	} {
		if got, err := nuclide.Shift(start, by); code(err) != nuclide.OutOfRange || !got.IsZero() {
			t.Errorf("%v: %v, %v", by, got, err)
		}
	}
}

func TestCarryRefusesWrongYears(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	for name, c := range map[string]struct {
		a        quantity.Activity
		from, to time.Time
	}{
		"no reference time":      {3e9, time.Time{}, start},
		"no target time":         {3e9, start, time.Time{}},
		"ten years late":         {3e9, start, start.AddDate(10, 0, 0)},
		"ten years early":        {3e9, start, start.AddDate(-10, 0, 0)},
		"overflow of the result": {1e300, start, start.AddDate(-2, 0, 0)},
		"not a number":           {quantity.Activity(math.NaN()), start, start},
		"infinite":               {quantity.Activity(math.Inf(-1)), start, start},
	} {
		if got, err := h.Carry(c.a, c.from, c.to); code(err) != nuclide.OutOfRange || got != 0 {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
	if got, err := h.Carry(0, start, start.AddDate(1, 0, 0)); err != nil || got != 0 {
		t.Errorf("nothing stays nothing: %v, %v", got, err)
	}
}

func TestCarryThereAndBack(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	rapid.Check(t, func(t *rapid.T) {
		a := quantity.Activity(rapid.Float64Range(-1e12, 1e12).Draw(t, "a"))
		to := start.Add(time.Duration(rapid.Int64Range(-5e15, 5e15).Draw(t, "by"))) // 58 days
		there, err := h.Carry(a, start, to)
		if err != nil {
			t.Fatal(err)
		}
		back, err := h.Carry(there, to, start)
		if err != nil || math.Abs(float64(back-a)) > 1e-15*math.Abs(float64(a)) {
			t.Fatalf("%v came back as %v (%v)", a, back, err)
		}
	})
}

func TestUntilUndoesTheFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := nuclide.HalfLife{Value: quantity.Span(halfLives.Draw(t, "T")), Source: "x"}
		span := h.Value * quantity.Span(manyTimes.Draw(t, "t"))
		a := quantity.Activity(rapid.Float64Range(1e-3, 1e15).Draw(t, "a"))
		got, err := h.Until(a, a*quantity.Activity(nuclide.Factor(h.Value, span)))
		// a rounding of the ratio by 2e-16 is 3e-16 half-lives; 30 of them
		// are known to 4e-15
		if err != nil || math.Abs(float64((got-span)/h.Value)) > 1e-14 {
			t.Fatalf("%v, want %v (%v)", got, span, err)
		}
	})
}

func TestUntilRefusesAndReachesTheExtremes(t *testing.T) {
	h := nuclide.HalfLife{Value: 1, Source: "x"}
	inf, nan := quantity.Activity(math.Inf(1)), quantity.Activity(math.NaN())
	for _, bad := range []quantity.Activity{0, -1, inf, nan} {
		if _, err := h.Until(bad, 1); code(err) != nuclide.InvalidActivity {
			t.Errorf("from %v: %v", bad, err)
		}
		if _, err := h.Until(1, bad); code(err) != nuclide.InvalidActivity {
			t.Errorf("to %v: %v", bad, err)
		}
	}
	for _, c := range []struct{ now, then, want float64 }{
		{math.Ldexp(1, 1000), math.Ldexp(1, -1000), 2000},
		{math.Ldexp(1, -1000), math.Ldexp(1, 1000), -2000},
	} {
		got, err := h.Until(quantity.Activity(c.now), quantity.Activity(c.then))
		if err != nil || float64(got) != c.want {
			t.Errorf("%v half-lives, want %v (%v)", got, c.want, err)
		}
	}
}

// 1.40 GBq at 11:20 against 1.30 GBq +- 10 %: it falls to 1.43 GBq at
// T log2(1.40/1.43) and to 1.17 GBq at T log2(1.40/1.17) after that, that is
// -1.959 h and +16.582 h (computed by hand with lambda = 0.0108233782 /h).
func TestWindowByHand(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	from, until, err := h.Window(1.40e9, start, 1.17e9, 1.43e9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "h to the start", nuclide.Elapsed(start, from).Hours(), math.Log(1.40/1.43)/0.0108233782, 1e-7)
	near(t, "h to the end", nuclide.Elapsed(start, until).Hours(), math.Log(1.40/1.17)/0.0108233782, 1e-6)
	near(t, "h to the start", nuclide.Elapsed(start, from).Hours(), -1.959, 5.01e-4)
	near(t, "h to the end", nuclide.Elapsed(start, until).Hours(), 16.582, 5.01e-4)
}

func TestWindowEndsLieOnTheLimits(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) quantity.Activity {
			return quantity.Activity(rapid.Float64Range(1e6, 1e11).Draw(t, name))
		}
		a, low := draw("a"), draw("low")
		high := low * quantity.Activity(rapid.Float64Range(1, 3).Draw(t, "width"))
		from, until, err := h.Window(a, start, low, high)
		if err != nil || until.Before(from) {
			t.Fatalf("%v to %v (%v)", from, until, err)
		}
		atFrom, err1 := h.Carry(a, start, from)
		atUntil, err2 := h.Carry(a, start, until)
		// half a nanosecond is 1.5e-15 of an activity
		if err1 != nil || err2 != nil ||
			math.Abs(float64(atFrom/high-1)) > 1e-14 || math.Abs(float64(atUntil/low-1)) > 1e-14 {
			t.Fatalf("%v for %v, %v for %v", atFrom, high, atUntil, low)
		}
	})
}

func TestWindowRefusals(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	nan := quantity.Activity(math.NaN())
	for name, c := range map[string][3]quantity.Activity{
		"limits crossed":     {1e9, 2e9, 1e9},
		"no activity":        {0, 1e9, 2e9},
		"negative":           {-1e9, 1e9, 2e9},
		"no lower limit":     {1e9, 0, 2e9},
		"limit not a number": {1e9, nan, 2e9},
	} {
		if _, _, err := h.Window(c[0], start, c[1], c[2]); code(err) != nuclide.InvalidActivity {
			t.Errorf("%s: %v", name, err)
		}
	}
	// sources that outlive the calendar
	long := nuclide.HalfLife{Value: 28.8 * quantity.Year, Source: "x"}
	if _, _, err := long.Window(1e300, start, 1e-300, 1e300); code(err) != nuclide.OutOfRange {
		t.Errorf("end past the year 9999: %v", err)
	}
	if _, _, err := long.Window(1e-300, start, 1e-300, 1e300); code(err) != nuclide.OutOfRange {
		t.Errorf("start before the year 0: %v", err)
	}
}

// Whatever comes in, a carried activity is a number or an error.
func FuzzCarry(f *testing.F) {
	f.Add(3e9, int64(0), int64(36000))
	f.Add(1e300, int64(0), int64(-1e9))
	f.Add(-1.0, int64(math.MinInt64), int64(math.MaxInt64))
	f.Fuzz(func(t *testing.T, a float64, from, to int64) {
		got, err := nuclide.Y90.HalfLife().Carry(quantity.Activity(a), time.Unix(from, 0), time.Unix(to, 0))
		if x := float64(got); math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%v", got)
		}
		if (err != nil) == (got != 0) && a != 0 && math.Abs(a) > 1e-300 {
			t.Fatalf("%v with %v", got, err)
		}
		if err != nil && code(err) != nuclide.OutOfRange {
			t.Fatal(err)
		}
	})
}
