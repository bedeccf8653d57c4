package fold_test

import (
	"errors"
	"math"
	"slices"
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

// TestOneIdentifier: an order of a patient has two identifiers, or says why it has one;
// otherwise that is found. A case of no patient is none of anybody's.
func TestOneIdentifier(t *testing.T) {
	for says, want := range map[string]bool{
		"": false, ", patient: P-1": true, ", patient: P-1, second-identifier: STAY-7": false, ", patient: P-1, one-identifier: an emergency": false,
	} {
		c, err := restsOn(rests, says)
		if err != nil {
			t.Fatal(err)
		}
		r := dispensing.Reckon(c, time.Time{})
		got := slices.ContainsFunc(r.Findings, func(f dispensing.Finding) bool {
			return f.Code == dispensing.OneIdentifier && f.Severity == dispensing.Warn && f.Order == "P1"
		})
		if got != want {
			t.Errorf("%q: found is %v, want %v", says, got, want)
		}
	}
}

// fewCounts are those of lungs that hold less than the background over them.
const fewCounts = "{lungs: {anterior: 100 counts, posterior: 90 counts, area: 2400 px}, liver: {anterior: 181000 counts, posterior: 151000 counts, area: 1500 px}, background: {anterior: 600 counts, posterior: 550 counts, area: 1200 px}}"

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

// TestOrderByAbsorbedDose: an order may name an absorbed dose alone; the activity
// follows by its method. By D = K·A·(1 - L)/m with K = 49.72542 (MIRD, of the
// half-life and mean energy in use) 120 Gy to 0.8 kg at a shunt of 8 % are
// 96/(49.72542·0.92) = 2.09848 GBq; by the counts of the second row, which give
// 0.0623984 (geometric mean less background, worked by hand), 2.05902 GBq.
func TestOrderByAbsorbedDose(t *testing.T) {
	const mono = "method: mono-compartment, absorbed-dose: 120 Gy, to: perfused-volume, perfused-mass: 0.8 kg, "
	const counts = "lung-shunt-counts: {lungs: {anterior: 13200 counts, posterior: 11100 counts, area: 2400 px}, liver: {anterior: 181000 counts, posterior: 151000 counts, area: 1500 px}, background: {anterior: 600 counts, posterior: 550 counts, area: 1200 px}}"
	for shunt, want := range map[string]string{"lung-shunt: 8 %, lung-shunt-method: entered": "2.1 GBq", counts: "2.06 GBq"} {
		f, err := casefile.Decode([]byte(strings.Replace(drawnCase, "prescribed: 1.30 GBq", "dosimetry: {"+mono+shunt+"}", 1)), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		c, err := fold.File(f)
		if err != nil {
			t.Fatal(err)
		}
		o := c.Orders[0]
		if o.Written != want || !strings.Contains(o.FromDose, "120 Gy to the perfused volume") {
			t.Errorf("%s: %s from %q, want %s", shunt, o.Written, o.FromDose, want)
		}
		r := dispensing.Reckon(c, time.Time{})
		if d := r.Orders[0].Dose; d == nil || !strings.Contains(strings.Join(d.Working(), " "), "D = K·A·(1 - L)/m") {
			t.Errorf("%s: no working: %+v", shunt, d)
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
		"two shunts":             {rests + ", lung-shunt-counts: " + fewCounts, "", "two-shunts", "order.dosimetry.lung-shunt", "keep one"},
		"net counts":             {strings.Replace(rests, "lung-shunt: 6.25 %, lung-shunt-method: planar geometric mean", "lung-shunt-counts: "+fewCounts, 1), "", "net-not-positive", "order.dosimetry.lung-shunt-counts.lungs", "place of the background"},
		"one id twice":           {rests, ", patient: K-1, second-identifier: K-1", "inconsistent", "order.second-identifier", "why there is one only"},
		"why, without":           {rests, ", second-identifier: K-2, one-identifier: none at hand", "inconsistent", "order.one-identifier", "leave it out"},
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

// TestLungsOfOnePatient: the lung doses of two orders of one patient are held together, those
// of a day against the limit of one treatment and those of days before against that of all.
// By the constant of the half-life in use, 49.72542, 1.3 GBq with a shunt of 30 % give the
// lungs of 1 kg 19.3929 Gy, and two such 38.7858 Gy; beside one, 30 Gy leave (30 -
// 19.3929)/14.9176 = 0.7110 GBq.
func TestLungsOfOnePatient(t *testing.T) {
	order := func(id, more, dosimetry string) string {
		return "order: {id: " + id + ", prescribed: 1.30 GBq, residual: 2 %, dosimetry: {" + strings.Replace(rests, "6.25 %", "30 %", 1) + dosimetry + "}, " + more + "}"
	}
	const (
		day, later = "at: 2027-03-04T13:30, patient: K-1", "at: 2027-03-18T13:30, patient: K-1"
		own, total = ", lung-max: 30 Gy", ", lung-total-max: 38 Gy"
	)
	for name, c := range map[string]struct {
		lines []string
		says  string
		on    []string
	}{
		"one day, the order's maximum": {[]string{order("P1", day, own), order("P2", day, own)}, "lungs, this treatment with order P1: about 39 Gy is more than 30 Gy (stated in the order), by 29 %; it allows at most 711 MBq", []string{"P1 stop", "P2 stop"}},
		"one day, four orders":         {[]string{order("P1", day, own), order("P2", day, own), order("P3", day, own), order("P4", day, own)}, "lungs, this treatment with order P2 and 2 more: about 78 Gy", []string{"P1 stop", "P2 stop", "P3 stop", "P4 stop"}},
		"one day, in print":            {[]string{order("P1", day, ""), order("P2", day, "")}, "with order P2: about 39 Gy is more than 30 Gy (in print", []string{"P1 warn", "P2 warn"}},
		"one that says nothing":        {[]string{order("P1", day, own), "order: {id: P2, prescribed: 1.30 GBq, " + day + "}"}, "", nil},
		"two patients":                 {[]string{order("P1", day, own), order("P2", strings.Replace(day, "K-1", "K-2", 1), own)}, "", nil},
		"no patient":                   {[]string{order("P1", day[:22], own), order("P2", day[:22], own)}, "", nil},
		"cancelled":                    {[]string{order("P1", day, own), order("P2", day, own), "cancel: {for: P2, reason: no longer wanted, at: 2027-03-04T08:00}"}, "", nil},
		"two weeks apart, in print":    {[]string{order("P1", day, own), order("P2", later, own)}, "", nil},
		"two weeks apart, the total":   {[]string{order("P1", day, own), order("P2", later, own+total)}, "lungs, all treatments with order P1 before: about 39 Gy is more than 38 Gy", []string{"P2 stop"}},
		"what was before is stated":    {[]string{order("P1", day, own), order("P2", later, own+total+", lung-dose-before: 10 Gy")}, "", nil},
	} {
		f, err := casefile.Decode([]byte("case: 1\nzone: Atlantic/Azores\nhalf-life: 64.0417 h\nentries:\n  - "+strings.Join(c.lines, "\n  - ")+"\n"), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		books, err := fold.File(f)
		if err != nil {
			t.Fatal(err)
		}
		var on []string
		said := c.says == ""
		for _, x := range dispensing.Reckon(books, time.Time{}).Findings {
			if x.Code == dispensing.Code(dose.LungLimit) {
				on, said = append(on, x.Order+" "+string(x.Severity)), said || strings.Contains(x.Text, c.says)
			}
		}
		if !said || !slices.Equal(on, c.on) {
			t.Errorf("%s: on %v, %v", name, on, dispensing.Reckon(books, time.Time{}).Findings)
		}
	}
}
