package hotlab_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/journal"
	"vialwright/quantity"
)

// lisbon is a time in Lisbon on 2027-03-04, when the bins of these tests are closed.
func lisbon(t *testing.T, text string) time.Time {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	at, err := time.ParseInLocation("2006-01-02T15:04", text, zone)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// A bin with 47.0 MBq has come down to 0.37 MBq after 447.5867 h, one with 1.772 GBq to 0.1
// MBq after 37.65941 d, by T log2(A/level) with 64.0417 h; a rule of both is met by the later.
func TestReadyByALevel(t *testing.T) {
	level := func(figure string) string {
		return "profile: own\ntitle: A site\napproved-by: A. Example\napproved-on: 2027-01-01\nvalues:\n  - {key: waste-level, figure: " + figure + ", citation: the licence, mark: memory}\n"
	}
	for _, c := range []struct {
		holds, profile string
		hours          float64
	}{
		{"47.0 MBq", level("0.37 MBq"), 447.5867},
		{"1.772 GBq", level("0.1 MBq"), 37.65941 * 24},
		{"1.772 GBq", level("0.1 MBq") + "  - {key: waste-half-lives, figure: 10 half-lives, citation: the State, mark: memory}\n", 37.65941 * 24},
		{"47.0 MBq", level("0.37 MBq") + "  - {key: waste-half-lives, figure: 10 half-lives, citation: the State, mark: memory}\n", 640.417},
	} {
		filled := strings.Replace(strings.Replace(vial, "3.0 GBq", c.holds, 1), "2027-03-04T18:00Z", "2027-03-04T15:30Z", 1)
		b := read(t, c.profile, filled, strings.Replace(discard, "16:00", "15:00", 1), "close-bin: {bin: W1, at: 2027-03-04T15:30}").Bins[0]
		at, ok := b.ReadyAt()
		if at.Nanosecond() != 0 || b.Ready[0].Keeps(at) {
			t.Errorf("%s: printed to the second as ready at %v, and kept then", c.holds, at)
		}
		if got := at.Sub(lisbon(t, "2027-03-04T15:30")).Hours(); !ok || math.Abs(got-c.hours) > 0.01 {
			t.Errorf("%s: ready after %.4f h, %v; want %.4f (%+v)", c.holds, got, ok, c.hours, b.Ready)
		}
	}
	// 20 kBq of Sr-90 (28.80 a) feed Y-90 for longer than waste is held.
	b := read(t, level("30 kBq"), vial, discard, "close-bin: {bin: W1, at: 2027-03-04T16:30}", "impurity: {bin: W1, nuclide: Sr-90, at: 2027-03-05T09:00, content: 20 kBq}").Bins[0]
	if _, ok := b.ReadyAt(); ok || !b.Ready[0].Hold {
		t.Errorf("20 kBq of Sr-90 with as much Y-90 come down to 30 kBq: %+v", b.Ready)
	}
}

// What was in a bin when it was closed is known for ever: after so many years that nothing of
// its Y-90 is left in any number, it was ready when it was, and 5 Bq/g of Eu-152 (13.522 a,
// 0.1 Bq/g in IAEA RS-G-1.7) that were in it hold it where they have not decayed within ten.
func TestBinOfLongAgo(t *testing.T) {
	filled := strings.Replace(strings.Replace(vial, "3.0 GBq", "47.0 MBq", 1), "2027-03-04T18:00Z", "2027-03-04T15:30Z", 1)
	lines := []string{filled, strings.Replace(discard, "16:00", "15:00", 1), "close-bin: {bin: W1, at: 2027-03-04T15:30, mass: 150 g}"}
	impure := "impurity: {bin: W1, nuclide: Eu-152, at: 2027-03-05T09:00, content: 750 Bq}"
	for _, years := range []int{0, 8, 20, 100} {
		b := readOn(t, 2027+years, "eu", lines...).Bins[0]
		at, ok := b.ReadyAt()
		if got := at.Sub(lisbon(t, "2027-03-04T15:30")).Hours(); !ok || math.Abs(got-531.0050) > 0.01 {
			t.Errorf("after %d years: ready after %.4f h, %v; want 531.0050 (%+v)", years, got, ok, b.Ready)
		}
		if at, ok := readOn(t, 2027+years, "eu", append(lines, impure)...).Bins[0].ReadyAt(); ok {
			t.Errorf("after %d years: with Eu-152 ready on %v", years, at)
		}
	}
}

// A bin is held by the half-life of its site, as what is in it is: 47.0 MBq in 150 g come down to
// 1000 Bq/g after T log2(47e6/150e3) = 532.3178 h with 64.2 h, 1.31 h later than with 64.0417 h.
func TestReadyByTheHalfLifeOfTheSite(t *testing.T) {
	filled := strings.Replace(strings.Replace(vial, "3.0 GBq", "47.0 MBq", 1), "2027-03-04T18:00Z", "2027-03-04T15:30Z", 1)
	w := world(t, 2027, "eu", filled, strings.Replace(discard, "16:00", "15:00", 1), "close-bin: {bin: W1, at: 2027-03-04T15:30, mass: 150 g}")
	w.Books.HalfLife = 64.2 * quantity.Hour
	at, ok := hotlab.Read(w).Bins[0].ReadyAt()
	if got := at.Sub(lisbon(t, "2027-03-04T15:30")).Hours(); !ok || math.Abs(got-532.3178) > 0.01 {
		t.Errorf("ready after %.4f h, %v; want 532.3178", got, ok)
	}
}

// A bin that was closed without its mass cannot be held against a concentration: that is said,
// and it is not released by that rule.
func TestBinWithoutItsMass(t *testing.T) {
	closed := "close-bin: {bin: W1, at: 2027-03-04T16:30}"
	release := strings.Replace("release-bin: {bin: W1, at: 2027-04-20T09:00, meter: SV1, gross: 600 counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: 'yes', bare: 'yes', labels: defaced, route: trash}", "'", `"`, -1)
	b := readOn(t, 2028, "eu", vial, discard, closed, release)
	if at, ok := b.Bins[0].ReadyAt(); ok || !strings.Contains(b.Bins[0].Held(), "cannot say: mass missing") {
		t.Errorf("ready on %v, %+v", at, b.Bins[0].Ready)
	}
	if !slices.ContainsFunc(b.On(hotlab.Waste), func(f hotlab.Finding) bool {
		return f.Code == hotlab.BinReleasedEarly && strings.Contains(f.Text, "mass missing")
	}) {
		t.Errorf("%+v", b.Findings)
	}
	for _, f := range readOn(t, 2028, "eu", vial, discard, strings.Replace(closed, "}", ", mass: 150 g}", 1), release).On(hotlab.Waste) {
		if f.Code == hotlab.BinReleasedEarly {
			t.Errorf("with its mass: %s", f.Text)
		}
	}
}

// An impurity that was measured later was more when the bin was closed: 30 kBq of Y-91 (58.51
// d) two half-lives after the closing were 120 kBq in 150 g, 800 Bq/g, and come down to the 100
// Bq/g of IAEA RS-G-1.7 three half-lives after the closing; with the Y-90 that is gone by then.
func TestImpurityMeasuredLater(t *testing.T) {
	back := func(s string) string { return strings.ReplaceAll(s, "2027-03-", "2026-06-") }
	b := read(t, "eu", back(vial), back(discard), "close-bin: {bin: W1, at: 2026-06-04T16:30, mass: 150 g}",
		"impurity: {bin: W1, nuclide: Y-91, at: 2026-09-29T16:58, content: 30 kBq}").Bins[0]
	at, ok := b.ReadyAt()
	if got := at.Sub(lisbon(t, "2026-06-04T16:30")).Hours() / 24 / 58.51; !ok || math.Abs(got-3) > 0.001 {
		t.Errorf("ready after %.4f half-lives of Y-91, %v", got, ok)
	}
}

// What is put into an open bin between two readings does not make it decay slowly; the same
// readings of one that nothing came into do: in 72 h, 1.12 half-lives of Y-90, 8 % are gone.
func TestSlowIsNotFuller(t *testing.T) {
	reading := func(at, rate string) string {
		unit := "uSv/h"
		if number, its, typed := strings.Cut(rate, " "); typed {
			rate, unit = number, its
		}
		return "bin-reading: {bin: W1, meter: SV1, at: " + at + ", rate: " + rate + " " + unit + ", background: 0.1 " + unit + "}"
	}
	more := strings.NewReplacer("S1", "S2")
	one := []string{vial, discard, reading("2027-03-05T09:00", "40.1"), reading("2027-03-08T09:00", "37.1")}
	two := append(one[:len(one):len(one)], more.Replace(vial), strings.Replace(more.Replace(discard), "2027-03-04T16:00", "2027-03-07T16:00", 1))
	of := func(first, second string) []string {
		return []string{vial, discard, reading("2027-03-05T09:00", first), reading("2027-03-08T09:00", second)}
	}
	for name, c := range map[string]struct {
		lines []string
		slow  bool
	}{
		"as it was": {one, true}, "filled between": {two, false},
		// In the unit of the meter, which cancels; across two units nothing is said.
		"in roentgen": {of("40.1 mR/h", "37.1 mR/h"), true}, "in counts": {of("401 cps", "371 cps"), true}, "as Y-90 does, in grays": {of("40.1 uGy/h", "18.4 uGy/h"), false},
		"with two meters": {of("40.1 uSv/h", "37.1 mR/h"), false},
	} {
		found := false
		for _, f := range read(t, "", c.lines...).On(hotlab.Waste) {
			found = found || f.Code == hotlab.BinSlow
		}
		if found != c.slow {
			t.Errorf("%s: slow is %v, want %v", name, found, c.slow)
		}
	}
}

// What is in one bin does not go into another.
func TestInTwoBins(t *testing.T) {
	text := "case: 1\nzone: Europe/Lisbon\npolicy: {}\nentries:\n  - " + strings.Join([]string{vial, discard, strings.NewReplacer("W1", "W2", "16:00", "16:05").Replace(discard)}, "\n  - ") + "\n"
	_, err := fold.Records(journal.Records(facttest.Decode(t, []byte(text)).Facts), time.LoadLocation)
	if err == nil || !strings.Contains(err.Error(), "nothing is in S1") {
		t.Errorf("%v", err)
	}
}
