package fold_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
)

// TestBooksAgainstNumpy: random case files against an independent program: readings by a meter
// that is calibrated anew between them, with factors by kind of container and by fill.
func TestBooksAgainstNumpy(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import numpy").Run(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the peer needs python3 with numpy: %v", err)
		}
		t.Skipf("the peer needs python3 with numpy: %v", err)
	}
	out, err := exec.Command(python, "testdata/books_peer.py", "7", "60").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		Text     string
		Chi2     float64
		Contents map[string][3]float64
	}
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, x := range all {
		r := dispensing.Reckon(foldText(t, x.Text), time.Time{})
		sure := dispensing.Reckon(foldText(t, strings.Replace(x.Text, "half-life-u: 0.3 h", "half-life-u: 1e-9 h", 1)), time.Time{})
		for i, k := range r.Containers {
			want, ok := x.Contents[k.Container.ID]
			if !ok {
				continue
			}
			near(t, k.Container.ID, float64(k.Activity), want[0], 1e-9)
			u := float64(sure.Containers[i].U)
			near(t, "u of "+k.Container.ID, u, want[1], 1e-6)
			if h := math.Sqrt(float64(k.U)*float64(k.U) - u*u); math.Abs(h-math.Abs(want[2])) > 0.01*h+1e-4*u {
				t.Errorf("the half-life brings %.5g Bq into %s, want %.5g", h, k.Container.ID, want[2])
			}
			checked++
		}
		if math.Abs(r.Consistency.Chi2-x.Chi2) > 1e-6*x.Chi2+1e-9 {
			t.Errorf("chi-square is %g, want %g", r.Consistency.Chi2, x.Chi2)
		}
		if t.Failed() {
			t.Fatal(x.Text)
		}
	}
	if len(all) != 60 || checked < 150 {
		t.Errorf("%d files and %d contents were compared", len(all), checked)
	}
}

// TestResidualsWrittenToTheBecquerel: three draws with honest readings; what two of the doses left
// behind is written to the becquerel, beside readings of gigabecquerels. Once the squares of the weights
// were lost in rounding, a volume was called a slip, and all figures were withheld. The dose is the
// difference of two readings at one time, by hand.
func TestResidualsWrittenToTheBecquerel(t *testing.T) {
	const text = `
case: 2
zone: UTC
half-life: 64.0417 h
policy: {tolerance: 10 %, label-tolerance: 10 %, confidence: 95 %, draw-yield: {q: 94 %, u: 4 %}, basis: label}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}, administration-vial: {factor: 1, u: 0 %, basis: label}}
entries:
  - receive: {vial: S1, lot: L, labelled: 4000 MBq, reference: 2028-03-06T23:24, volume: 5.0 mL, at: 2028-03-03T10:04}
  - read: {of: S1, meter: M1, at: 2028-03-03T10:31, gross: 10.1223356 GBq, background: 0 MBq}
  - order: {id: P0, prescribed: 1.501 GBq, at: 2028-03-04T13:27, one-identifier: invented}
  - draw: {from: S1, into: Y0, for: P0, at: 2028-03-03T17:41, volume: 1 mL}
  - read: {of: S1, meter: M1, at: 2028-03-03T17:46, gross: 7.4676939 GBq, background: 0 MBq}
  - transfer: {from: Y0, into: A0, at: 2028-03-03T17:59}
  - order: {id: P1, prescribed: 1.458 GBq, at: 2028-03-05T07:46, one-identifier: invented}
  - draw: {from: S1, into: Y1, for: P1, at: 2028-03-04T01:10, volume: 1.2 mL}
  - read: {of: S1, meter: M1, at: 2028-03-04T01:19, gross: 4.8395443 GBq, background: 0.2 MBq}
  - transfer: {from: Y1, into: A1, at: 2028-03-04T01:31}
  - order: {id: P2, prescribed: 0.960 GBq, at: 2028-03-05T09:59, one-identifier: invented}
  - draw: {from: S1, into: Y2, for: P2, at: 2028-03-04T13:03, volume: 0.8 mL}
  - read: {of: S1, meter: M1, at: 2028-03-04T13:09, gross: 3.0629338 GBq, background: 0 MBq}
  - infuse: {for: P0, from: A0, start: 2028-03-04T13:32, stop: 2028-03-04T14:02, reason: complete}
  - read: {of: A0, meter: M1, at: 2028-03-04T14:17, gross: 44.589891 MBq, background: 0 MBq}
  - infuse: {for: P1, from: A1, start: 2028-03-05T08:12, stop: 2028-03-05T08:42, reason: complete}
  - read: {of: A1, meter: M1, at: 2028-03-05T08:57, gross: 43.447218 MBq, background: 0.2 MBq}
`
	c, err := fold.File(facttest.Decode(t, []byte(text)))
	if err != nil {
		t.Fatal(err)
	}
	r := dispensing.Reckon(c, time.Time{})
	if len(r.Withheld) > 0 || r.Orders[0].Dispensed == nil {
		t.Fatalf("withheld: %v, %v", r.Withheld, r.Findings)
	}
	drawn := 10.1223356e9*math.Exp2(-7.25/64.0417) - 7.4676939e9
	left := math.Exp2(-r.Orders[0].Dispensed.At.Sub(time.Date(2028, 3, 3, 17, 46, 0, 0, time.UTC)).Hours() / 64.0417)
	near(t, "dispensed", float64(r.Orders[0].Dispensed.Activity), drawn*left, 1e-9)
}
