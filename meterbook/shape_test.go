package meterbook_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// The sentence says on which side the readings lie, and how well that is known. The sizes
// and uncertainties were fitted apart, by weighted least squares of ln R with derivatives
// by differences: 8.00e-6 ± 1.43e-6 and -7.79e-6 ± 1.39e-6 for each MBq, 66.0 ± 0.11 h.
func TestShapeIsSaid(t *testing.T) {
	hours := []float64{0, 24, 48, 72, 120, 168, 240, 312}
	u := []string{"0.3 %", "0.3 %", "0.3 %", "0.3 %", "0.3 %", "0.4 %", "0.6 %", "1 %"}
	const T = 64.0417
	left := func(h float64) float64 { return 3000 * math.Exp2(-h/T) }
	for name, c := range map[string]struct {
		read func(h float64) float64
		says string
	}{
		"dead time":         {func(h float64) float64 { return left(h) / (1 + 8e-6*left(h)) }, "too little at the top, as by a dead time of 8e-06 ± 1.4e-06 for each MBq"},
		"the other way":     {func(h float64) float64 { return left(h) * (1 + 8e-6*left(h)) }, "too much at the top, by 7.79e-06 ± 1.4e-06 for each MBq, which is no dead time"},
		"another half-life": {func(h float64) float64 { return 3000 * math.Exp2(-h/66) }, "another half-life, 66 ± 0.11 h"},
		"too much":          {func(h float64) float64 { return left(h) + 6 }, "MBq too much in every reading"},
		"nearly as well":    {func(h float64) float64 { return left(h) / (1 + 5e-6*left(h)) }, "It could also be"},
		"too little":        {func(h float64) float64 { return left(h) - 6 }, "MBq too little in every reading"},
	} {
		var rows []string
		for i, h := range hours {
			at := time.Date(2027, 2, 1, int(h), 0, 0, 0, time.UTC).Format("2006-01-02T15:04Z")
			rows = append(rows, fmt.Sprintf("{at: %s, gross: %.9g MBq, background: 0 MBq, u: %s}", at, c.read(h), u[i]))
		}
		b := bookOf(t, meterM1,
			"meter-test: {of: M1, test: linearity, nuclide: Y-90, readings: ["+strings.Join(rows, ", ")+"], at: 2027-02-14T00:00Z}")
		found := ""
		for _, f := range b.Findings {
			found += f.Text
		}
		if !strings.Contains(found, c.says) {
			t.Errorf("%s: %q is not in %q", name, c.says, found)
		}
	}
}

// A counter is tested in counts: no sentence of its linearity names an activity. A dead
// time of 8 us is 8e-06 for each cps.
func TestShapeOfACounter(t *testing.T) {
	left := func(n int, h float64) float64 { return 3000 * math.Exp2(-h/64.0417) }
	for says, read := range map[string]func(n int, h float64) float64{
		"dead time of 8e-06 ± 1.4e-06 for each cps": func(n int, h float64) float64 { return left(n, h) / (1 + 8e-6*left(n, h)) },
		"cps too much in every reading":             func(n int, h float64) float64 { return left(n, h) + 6 },
		"the reading of 2880 cps":                   func(n int, h float64) float64 { return left(n, h) * (1 - 0.04*float64(1-min(1, n))) },
	} {
		var rows []string
		for n, h := range []float64{0, 24, 48, 72, 120, 168, 240, 312} {
			u := []string{"0.3 %", "0.3 %", "0.3 %", "0.3 %", "0.3 %", "0.4 %", "0.6 %", "1 %"}[n]
			rows = append(rows, fmt.Sprintf("{at: %s, counts: %.9g cps, counts-background: 0 cps, u: %s}", time.Date(2027, 2, 1, int(h), 0, 0, 0, time.UTC).Format("2006-01-02T15:04Z"), read(n, h), u))
		}
		b := bookOf(t, "instrument: {id: WC1, what: wipe-counter, at: 2025-01-01T08:00}",
			"meter-test: {of: WC1, test: linearity, nuclide: Y-90, readings: ["+strings.Join(rows, ", ")+"], at: 2027-02-14T00:00Z}")
		said := b.Find("WC1").Tests[0].Says + " " + b.Find("WC1").Tests[0].Tested()
		for _, f := range b.Findings {
			said += " " + f.Text
		}
		if !strings.Contains(said, says) || strings.Contains(said, "Bq") {
			t.Errorf("%s is not in %q", says, said)
		}
	}
}
