package quantity

import (
	"math"
	"strings"
	"testing"
)

// TestLikelySlip writes the same 3 GBq (3000 MBq, 81.08 mCi) with each number
// under a wrong unit, and with the decimal point moved.
func TestLikelySlip(t *testing.T) {
	const expected = 3 * GigaBecquerel
	for _, r := range []struct {
		measured Activity
		words    string
	}{
		{81.08 * GigaBecquerel, "in mCi may have been taken as GBq"},
		{81.08 * MegaBecquerel, "in mCi may have been taken as MBq"},
		{3 * MilliCurie, "in GBq may have been taken as mCi"},
		{3000 * MilliCurie, "in MBq may have been taken as mCi"},
		{30 * GigaBecquerel, "10 times too much"},
		{0.3 * GigaBecquerel, "10 times too little"},
		{300 * GigaBecquerel, "100 times too much"},
		{0.03 * GigaBecquerel, "100 times too little"},
		{3000 * GigaBecquerel, "1000 times too much"},
		{3 * MegaBecquerel, "1000 times too little"},
		{1.1 * 30 * GigaBecquerel, "10 times too much"}, // at the edge of the tolerance
		{1.11 * 30 * GigaBecquerel, ""},
		{3 * GigaBecquerel, ""},
		{3.2 * GigaBecquerel, ""},
		{1.5 * GigaBecquerel, ""},
		{0, ""},
		{-3 * GigaBecquerel, ""},
		{Activity(math.NaN()), ""},
		{Activity(math.Inf(1)), ""},
	} {
		got := LikelySlip(Fraction(r.measured/expected), 0.1001)
		if (got == "") != (r.words == "") || !strings.Contains(got, r.words) {
			t.Errorf("%v of %v: %q, want %q", r.measured, expected, got, r.words)
		}
	}
	if got := LikelySlip(10, Fraction(math.NaN())); got != "" {
		t.Errorf("a tolerance that is no number names %q", got)
	}
	if got := LikelySlip(2, 100); got != "" {
		t.Errorf("twice is nearest to no slip, yet it is named %q", got)
	}
}

// TestSlipped: every slip keeps the digits; the values are the typed one times
// 1/37 and 1/27.027 (the definition of the curie, 3.7e10 Bq), or a power of ten.
func TestSlipped(t *testing.T) {
	for text, want := range map[string]string{
		"81 GBq":    "81 MBq, 81 mCi, 8.1 GBq, 810 GBq, 0.81 GBq, 8100 GBq, 81000 GBq",
		"13.10 GBq": "13.10 MBq, 13.10 mCi, 1.310 GBq, 131.0 GBq, 0.1310 GBq, 1310 GBq, 13100 GBq",
		"0.05 mCi":  "0.05 GBq, 0.05 MBq, 0.005 mCi, 0.5 mCi, 0.0005 mCi, 5 mCi, 0.00005 mCi, 50 mCi",
		"3e9 Bq":    "3e9 GBq, 3e9 MBq, 3e9 mCi",
	} {
		said, err := Parse[Activity](text)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, s := range Slipped(said) {
			got = append(got, s.Text)
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s: %s, want %s", text, strings.Join(got, ", "), want)
		}
	}
}
