package fold_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"testing"
	"time"
)

// inputs are what was read and what was set, each with its own standard uncertainty, by the names
// that stand for them in the text of a case: <half-life>.
type inputs map[string]input

type input struct {
	value, u float64
	unit     string
}

var inBrackets = regexp.MustCompile(`<[^>]+>`)

// write gives the text with each input moved by so many of its standard uncertainties.
func (in inputs) write(text string, by map[string]float64) string {
	return inBrackets.ReplaceAllStringFunc(text, func(name string) string {
		x := in[name[1:len(name)-1]]
		return strconv.FormatFloat(x.value+by[name[1:len(name)-1]]*x.u, 'f', 9, 64) + x.unit
	})
}

// TestVarianceIsTheSumOverAllInputs: the variance of each figure of a case is the sum, over everything
// that was read or set, of the square of what the figure moves by when that alone is moved by its standard
// uncertainty and the whole case is reckoned again (JCGM 100:2008, 5.1.3). The readings are those of what was there, so
// that the weights of the fit rest on them as on the truth.
func TestVarianceIsTheSumOverAllInputs(t *testing.T) {
	const half = 64.0417
	net := func(gbq, hours, factor float64) float64 { return 1000 * gbq * factor * math.Exp2(-hours/half) } // MBq; GBq at the reference time
	const head = `
case: 2
zone: UTC
half-life: <half-life>
half-life-u: 0.2 h
policy: {tolerance: 10 %, label-tolerance: 10 %, confidence: 95 %, draw-yield: {q: <yield>, u: 4 %}, residual-u: 20 %, basis: label, check-reads: either}
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: <M1 vial>, u: 0.5 %, basis: label}, administration-vial: {factor: <M1 dose>, u: 1 %, basis: label}, syringe: {factor: <M1 syringe>, u: 1.5 %, basis: label}, residual-parts: {factor: <M1 parts>, u: 3 %, basis: label}}}
  - {id: M2, calibration-u: 1.5 %, repeatability: 0.5 %, geometry: {shipping-vial: {factor: <M2 vial>, u: 1 %, basis: label}, syringe: {factor: <M2 syringe>, u: 1 %, basis: label}}}
entries:
  - receive: {vial: S1, lot: L, labelled: <label 1>, reference: 2027-03-06T12:00, volume: 5.0 mL, at: 2027-03-03T09:00}
  - receive: {vial: S2, lot: L, labelled: <label 2>, reference: 2027-03-06T12:00, volume: 5.0 mL, at: 2027-03-03T09:00}
  - order: {id: P1, prescribed: 1.0 GBq, at: 2027-03-06T12:00, one-identifier: invented}
  - order: {id: P2, prescribed: 0.7 GBq, at: 2027-03-07T12:00, one-identifier: invented}
`
	in := inputs{
		"half-life": {half, 0.2, " h"}, "yield": {94, 4, " %"},
		"label 1": {3, 0.3 / math.Sqrt(3), " GBq"}, "label 2": {2, 0.2 / math.Sqrt(3), " GBq"},
		"M1 vial": {1, 0.005, ""}, "M1 dose": {0.98, 0.0098, ""}, "M1 syringe": {1.02, 0.0153, ""}, "M1 parts": {1.05, 0.0315, ""},
		"M2 vial": {0.97, 0.0097, ""}, "M2 syringe": {1.01, 0.0101, ""},
		"before 1": {178, 1, " uSv/h"}, "before 2": {186, 1, " uSv/h"}, "after 1": {6.9, 1, " uSv/h"}, "after 2": {7.9, 1, " uSv/h"},
	}
	read := func(name string, gbq, hours, factor, repeat float64) {
		y := net(gbq, hours, factor)
		in[name] = input{y + 5, repeat * y, " MBq"}
	}
	read("S1 at -50", 3, -50, 1, 0.008)
	read("S1 at -49", 3, -49, 0.97, 0.005)
	read("S1 at -24", 1.9, -24, 1, 0.008)
	read("S1 at -8", 1.9, -8, 1, 0.008)
	read("Y1 at -24", 1.1, -24, 1.02, 0.008)
	read("A1 at -2", 1.1, -2, 0.98, 0.008)
	read("S2 at -48", 2, -48, 0.97, 0.005)
	read("S2 at -6", 1.2, -6, 0.97, 0.005)
	read("Y2 at -6", 0.8, -6, 1.01, 0.005)
	read("A1 at 30", 0.044, 30, 0.98, 0.008)
	read("R1 at 40", 0.011, 40, 1.05, 0.008)
	// moves are what one error moves, in uncertainties of each input: an input alone, or by its background;
	// all factors of a meter, by its calibration; both directions of a dose rate: 178 and 186
	// scatter by 5.66, over √2, and 6.9 and 7.9 by 0.71, over √2, with the 20 % of 7.4 by which the
	// residual is spread.
	after := math.Hypot(0.5, 1.48)
	moves := map[string]map[string]float64{"before": {"before 1": 4, "before 2": 4}, "after": {"after 1": after, "after 2": after}}
	for name, x := range in {
		if x.unit != " uSv/h" {
			moves[name] = map[string]float64{name: 1}
		}
		if x.unit == " MBq" {
			moves["background of "+name] = map[string]float64{name: 0.4 / x.u}
		}
	}
	for m, u := range map[string]float64{"M1 ": 0.02, "M2 ": 0.015} {
		all := map[string]float64{}
		for name, x := range in {
			if name[:3] == m {
				all[name] = x.value * u / x.u
			}
		}
		moves["calibration of "+m] = all
	}
	at := func(hours int) string {
		return time.Date(2027, 3, 6, 12+hours, 0, 0, 0, time.UTC).Format("2006-01-02T15:04")
	}
	line := func(of, meter string, hours int, more string) string {
		return fmt.Sprintf("  - read: {of: %s, meter: %s, at: %s, gross: <%s at %d>, background: 5 MBq, background-u: 0.4 MBq%s}\n", of, meter, at(hours), of, hours, more)
	}
	drawn := line("S1", "M1", -50, "") + line("S1", "M2", -49, "") +
		"  - draw: {from: S1, into: Y1, for: P1, at: " + at(-25) + ", volume: 1.8 mL}\n"
	for name, text := range map[string]string{
		"known by label and volume": "  - draw: {from: S1, into: Y1, for: P1, at: " + at(-25) + ", volume: 1.8 mL}\n",
		"known by volume":           drawn,
		"by difference": drawn + line("S1", "M1", -24, "") + line("Y1", "M1", -24, "") +
			"  - second-check: {for: P1, of: S1, meter: M1, at: " + at(-8) + ", gross: <S1 at -8>, background: 5 MBq, activity: 1.1 GBq}\n" +
			"  - transfer: {from: Y1, into: A1, at: " + at(-7) + "}\n" + line("A1", "M1", -2, "") +
			line("S2", "M2", -48, "") + "  - draw: {from: S2, into: Y2, for: P2, at: " + at(-7) + ", volume: 2 mL}\n" +
			line("S2", "M2", -6, "") + line("Y2", "M2", -6, "") +
			"  - discard: {from: S1, into: W1, at: " + at(1) + "}\n  - discard: {from: S2, into: W1, at: " + at(2) + "}\n",
		"residual by dose rate": drawn + line("S1", "M1", -24, "") + "  - transfer: {from: Y1, into: A1, at: " + at(-7) + "}\n" +
			"  - infuse: {for: P1, from: A1, start: " + at(0) + ", stop: " + at(1) + ", reason: complete}\n" +
			"  - residual: {for: P1, before: {at: " + at(-1) + ", rate: [<before 1>, <before 2>], background: 0.000001 uSv/h}, after: {at: " + at(20) + ", rate: [<after 1>, <after 2>], background: 0.000001 uSv/h}}\n",
		"residual by readings": drawn + line("S1", "M1", -24, "") + "  - transfer: {from: Y1, into: A1, at: " + at(-7) + "}\n" + line("A1", "M1", -2, "") +
			"  - infuse: {for: P1, from: A1, start: " + at(0) + ", stop: " + at(1) + ", reason: complete}\n" +
			line("A1", "M1", 30, "") + line("R1", "M1", 40, `, for: P1, holds: "line, catheter"`),
	} {
		t.Run(name, func(t *testing.T) {
			const small = 0.02
			said := figures(foldText(t, in.write(head+text, nil)))
			sum, most := map[string]float64{}, map[string]string{}
			for what, together := range moves {
				up, down := map[string]float64{}, map[string]float64{}
				for input, by := range together {
					up[input], down[input] = small*by, -small*by
				}
				more, less := figures(foldText(t, in.write(head+text, up))), figures(foldText(t, in.write(head+text, down)))
				for id := range said {
					moved := (more[id].value - less[id].value) / (2 * small)
					sum[id] += moved * moved
					if math.Abs(moved) > 0.1*said[id].u {
						most[id] += fmt.Sprintf(", %s %.4g", what, moved)
					}
				}
			}
			for id, f := range said {
				if math.Abs(math.Sqrt(sum[id])-f.u) > 2e-3*f.u {
					t.Errorf("%s: %.6g, u %.5g, by its inputs %.5g%s", id, f.value, f.u, math.Sqrt(sum[id]), most[id])
				}
			}
		})
	}
}
