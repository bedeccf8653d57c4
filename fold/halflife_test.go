package fold_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/quantity"
)

func foldText(t *testing.T, text string) dispensing.Case {
	t.Helper()
	c, err := fold.File(facttest.Decode(t, []byte(text)))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return c
}

// TestHalfLifeFromItsReadings: what the half-life brings into a figure counts from the
// readings it rests on and not from the last of the set. The vial is known by its reading at
// its reference time, and the dose by its own, eight days after.
func TestHalfLifeFromItsReadings(t *testing.T) {
	text, _, _ := strings.Cut(drawnCase, "  - read:")
	text = strings.Replace(text, "zone: Atlantic/Azores", "zone: Atlantic/Azores\nhalf-life: 64.0417 h\nhalf-life-u: 1 h", 1)
	text = strings.Replace(text, "geometry: {", "geometry: {syringe: {factor: 1, u: 0 %, basis: label}, ", 1)
	text += `  - read:     {of: S1, meter: M1, at: 2027-03-04T18:00, gross: 3.000 GBq, background: 0.1 MBq}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T18:10, volume: 2.2 mL}
  - read:     {of: Y1, meter: M1, at: 2027-03-12T18:00, gross: 165.0 MBq, background: 0.1 MBq}
`
	r := dispensing.Reckon(foldText(t, text), time.Time{})
	v := r.Vials[0]
	if v.Withheld != "" || math.Abs(float64(v.U)-3e9*math.Hypot(0.02, 0.008)) > 2e6 {
		t.Errorf("u of the vial is %v (%s), want that of its calibration and its repeatability", quantity.Show(v.U, 0), v.Withheld)
	}
	if got := v.Budget.HalfLife; got > quantity.MegaBecquerel {
		t.Errorf("the half-life brings %v into what the vial held when it was read", quantity.Show(got, 0))
	}
	for _, k := range r.Containers {
		if k.Container.ID == "Y1" && math.Abs(float64(k.U/k.Activity)-math.Hypot(0.02, 0.008)) > 0.001 {
			t.Errorf("u of the syringe is %v of %v when it is read", quantity.Show(k.U, 0), quantity.Show(k.Activity, 0))
		}
	}
}

// figure is a value with its standard uncertainty.
type figure struct{ value, u float64 }

// figures are all that a case gives with an uncertainty of its half-life.
func figures(c dispensing.Case) map[string]figure {
	r, out := dispensing.Reckon(c, time.Time{}), map[string]figure{}
	add := func(what, id string, value, u quantity.Activity) {
		out[what+" "+id] = figure{float64(value), float64(u)}
	}
	for _, v := range r.Vials {
		add("received", v.Vial.ID, v.Measured, v.U)
		add("remaining", v.Vial.ID, v.Remaining, v.RemainingU)
	}
	for _, k := range r.Containers {
		add("held", k.Container.ID, k.Activity, k.U)
	}
	for _, o := range r.Orders {
		if d := o.Dispensed; d != nil {
			add("dispensed", o.Order.ID, d.Activity, d.U)
		}
		if d := o.Rough; d != nil {
			add("rough", o.Order.ID, d.Activity, d.U)
		}
		if p := o.Plan; p != nil {
			add("planned from", o.Order.ID, p.Had, p.HadU)
		}
		if d := o.Delivered; d != nil {
			add("delivered", o.Order.ID, d.Activity, d.U)
			out["residual "+o.Order.ID] = figure{d.Fraction, d.FractionU}
		}
	}
	for _, x := range r.Checks {
		add("second check", x.For, x.Difference, x.U)
	}
	return out
}

// TestHalfLifeMovesEveryFigure: what the half-life brings into the uncertainty of each figure is what
// it does to the figure when the whole case is reckoned again with a half-life that is longer,
// and one that is shorter, by its uncertainty.
func TestHalfLifeMovesEveryFigure(t *testing.T) {
	example := func(name string) string {
		text, err := os.ReadFile("../examples/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		return strings.Replace(string(text), "half-life: 64.0417 h\n", "", 1)
	}
	const head = `
case: 2
zone: UTC
policy: {tolerance: 10 %, label-tolerance: 10 %, confidence: 95 %, draw-yield: {q: 94 %, u: 4 %}, residual-u: 20 %, basis: label}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry: {shipping-vial: {factor: 1, u: 0.5 %, basis: label}, administration-vial: {factor: 0.98, u: 1 %, basis: label}, syringe: {factor: 1.02, u: 1 %, basis: label}, residual-parts: {factor: 1, u: 3 %, basis: label}}
entries:
  - receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-06T18:00, volume: 5.0 mL, at: 2027-03-03T09:00}
  - order: {id: P1, prescribed: 1.0 GBq, at: 2027-03-06T12:00, one-identifier: invented}
  - order: {id: P2, prescribed: 0.7 GBq, at: 2027-03-07T12:00, one-identifier: invented}
`
	for name, text := range map[string]string{
		"one patient": example("one-patient"), "two territories": example("two-territories"),
		"nothing read": head + `
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-05T10:00, volume: 1.6 mL}
`,
		"read days apart": head + `
  - read: {of: S1, meter: M1, at: 2027-03-03T10:00, gross: 7.02 GBq, background: 0.2 MBq}
  - read: {of: S1, meter: M1, at: 2027-03-05T09:00, gross: 4.20 GBq, background: 0.2 MBq}
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-05T10:00, volume: 1.6 mL}
  - read: {of: S1, meter: M1, at: 2027-03-05T10:10, gross: 2.84 GBq, background: 0.2 MBq}
  - second-check: {for: P1, of: S1, meter: M1, at: 2027-03-06T09:00, gross: 2.21 GBq, background: 0.2 MBq, activity: 1.0 GBq}
  - transfer: {from: Y1, into: A1, at: 2027-03-06T09:30}
  - read: {of: A1, meter: M1, at: 2027-03-06T10:00, gross: 1.002 GBq, background: 0.2 MBq}
  - infuse: {for: P1, from: A1, start: 2027-03-06T12:00, stop: 2027-03-06T12:30, reason: complete}
  - residual: {for: P1, before: {at: 2027-03-06T11:30, rate: [180 uSv/h, 184 uSv/h], background: 0.2 uSv/h}, after: {at: 2027-03-07T12:12, rate: [12.4 uSv/h, 12.6 uSv/h], background: 0.2 uSv/h}}
  - draw: {from: S1, into: Y2, for: P2, at: 2027-03-07T09:00, volume: 2.2 mL}
  - read: {of: S1, meter: M1, at: 2027-03-07T10:00, gross: 0.80 GBq, background: 0.2 MBq}
  - discard: {from: A1, into: W1, at: 2027-03-07T14:00}
  - discard: {from: S1, into: W1, at: 2027-03-08T14:00}
`,
		"residual read": head + `
  - read: {of: S1, meter: M1, at: 2027-03-03T10:00, gross: 7.02 GBq, background: 0.2 MBq}
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-05T10:00, volume: 1.6 mL}
  - read: {of: Y1, meter: M1, at: 2027-03-05T10:10, gross: 1.36 GBq, background: 0.2 MBq}
  - transfer: {from: Y1, into: A1, at: 2027-03-05T10:30}
  - infuse: {for: P1, from: A1, start: 2027-03-06T12:00, stop: 2027-03-06T12:30, reason: complete}
  - read: {of: A1, meter: M1, at: 2027-03-08T10:00, gross: 31.5 MBq, background: 0.2 MBq}
  - read: {of: R1, meter: M1, at: 2027-03-09T10:00, gross: 9.4 MBq, background: 0.2 MBq, for: P1, holds: "line, catheter"}
`,
	} {
		t.Run(name, func(t *testing.T) {
			with := func(hours float64, u string) map[string]figure {
				return figures(foldText(t, strings.Replace(text, "\npolicy:", fmt.Sprintf("\nhalf-life: %g h\nhalf-life-u: %s\npolicy:", hours, u), 1)))
			}
			const by = 0.2 // h
			sure, unsure, more, less := with(64.0417, "1e-9 h"), with(64.0417, "0.2 h"), with(64.0417+by, "0.2 h"), with(64.0417-by, "0.2 h")
			moved := 0.0
			for id, f := range unsure {
				got := math.Sqrt(max(0, f.u*f.u-sure[id].u*sure[id].u))
				want := math.Abs(more[id].value-less[id].value) / 2
				moved = max(moved, got/f.u)
				if math.Abs(got-want) > 0.01*want+1e-4*f.u {
					t.Errorf("%s of %.6g, u %.4g: the half-life brings %.5g, and reckoned again %.5g", id, f.value, f.u, got, want)
				}
			}
			if moved < 0.004 {
				t.Errorf("no figure moves by more than %g of its uncertainty", moved)
			}
		})
	}
}
