package meterbook_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dose"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/meterbook"
	"vialwright/quantity"
	"vialwright/rules"
)

// bookOf is the book of entries as a case file writes them, on 4 March 2027 at 08:00.
func bookOf(t testing.TB, entries ...string) *meterbook.Book {
	t.Helper()
	f, err := casefile.Decode([]byte(invented.Header+"entries:\n  - "+strings.Join(entries, "\n  - ")+"\n"), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fold.File(f); err != nil {
		t.Fatal(err)
	}
	zone, _ := time.LoadLocation("Atlantic/Azores")
	blank, err := rules.Load("blank")
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2027, 3, 4, 8, 0, 0, 0, zone)
	return meterbook.Of(fold.Entries(journal.Records(f.Facts)), meterbook.RulesOf(blank.On(at)), zone, at)
}

const (
	meterM1 = "instrument: {id: M1, what: activity-meter, at: 2025-01-01T08:00}"
	source1 = "check-source: {id: CS1, nuclide: Cs-137, activity: 7.4 MBq, u: 1.5 %, reference: 2023-09-03T08:00, at: 2025-01-01T08:00}"
	source2 = "check-source: {id: CS2, nuclide: Ba-133, activity: 9.25 MBq, u: 2 %, reference: 2022-12-03T02:00, at: 2025-01-01T08:00}"
)

// constancy is a reading of a source on its own setting, in MBq.
func constancy(source, setting string, mbq float64, at string) string {
	return fmt.Sprintf("meter-test: {of: M1, test: constancy, with: %s, setting: %s, readings: [{gross: %.3f MBq, background: 0 MBq}], at: %s}", source, setting, mbq, at)
}

// Cs-137 7.4 MBq 3.5 a old and Ba-133 9.25 MBq 4.25 a old; expected 6.826058 and
// 6.994347 MBq, -1.700 % and +1.511 %: decay worked out by hand with half-lives of 30.05
// a and 10.539 a. The year is 365.2422 d, the dates are whole hours: 2e-5 is allowed.
func TestConstancy(t *testing.T) {
	b := bookOf(t, meterM1, source1, source2, constancy("CS1", "Cs-137", 6.71, "2027-03-04T07:00"), constancy("CS2", "Ba-133", 7.10, "2027-03-04T07:10"))
	for n, want := range []struct{ expected, deviation float64 }{{6.826058, -0.01700}, {6.994347, 0.01511}} {
		x := b.Find("M1").Tests[n]
		if math.Abs(x.Expected/1e6/want.expected-1) > 1e-4 || math.Abs(float64(x.Deviation)-want.deviation) > 1e-4 || x.Verdict != meterbook.Good {
			t.Errorf("%+v", x)
		}
	}
	for _, setting := range []string{"Cs137", "cs 137", "137Cs", "Cs-137 (dipper)"} {
		x := bookOf(t, meterM1, source1, constancy("CS1", setting, 6.1, "2027-03-04T07:00")).Find("M1").Tests[0]
		if math.Abs(x.Expected/6.826058e6-1) > 1e-4 || x.Verdict != meterbook.Bad {
			t.Errorf("with the setting %q: %+v", setting, x)
		}
	}
	if d, known := b.Ready("M1"); !known || len(d) != 1 || !strings.Contains(d[0], "background of the day") {
		t.Errorf("%q", d)
	}
	// The last test of the day counts: one that failed is not outvoted by one before.
	b = bookOf(t, meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00"), constancy("CS1", "Cs-137", 6.1, "2027-03-04T07:10"), "meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-04T07:05}")
	if d, _ := b.Ready("M1"); len(d) != 1 || d[0] != "M1: constancy of the day failed on 4 Mar 2027" {
		t.Errorf("%q", d)
	}
}

// On the setting of another nuclide, and of a survey meter, the first reading is the
// measure.
func TestConstancyOnAnotherSetting(t *testing.T) {
	b := bookOf(t, meterM1, source1, "instrument: {id: SV1, what: survey-meter, at: 2025-01-01T08:00}",
		constancy("CS1", "Y-90", 90, "2026-03-04T07:00"), constancy("CS1", "Y-90", 90*math.Exp2(-1/30.05)*0.93, "2027-03-04T07:00"),
		"meter-test: {of: SV1, test: constancy, with: CS1, readings: [{rate: 10.1 uSv/h, rate-background: 0.1 uSv/h}], at: 2026-03-04T07:00}",
		"meter-test: {of: SV1, test: constancy, with: CS1, readings: [{rate: 8.4 uSv/h, rate-background: 0.1 uSv/h}], at: 2027-03-04T07:00}")
	m := b.Find("M1").Tests
	if m[0].Deviation != 0 || math.Abs(float64(m[1].Deviation)+0.07) > 1e-3 || m[1].Verdict != meterbook.Bad {
		t.Errorf("%+v", m)
	}
	// 8.3 of 10 decayed by a year to 9.772: -15.06 %, inside 20 %.
	if v := b.Find("SV1").Tests[1]; math.Abs(float64(v.Deviation)+0.1506) > 1e-3 || v.Verdict != meterbook.Good || v.Unit != "uSv/h" {
		t.Errorf("%+v", v)
	}
}

// Each row is a fault of the entries, and the code that names it.
func TestBadInputIsNamed(t *testing.T) {
	linear := func(readings string) string {
		return "meter-test: {of: M1, test: linearity, nuclide: Y-90, repeatability: 0.3 %, readings: [" + readings + "], at: 2027-03-04T07:30}"
	}
	series := func(values ...string) string {
		var out []string
		for n, v := range values {
			out = append(out, fmt.Sprintf("{at: 2027-02-%02dT07:00, gross: %s MBq, background: 0.2 MBq}", n+1, v))
		}
		return strings.Join(out, ", ")
	}
	for name, c := range map[string]struct {
		code, says string
		entries    []string
	}{
		"below the background":              {"test-unjudged", "not a finite activity above 0", []string{meterM1, source1, "meter-test: {of: M1, test: constancy, with: CS1, readings: [{gross: 0.2 MBq, background: 0.3 MBq}], at: 2027-03-04T07:00}"}},
		"a source that is not in the books": {"test-unjudged", "not in the books", []string{meterM1, constancy("CS9", "Cs-137", 6.8, "2027-03-04T07:00")}},
		"a source that comes later":         {"test-unjudged", "not in the books", []string{meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2024-03-04T07:00")}},
		"a series that rises":               {"test-unjudged", "not lower and later", []string{meterM1, linear(series("3000", "2300", "2500", "1340", "1000", "250"))}},
		"four readings":                     {"test-unjudged", "needs 5 readings", []string{meterM1, linear(series("3000", "2300", "1700", "100"))}},
		"less than a decade":                {"test-unjudged", "less than a factor of ten", []string{meterM1, linear(series("3000", "2313", "1784", "1376", "1061"))}},
		"a linearity of nothing":            {"test-unjudged", "neither a source nor a nuclide", []string{meterM1, strings.Replace(linear(series("3000")), "nuclide: Y-90, ", "", 1)}},
		"accuracy on another setting":       {"test-unjudged", "on the setting of Cs-137", []string{meterM1, source1, strings.Replace(constancy("CS1", "Y-90", 90, "2027-03-04T07:00"), "constancy", "accuracy", 1)}},
		"a run without its end":             {"test-unjudged", "lacks a reading", []string{meterM1, "meter-test: {of: M1, test: geometry, container: syringe, nuclide: Y-90, readings: [{gross: 3 GBq, part: before}], at: 2027-03-04T07:00}"}},
		"two bases in one day": {"two-bases", "label and on the traceable basis", []string{
			meterM1, source1, strings.Replace(constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00"), "with:", "basis: label, with:", 1),
			strings.Replace(constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:30"), "with:", "basis: traceable, with:", 1),
		}},
		"withdrawn and tested": {"withdrawn-used", "withdrawn on 1 Feb 2027", []string{meterM1, source1, "instrument: {id: M1, what: activity-meter, state: withdrawn, at: 2027-02-01T08:00}", constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00")}},
		"withdrawn and read": {"withdrawn-used", "was used on 4 Mar 2027", []string{
			meterM1, "instrument: {id: M1, what: activity-meter, state: withdrawn, at: 2027-02-01T08:00}",
			"receive: {vial: S1, lot: L1, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5 mL, at: 2027-03-04T07:00}", "read: {of: S1, meter: M1, at: 2027-03-04T07:40, gross: 3.2 GBq, background: 0.2 MBq}",
		}},
		"withdrawn and used in a survey": {"withdrawn-used", "WC1 was used on 4 Mar 2027 (entry 4); it was withdrawn on 1 Feb 2027", []string{
			"instrument: {id: WC1, what: wipe-counter, at: 2025-01-01T08:00}", "instrument: {id: WC1, what: wipe-counter, state: withdrawn, at: 2027-02-01T08:00}",
			"survey-point: {point: R1-1, room: R1, name: bench, action: 0.4 Bq/cm2, at: 2027-01-01T00:00}", "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T07:00, rate: 0.1 uSv/h, background: 0.1 uSv/h}",
		}},
		"withdrawn and used on the same day": {"withdrawn-used", "M1 was used on 4 Mar 2027 (entry 4)", []string{
			meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-04T06:00"), constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:30"),
			"instrument: {id: M1, what: activity-meter, state: withdrawn, at: 2027-03-04T07:00}",
		}},
		"a withdrawn source": {"source-withdrawn", "was withdrawn", []string{meterM1, source1, strings.Replace(source1, "at: 2025", "state: withdrawn, at: 2026", 1), constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00")}},
		"outside":            {"constancy-outside", "more than the tolerance of 5 %", []string{meterM1, source1, constancy("CS1", "Cs-137", 6.3, "2027-03-04T07:00")}},
		// 6.826208 MBq are expected (7.4 MBq · 2^(-30672/263413)): 7.1677 MBq is 5.00265 % more, and to two decimals at the tolerance.
		"outside by a little": {"constancy-outside", "departs by +5.003 %, more than the tolerance of 5 %", []string{meterM1, source1, strings.Replace(constancy("CS1", "Cs-137", 7.167, "2027-03-04T07:00"), "7.167", "7.1677", 1)}},
		// Another source that would read as much says nothing where its certificate is not
		// what was compared.
		"on another setting, as the certificate of another source": {"constancy-outside", "departs by -", []string{meterM1, source1, source2, constancy("CS1", "Y-90", 7.6, "2027-03-03T07:00"), constancy("CS1", "Y-90", 6.99, "2027-03-04T07:00")}},
		"a linearity that begins where a source reads":             {"linearity-outside", "more than the tolerance of 5 %", []string{meterM1, source1, linear(series("7.03", "5.58", "4.47", "3.61", "2.95", "2.43", "2.04", "1.73", "1.49", "1.31", "1.17", "1.06", "0.98", "0.83"))}},
		"outlier":                            {"precision-outlier", "reading 7", []string{meterM1, "meter-test: {of: M1, test: precision, nuclide: Cs-137, readings: [{gross: 100 MBq}, {gross: 100.1 MBq}, {gross: 99.9 MBq}, {gross: 100.2 MBq}, {gross: 99.8 MBq}, {gross: 100 MBq}, {gross: 103 MBq}, {gross: 100.1 MBq}], at: 2027-03-04T07:00}"}},
		"a sleeve that is off":               {"", "at most", []string{meterM1, "meter-test: {of: M1, test: linearity-by-sleeves, with: CS1, readings: [{gross: 100 MBq, sleeve: 1 times}, {gross: 33.4 MBq, sleeve: 3 times}, {gross: 9.1 MBq, sleeve: 10 times}], at: 2027-03-04T07:00}", source1}},
		"a sleeve that is off, as a finding": {"linearity-by-sleeves-outside", "The linearity by sleeves of M1", []string{meterM1, "meter-test: {of: M1, test: linearity-by-sleeves, with: CS1, readings: [{gross: 100 MBq, sleeve: 1 times}, {gross: 33.4 MBq, sleeve: 3 times}, {gross: 9.1 MBq, sleeve: 10 times}], at: 2027-03-04T07:00}", source1}},
		"repeated readings that scatter":     {"precision-outside", "more than the tolerance of 5 %", []string{meterM1, "meter-test: {of: M1, test: precision, nuclide: Cs-137, readings: [{gross: 100 MBq}, {gross: 110 MBq}, {gross: 90 MBq}], at: 2027-03-04T07:00}"}},
	} {
		b := bookOf(t, c.entries...)
		found := false
		for _, f := range b.Findings {
			found = found || string(f.Code) == c.code && strings.Contains(f.Text, c.says) && f.Hint != ""
		}
		if c.code == "" {
			x := b.Find("M1").Tests[0]
			found = x.Verdict == meterbook.Bad && strings.Contains(x.Says, c.says)
		}
		if !found {
			t.Errorf("%s: %+v", name, b.Findings)
		}
	}
}

// What the book has against a reading, and what it adds to the uncertainty.
func TestDoubts(t *testing.T) {
	b := bookOf(t, meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00"),
		"meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-04T07:05}",
		"calibration: {of: M1, container: shipping-vial, setting: Y-90, insert: dipper, factor: 1, u: 0.5 %, basis: label, low: 102.7 MBq, high: 3.0 GBq, fill: [1 mL, 5 mL], from: 2026-04-01T08:00}")
	fine := meterbook.Reading{Meter: "M1", At: b.At, Net: 2e9, Setting: "Y-90", Insert: "dipper", Container: "shipping-vial", Volume: 5, Basis: quantity.LabelBasis}
	for _, setting := range []string{"Y-90", "Y90", "90Y", "y 90"} { // as a meter may spell it on its line
		fine.Setting = setting
		if d := b.Doubts(fine); len(d) != 0 {
			t.Errorf("%s: %+v", setting, d)
		}
	}
	for code, change := range map[string]func(*meterbook.Reading){
		"meter-range":   func(r *meterbook.Reading) { r.Net = 6.978513e9 }, // an early vial, 2.3 times the top
		"meter-set-up":  func(r *meterbook.Reading) { r.Setting = "Y-90 T" },
		"meter-basis":   func(r *meterbook.Reading) { r.Basis = quantity.TraceableBasis },
		"meter-fill":    func(r *meterbook.Reading) { r.Volume = 8 },
		"meter-overdue": func(r *meterbook.Reading) { r.At = b.At.AddDate(0, 0, 1) },
	} {
		r := fine
		change(&r)
		d := b.Doubts(r)
		if len(d) == 0 || string(d[0].Code) != code || d[0].Hint == "" {
			t.Errorf("%s: %+v", code, d)
			continue
		}
		if code == "meter-range" && (!strings.Contains(d[0].Text, "2.3 times the top") || !strings.Contains(d[0].Text, "adds 2.9 %")) {
			t.Errorf("%+v", d[0])
		}
	}
	if d := b.Doubts(meterbook.Reading{Meter: "M7", At: b.At, Net: 1}); d != nil {
		t.Errorf("%+v", d)
	}
}

// Two scales of one meter and what a change does: label 3.00 and traceable 3.72 GBq of
// one vial (published), 1.30 GBq on the label are 1.612 GBq.
func TestScales(t *testing.T) {
	b := bookOf(t, meterM1, "calibration: {of: M1, container: shipping-vial, factor: 1.24, u: 0 %, basis: label, from: 2026-04-01T08:00}",
		"calibration: {of: M1, container: shipping-vial, factor: 1, u: 1.9 %, basis: traceable, from: 2026-04-01T08:00}")
	s, ok := b.Find("M1").Scales(b.At)
	if !ok || math.Abs(float64(s.Ratio)-1.24) > 1e-12 || math.Abs(float64(s.U)-1.24*0.019) > 1e-12 {
		t.Fatalf("%+v %t", s, ok)
	}
	o := meterbook.Ordered{Order: "P1", Prescribed: 1.3e9, Tolerance: 0.10, Basis: quantity.LabelBasis, Doses: []dose.Dose{{Of: dose.Tumour, Dose: 120}}}
	got, kept := meterbook.Change(s, o)
	// 1.17 and 1.43 GBq times 1.24, u = 1.9 %; 1.3/1.24 = 1.0484 is 19.35 % less.
	want := []meterbook.Moved{{"Prescription", "1.3 GBq", "1.612 ± 0.031 GBq"}, {"Tolerance of 10 %", "1.17 GBq to 1.43 GBq", "1.451 GBq to 1.773 GBq"}, {"Mean absorbed dose, tumour", "about 120 Gy", "about 150 Gy"}}
	if !slices.Equal(got, want) || kept != "If the figure of 1.3 GBq were kept, the patient would get 1.048 GBq on the scale in use now, -19.35 %." {
		t.Errorf("%q %s", got, kept)
	}
	o.Basis, o.Prescribed = quantity.TraceableBasis, 1.612e9
	if back, kept := meterbook.Change(s, o); back[0].Then != "1.300 ± 0.025 GBq" || !strings.Contains(kept, "1.999 GBq on the scale in use now, +24.00 %") {
		t.Errorf("%q %s", back, kept)
	}
	m := &fact.Meter{ID: "M1", Geometry: &fact.Geometries{ShippingVial: []fact.Geometry{{Factor: fact.Number{Value: 1, Text: "1"}, Basis: quantity.LabelBasis}}}}
	if d := b.Differences(m); len(d) != 1 || d[0].Code != "factor-differs" {
		t.Errorf("%+v", d)
	}
}

// What is named as a source and was not read says so.
func TestLimitsNameTheirSource(t *testing.T) {
	for _, h := range bookOf(t, meterM1).Rules.Says() {
		rest := strings.NewReplacer("assumed, no source", "", "common practice, no source", "").Replace(h.Source)
		if h.Limit == "" || h.Source == "" || rest != "" && !strings.Contains(rest, "from memory") {
			t.Errorf("%+v", h)
		}
	}
}

// Three readings of one test are taken together: 6.8, 6.82 and 6.84 MBq are 6.82 for the
// 6.826058 MBq of the source, where the first alone would be off by -0.38 %. Readings that
// lie apart are named, though their mean is right.
func TestConstancyOfSeveralReadings(t *testing.T) {
	several := func(day int, mbq ...string) string {
		return fmt.Sprintf("meter-test: {of: M1, test: constancy, with: CS1, setting: Cs-137, readings: [{gross: %s MBq}], at: 2027-02-%02dT07:00}", strings.Join(mbq, " MBq}, {gross: "), day)
	}
	x := bookOf(t, meterM1, source1, strings.Replace(several(1, "6.80", "6.82", "6.84"), "02-01T", "03-04T", 1)).Find("M1").Tests[0]
	if math.Abs(x.Net/6.82e6-1) > 1e-9 || math.Abs(float64(x.Deviation)-(6.82/6.826058-1)) > 1e-4 || !strings.Contains(x.Says, "6.82 MBq (mean of 3)") || math.Abs(float64(x.Range)-0.04/6.82) > 1e-9 {
		t.Errorf("%+v", x)
	}
	b := bookOf(t, meterM1, source1, several(1, "6.83", "6.84", "7.9"))
	if x := b.Find("M1").Tests[0]; x.Verdict != meterbook.Bad || b.Findings[len(b.Findings)-1].Code != "constancy-scatter" || !strings.Contains(b.Findings[len(b.Findings)-1].Text, "+9.87 %") {
		t.Errorf("%+v %+v", x, b.Findings)
	}
	// Ranges of five days of 0.02, 0.04, 0.02, 0.04 and 0.03 MBq and one of 0.13, mean
	// 0.28/6 = 0.04667: beyond D4 = 2.575 times as much, 0.1201.
	b = bookOf(t, meterM1, source1, several(1, "6.83", "6.84", "6.85"), several(2, "6.80", "6.84", "6.82"), several(3, "6.84", "6.83", "6.82"),
		several(4, "6.82", "6.86", "6.84"), several(5, "6.82", "6.85", "6.83"), several(6, "6.77", "6.90", "6.83"))
	for n, x := range b.Find("M1").Tests {
		if apart := strings.Contains(x.Says, "lie 1.9 % apart, more than the 1.8 %"); apart != (n == 5) || apart != (x.Verdict == meterbook.Warned) {
			t.Errorf("test %d: %s %s", n, x.Verdict, x.Says)
		}
	}
}

// A meter that was tested by sleeves alone was tested over what it displayed within them,
// on the setting of the test.
func TestSleevesGiveTheTestedRange(t *testing.T) {
	b := bookOf(t, meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00"), "meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-04T07:05}",
		"meter-test: {of: M1, test: linearity-by-sleeves, setting: Y-90, nuclide: Y-90, readings: [{gross: 3 GBq, sleeve: 1 times}, {gross: 300 MBq, sleeve: 10 times}, {gross: 60 MBq, sleeve: 50 times}], at: 2027-03-01T07:00}")
	for setting, codes := range map[string][]string{"Y-90": {"meter-range", "", "meter-range"}, "Tc-99m": {"", "", ""}} {
		for n, net := range []quantity.Activity{3.5e9, 1e9, 50e6} {
			d := b.Doubts(meterbook.Reading{Meter: "M1", At: b.At, Net: net, Setting: setting})
			if (codes[n] == "") != (len(d) == 0) || len(d) > 0 && string(d[0].Code) != codes[n] {
				t.Errorf("%v on %s: %+v", net, setting, d)
			}
		}
	}
}

// A bad point at the end of a linearity test tests nothing there.
func TestBadPointTestsNothing(t *testing.T) {
	var rows []string
	for n, h := range []float64{0, 24, 48, 72, 120, 168, 240, 312} {
		a := 3000 * math.Exp2(-h/64.0417)
		if n == 7 {
			a *= 0.96
		}
		rows = append(rows, fmt.Sprintf("{at: %s, gross: %.3f MBq, background: 0 MBq}", time.Date(2027, 2, 1, int(h), 0, 0, 0, time.UTC).Format("2006-01-02T15:04Z"), a))
	}
	x := bookOf(t, meterM1, "meter-test: {of: M1, test: linearity, nuclide: Y-90, repeatability: 0.3 %, readings: ["+strings.Join(rows, ", ")+"], at: 2027-02-14T00:00Z}").Find("M1").Tests[0]
	if x.Verdict != meterbook.Warned || math.Abs(float64(x.Low)/1e6-3000*math.Exp2(-240/64.0417)) > 0.01 {
		t.Errorf("%+v", x)
	}
}

// Geometry at three fills, five runs of each: the factor of doses is held against the
// straight line between them, 0.955 at 1 mL and 0.980 at 3 mL, times that of the vial.
func TestFactorsAtFills(t *testing.T) {
	lines := []string{meterM1}
	for ml, s := range map[int]float64{1: 0.955, 3: 0.980, 5: 0.991} {
		for day := range 5 {
			lines = append(lines, fmt.Sprintf("meter-test: {of: M1, test: geometry, container: syringe, nuclide: Y-90, repeatability: 0.1 %%, readings: [{gross: 2 GBq, part: before}, {gross: 1 GBq, part: after}, {gross: %.3f GBq, part: in, volume: %d mL}], at: 2027-02-%02dT07:0%d}", s, ml, day+1, ml))
		}
	}
	b := bookOf(t, lines...)
	factors := func(f, low, high float64) *fact.Meter {
		ml := func(v float64) quantity.Stated[quantity.Volume] {
			s, _ := quantity.Of(quantity.Volume(v), "mL")
			return s
		}
		g := fact.Geometry{Factor: fact.Number{Value: f, Text: fmt.Sprint(f)}, Basis: quantity.LabelBasis, Fill: &fact.Range{Min: ml(low), Max: ml(high)}}
		return &fact.Meter{ID: "M1", Geometry: &fact.Geometries{ShippingVial: []fact.Geometry{{Factor: fact.Number{Value: 1, Text: "1"}, Basis: quantity.LabelBasis}}, Syringe: []fact.Geometry{g}}}
	}
	for says, m := range map[string]*fact.Meter{
		"": factors(0.9675, 1.99, 2.01), // the middle of 1 and 3 mL
		"at 1 mL the tests of geometry come to 0.955":                                                      factors(0.98, 1, 5),
		"used from 0.5 mL to 5 mL, and its geometry was tested from 1 mL to 5 mL: nothing is extrapolated": factors(0.98, 0.5, 5),
	} {
		d := b.Differences(m)
		if (says == "") != (len(d) == 0) || len(d) > 0 && !strings.Contains(d[0].Text, says) {
			t.Errorf("%q: %+v", says, d)
		}
	}
}

// Geometry by transfer, five times the same run: 0.949 of the published example, and one
// run needs four more.
func TestGeometryPoolsRuns(t *testing.T) {
	fills := []string{"2 mL", "2.0 mL", "2.00 mL", "2000 uL", "2 mL"} // one fill
	run := func(day int) string {
		return fmt.Sprintf("meter-test: {of: M1, test: geometry, container: syringe, nuclide: Y-90, repeatability: 0.8 %%, readings: [{at: 2027-02-%02dT07:00, gross: 3.240 GBq, part: before, volume: 5 mL}, {at: 2027-02-%02dT07:04, gross: 1.850 GBq, part: after}, {gross: 1.316 GBq, part: in, volume: %s}], at: 2027-02-%02dT07:08}", day, day, fills[day-1], day)
	}
	b := bookOf(t, meterM1, run(1), run(2), run(3), run(4), run(5))
	tests := b.Find("M1").Tests
	if !strings.Contains(tests[0].Says, "needs 4 more") || tests[0].Verdict != meterbook.Warned || math.Abs(float64(tests[0].Deviation)+1-0.949042) > 1e-6 {
		t.Errorf("%+v", tests[0])
	}
	if tests[4].Verdict != meterbook.Good || !strings.Contains(tests[4].Says, "of 5 runs") || tests[4].Limit.Source != "" { // nothing is held to a limit
		t.Errorf("%+v", tests[4])
	}
	if f := b.Fills(b.Find("M1"), "syringe"); len(f) != 1 || f[0].Volume != 2 {
		t.Errorf("%+v", f)
	}
}

// A source that is sold with its activity on a day still to come: Co-57, 271.81 d, 3.7 MBq on
// 1 March is 3.7 * 2^(14/271.81) = 3.834482 MBq two weeks before, by hand.
func TestSourceOfADayToCome(t *testing.T) {
	b := bookOf(t, meterM1,
		"check-source: {id: CO, nuclide: Co-57, activity: 3.7 MBq, u: 2 %, reference: 2027-03-01T07:00, at: 2027-02-10T07:00}",
		"meter-test: {of: M1, test: constancy, with: CO, setting: Co-57, readings: [{gross: 3.834482 MBq, background: 0 MBq}], at: 2027-02-15T07:00}")
	if x := b.Find("M1").Tests[0]; x.Verdict != meterbook.Good || math.Abs(float64(x.Deviation)) > 1e-6 {
		t.Errorf("%+v", x)
	}
}

// The labels of forty vials, one of them wrong by a tenth, and a meter that loses 3 % on
// the twenty-fifth.
func TestWitness(t *testing.T) {
	var all []meterbook.Assay
	for n := range 40 {
		r := 1 + 0.01*math.Sin(float64(7*n)) // bounded scatter, without a seed
		if n >= 25 {
			r -= 0.03
		}
		if n == 10 {
			r = 1.15
		}
		all = append(all, meterbook.Assay{Meter: "M1", Basis: quantity.LabelBasis, At: until.AddDate(0, 0, n), Ratio: quantity.Fraction(r)})
	}
	w := meterbook.WitnessOf(all, "M1", quantity.LabelBasis, time.UTC)
	if !w.Drifts || len(w.Left) != 1 || w.Left[0].Ratio != 1.15 {
		t.Errorf("%+v", w)
	}
	if !strings.Contains(w.Says, "makes a step of") || !strings.Contains(w.Says, until.AddDate(0, 0, 25).Format(" on 2 Jan 2006")) {
		t.Error(w.Says)
	}
	if w := meterbook.WitnessOf(all[:20], "M1", quantity.LabelBasis, time.UTC); w.Drifts || !strings.Contains(w.Says, "no change is seen") {
		t.Errorf("%+v", w)
	}
	if w := meterbook.WitnessOf(all, "M1", quantity.TraceableBasis, time.UTC); w.Says != "" {
		t.Errorf("%+v", w)
	}
}

// In the Azores the clocks were put forward from 00:00 to 01:00 on 28 March 2027 (IANA time
// zone database): until then it is the 27th, and a test of that day is not overdue.
func TestDayThatEndsWithoutMidnight(t *testing.T) {
	b := bookOf(t, meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-27T07:00"),
		"meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-27T07:05}")
	for at, want := range map[string]int{"2027-03-27T23:59:59-01:00": 0, "2027-03-28T01:00:00+00:00": 2} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if d := b.Doubts(meterbook.Reading{Meter: "M1", At: when, Net: 1e6}); len(d) != want {
			t.Errorf("at %s: %+v", at, d)
		}
	}
}

// A factor that lapsed is said of a reading that rests on it, also where a newer one on the
// other scale or for other fills has not lapsed.
func TestLapsedFactorIsSaidOfItsReadings(t *testing.T) {
	const newer = "from: 2027-02-01T08:00, due: 2028-02-01T08:00}"
	for name, second := range map[string]string{
		"the other scale": "calibration: {of: M1, container: syringe, factor: 0.8, u: 2 %, basis: traceable, " + newer,
		"nothing newer":   source2,
		"other fills":     "calibration: {of: M1, container: syringe, factor: 0.9, u: 2 %, basis: label, fill: [5 mL, 20 mL], " + newer,
	} {
		b := bookOf(t, meterM1, source1, constancy("CS1", "Cs-137", 6.8, "2027-03-04T07:00"), "meter-test: {of: M1, test: background, readings: [{gross: 0.2 MBq}], at: 2027-03-04T07:05}",
			"calibration: {of: M1, container: syringe, factor: 1, u: 2 %, basis: label, fill: [1 mL, 4 mL], from: 2026-02-01T08:00, due: 2027-02-01T08:00}", second)
		r := meterbook.Reading{Meter: "M1", At: b.At, Net: 1e9, Container: "syringe", Volume: 2, Basis: quantity.LabelBasis}
		vial := r
		vial.Container = "shipping-vial" // it does not rest on that factor
		if d := b.Doubts(vial); len(d) != 0 {
			t.Errorf("%s, of the vial: %+v", name, d)
		}
		if d := b.Doubts(r); len(d) != 1 || d[0].Code != "meter-overdue" || !strings.Contains(d[0].Text, "calibration for the syringe has been due since 1 Feb 2027") {
			t.Errorf("%s: %+v", name, d)
		}
	}
}
