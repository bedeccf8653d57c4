package fold_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/fold"
	"vialwright/quantity"
)

const rests = "method: partition, tumour-mass: 0.2 kg, normal-mass: 1.4 kg, tumour-to-normal: 3 to 1, lung-shunt: 6.25 %, lung-shunt-method: planar geometric mean"

func restsOn(dosimetry, more string) (dispensing.Case, error) {
	f, err := casefile.Decode([]byte(strings.Replace(drawnCase, "residual: 2 %}", "residual: 2 %"+more+", dosimetry: {"+dosimetry+"}}", 1)+
		"  - residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}\n"), time.LoadLocation)
	if err != nil {
		return dispensing.Case{}, err
	}
	return fold.File(f)
}

// TestDosimetry: an order that says what it rests on is checked, and after the
// infusion the doses are those of what was delivered. By the partition model with
// the constant of the half-life in use, 49.72542: 1.300479 GBq give 49.72542/49.67
// times 90.83643 Gy to the tumour.
func TestDosimetry(t *testing.T) {
	c, err := restsOn(rests, ", or-at-stasis: yes, spheres-least: 10 million, spheres-most: 15 million")
	if err != nil {
		t.Fatal(err)
	}
	r := dispensing.Reckon(c, time.Time{})
	d := r.Orders[0].Dose
	if d == nil || len(d.After) == 0 || d.After[0].Of != dose.Tumour {
		t.Fatalf("no doses: %+v", d)
	}
	want := 90.83643 * 49.72542 / 49.67 * float64(r.Orders[0].Delivered.Activity/quantity.GigaBecquerel) / 1.300479
	if got := float64(d.After[0].Dose); math.Abs(got/want-1) > 1e-6 {
		t.Errorf("tumour %.5f Gy, want %.5f", got, want)
	}
	if c.Orders[0].OrStasis == nil || !*c.Orders[0].OrStasis {
		t.Error("the order does not say \"or at stasis\"")
	}
	found := ""
	for _, f := range r.Findings {
		if string(f.Code) == string(dose.SphereWindow) && f.Order == "P1" {
			found = f.Text
		}
	}
	if !strings.Contains(found, "25 million") || !strings.Contains(found, "10 to 15 million") {
		t.Errorf("the spheres from S1 are not held against the order: %q", found)
	}
}

// TestSpheresWithoutDosimetry: an order that wants a number of spheres is held to it
// also where it does not say what its activity rests on; no dose follows then.
func TestSpheresWithoutDosimetry(t *testing.T) {
	for window, warns := range map[string]bool{", spheres-most: 15 million": true, ", spheres-least: 10 million, spheres-most: 60 million": false, ", spheres-least: 60 million": true} {
		f, err := casefile.Decode([]byte(strings.Replace(drawnCase, "residual: 2 %}", "residual: 2 %"+window+"}", 1)), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		c, err := fold.File(f)
		if err != nil {
			t.Fatal(err)
		}
		r, found := dispensing.Reckon(c, time.Time{}), false
		for _, f := range r.Findings {
			found = found || string(f.Code) == string(dose.SphereWindow) && f.Severity == dispensing.Warn && strings.Contains(f.Text, "million")
		}
		if found != warns || r.Orders[0].Dose != nil {
			t.Errorf("%s: found %v, want %v; doses %v", window, found, warns, r.Orders[0].Dose)
		}
	}
}

// TestDosimetryRefused: figures that cannot belong together are refused when the
// order is entered, at their field.
func TestDosimetryRefused(t *testing.T) {
	for name, x := range map[string]struct{ dosimetry, more, code, path, says string }{
		"masses":                 {rests + ", perfused-mass: 1 kg", "", "masses-disagree", "order.dosimetry.perfused-mass", "check all three"},
		"closed system":          {"method: closed-system, tumour-mass: 0.3 kg, closed-system-ratio: 1.2 to 1, tumour-lung-share: 10 %, lung-shunt: 5 %, lung-shunt-method: entered", "", "shunt-in-closed-system", "order.dosimetry.lung-shunt", "tumour-lung-share"},
		"no method of the shunt": {strings.Replace(rests, ", lung-shunt-method: planar geometric mean", "", 1), "", "field-missing", "order.dosimetry.lung-shunt-method", "planar geometric mean"},
		"a bare ratio":           {strings.Replace(rests, "3 to 1", "3", 1), "", "bad-number", "order.dosimetry.tumour-to-normal", "write it like 3 to 1"},
		"a word of none":         {strings.Replace(rests, "partition", "guess", 1), "", "unknown-word", "order.dosimetry.method", "partition"},
		"bounds turned round":    {rests, ", not-before: 2027-03-04T14:00, not-after: 2027-03-04T13:00", "out-of-range", "order.not-after", "check both times"},
	} {
		_, err := restsOn(x.dosimetry, x.more)
		var bad *casefile.Error
		if !errors.As(err, &bad) || bad.Code != x.code || !strings.HasSuffix(bad.Path, x.path) || bad.Line == 0 || !strings.Contains(bad.Error(), x.says) {
			t.Errorf("%s: %v, want %s at %s with %q", name, err, x.code, x.path, x.says)
		}
	}
}
