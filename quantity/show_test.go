package quantity

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestShowSpan(t *testing.T) {
	for _, r := range []struct {
		s    Span
		want string
	}{
		{0, "0 s"},
		{0.25, "0.25 s"},
		{45.23, "45.2 s"},
		{59.949, "59.9 s"},
		{59.95, "1 min"},
		{60, "1 min"},
		{750, "12 min 30 s"},
		{3599.4, "59 min 59 s"},
		{3599.5, "1 h"},
		{8400, "2 h 20 min"},
		{8429, "2 h 20 min"},
		{2*Hour + 20*Minute + 31, "2 h 21 min"},
		{Day - 31, "23 h 59 min"},
		{Day - 29, "1 d"},
		{34*Day + 14*Hour, "34 d 14 h"},
		{10 * Day, "10 d"},
		{-8400, "-2 h 20 min"},
		{64.0417 * Hour, "2 d 16 h"},
		{Span(math.NaN()), "NaN s"},
		{Span(math.Inf(1)), "+Inf s"},
	} {
		if got := ShowSpan(r.s); got != r.want {
			t.Errorf("ShowSpan(%v) = %q, want %q", float64(r.s), got, r.want)
		}
	}
}

// TestShownSpanIsNear adds the parts up again: the sum is within half the
// smaller unit of the pair.
func TestShownSpanIsNear(t *testing.T) {
	size := map[string]float64{"s": 1, "min": 60, "h": 3600, "d": 86400}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.Float64Range(60, 4000), rapid.Float64Range(3000, 1e5), rapid.Float64Range(8e4, 1e8)).Draw(t, "s")
		f := strings.Fields(ShowSpan(Span(s)))
		sum := 0.0
		for i := 0; i < len(f); i += 2 {
			n, err := strconv.Atoi(f[i])
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(n) * size[f[i+1]]
		}
		smaller := 3600.0
		switch {
		case s < 3599.5:
			smaller = 1
		case s < 86370:
			smaller = 60
		}
		if math.Abs(sum-s) > smaller/2 {
			t.Fatalf("%v s is shown as %v", s, f)
		}
	})
}

func TestShowGraduated(t *testing.T) {
	for _, r := range []struct {
		v, graduation Volume
		want          string
	}{
		{2.494015, 0.1, "2.5 mL"},
		{2.494015, 0.2, "2.4 mL"},
		{2.494015, 0.05, "2.5 mL"},
		{2.45, 0.05, "2.45 mL"},
		{2.494015, 0.01, "2.49 mL"},
		{5, 0.1, "5 mL"}, // not 5.0
		{0.04, 0.1, "0 mL"},
		{0.3, 0.1, "0.3 mL"}, // 3·0.1 is not 0.3 in float64
		{12, 5, "10 mL"},
		{12, 10, "10 mL"},
		{-0.32, 0.1, "-0.3 mL"},
		{-0.01, 0.1, "0 mL"},
		{2.494015, 0, "2.494 mL"},
		{2.494015, -1, "2.494 mL"},
		{2.494015, Volume(math.NaN()), "2.494 mL"},
		{2.494015, Volume(math.Inf(1)), "2.494 mL"},
		{2.494015, 1.0 / 3, "2.494 mL"},
		{2.494015, 1e-300, "2.494 mL"},
		{Volume(math.NaN()), 0.1, "NaN mL"},
	} {
		if got := ShowGraduated(r.v, r.graduation); got != r.want {
			t.Errorf("ShowGraduated(%v, %v) = %q, want %q", r.v, r.graduation, got, r.want)
		}
	}
}

// A share has its sign, as many decimals as show its side of a limit, and no sign where nothing is left.
func TestSigned(t *testing.T) {
	for _, x := range []struct {
		value  Fraction
		least  int
		limits []Fraction
		want   string
	}{
		{0.0323, 1, nil, "+3.2 %"},
		{-0.454, 0, []Fraction{0.2}, "-45 %"},
		{-0.20003, 0, []Fraction{0.2}, "-20.003 %"},
		{-0.0004, 1, nil, "0.0 %"},
		{0.00004, 2, nil, "0.00 %"},
		{0, 0, nil, "0 %"},
	} {
		if got := Signed(x.value, x.least, x.limits...); got != x.want {
			t.Errorf("%v: %s, want %s", float64(x.value), got, x.want)
		}
	}
}

// The largest activity that is allowed is printed as no more than it is, in either unit.
func TestAtMost(t *testing.T) {
	for value, want := range map[Activity]string{
		10.0664384940608 * GigaBecquerel:   "10.06 GBq (271.8 mCi)",
		1.9998657808200796 * GigaBecquerel: "1.999 GBq (54.02 mCi)",
		1.1 * GigaBecquerel:                "1.1 GBq (29.72 mCi)",
		5.999999999999999 * GigaBecquerel:  "6 GBq (162.1 mCi)",
		37 * MegaBecquerel:                 "37 MBq (1 mCi)",
		50.8166 * MegaBecquerel:            "50.81 MBq (1.373 mCi)",
		999.99 * MegaBecquerel:             "0.9999 GBq (27.02 mCi)",
		0:                                  "0 Bq (0 microcurie)",
	} {
		if got := AtMost(value); got != want {
			t.Errorf("%v is printed as %s, want %s", float64(value), got, want)
		}
	}
}

// What lies at a limit in decimals is at it, though its binary difference is beside it.
func TestAtLimit(t *testing.T) {
	more, share := 4.4, 5.25 // not constants, whose difference would be exact
	for _, x := range []struct {
		value, limit            Fraction
		within, beyond, reaches bool
	}{
		{Fraction(more - 1.9), 2.5, true, false, true},
		{Fraction(share/5 - 1), 0.05, true, false, true},
		{2.5001, 2.5, false, true, true},
		{2.4999, 2.5, true, false, false},
		{Fraction(math.NaN()), 2.5, false, false, false},
	} {
		if w, b, r := Within(x.value, x.limit), Beyond(x.value, x.limit), Reaches(x.value, x.limit); w != x.within || b != x.beyond || r != x.reaches {
			t.Errorf("%v and %v: within %v, beyond %v, reaches %v", x.value, x.limit, w, b, r)
		}
	}
}
