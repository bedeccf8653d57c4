package fold_test

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
)

// partsCase is a dose of 1348.340 MBq at 13:30 (the example of package
// dispensing), given and then read part by part. Factors are exact, so that the
// arithmetic can be followed.
func partsCase(tb testing.TB, reads ...string) dispensing.Case {
	tb.Helper()
	text := `case: 1
zone: Atlantic/Azores
half-life: 64.0417 h
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}, administration-vial: {factor: 0.98, u: 0 %, basis: label}, residual-parts: {factor: 0.85, u: 0 %, basis: label}}}
  - {id: M2, calibration-u: 2 %, repeatability: 0.8 %, geometry: {residual-parts: {factor: 0.80, u: 0 %, basis: label}}}
entries:
  - ` + strings.Join(append([]string{
		facttest.TheOrder, facttest.TheVial, "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}", facttest.TheDraw,
		"read: {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.85 GBq, background: 0.2 MBq}", facttest.TheTransfer,
		"infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T14:05, reason: complete}",
	}, reads...), "\n  - ") + "\n"
	return facttest.Fold(tb, facttest.Decode(tb, []byte(text)).Facts)
}

const (
	vialRead     = "read: {of: A1, meter: M1, at: 2027-03-04T15:12, gross: 22.0 MBq, background: 0.2 MBq}"
	lineRead     = "read: {of: L1, for: P1, holds: line, meter: M1, at: 2027-03-04T15:12, gross: 9.1 MBq, background: 0.2 MBq}"
	catheterRead = "read: {of: L2, for: P1, holds: catheter, meter: M1, at: 2027-03-04T15:12, gross: 4.3 MBq, background: 0.2 MBq}"
	swabsRead    = "read: {of: L3, for: P1, holds: Swabs and drape, meter: M2, at: 2027-03-04T15:12, gross: 0.7 MBq, background: 0.2 MBq}"
)

// TestResidualParts is a residual by readings of all parts in an activity meter.
// By hand, each net reading over its factor: 21.8/0.98 + 8.9/0.85 + 4.1/0.85 +
// 0.5/0.80 = 38.1640 MBq at 15:12, 38.8727 MBq at 13:30 or 2.88301 % of 1348.340;
// delivered 1309.4673 MBq. The vial alone would say 1.68044 %.
func TestResidualParts(t *testing.T) {
	for name, c := range map[string]struct {
		reads    []string
		fraction float64
		missing  string
	}{
		"all parts":      {[]string{vialRead, lineRead, catheterRead, swabsRead}, 0.0288301, ""},
		"another order":  {[]string{swabsRead, catheterRead, lineRead, vialRead}, 0.0288301, ""},
		"the vial alone": {[]string{vialRead}, 0.0168044, "line, catheter, swabs"},
		"no swabs":       {[]string{vialRead, lineRead, catheterRead}, 0.0288301 - 0.625*1.0185698/1348.340, "swabs"},
	} {
		r := dispensing.Reckon(partsCase(t, c.reads...), time.Time{})
		d := r.Orders[0].Delivered
		if d == nil {
			t.Errorf("%s: not delivered", name)
			continue
		}
		near(t, name+": residual", d.Fraction, c.fraction, 1e-5)
		near(t, name+": delivered", d.Activity.MBq(), 1348.340*(1-c.fraction), 1e-6)
		i := slices.IndexFunc(r.Findings, func(f dispensing.Finding) bool { return f.Code == dispensing.PartsMissing })
		switch {
		case (i >= 0) != (c.missing != ""):
			t.Errorf("%s: %+v", name, r.Findings)
		case i >= 0 && (!strings.Contains(r.Findings[i].Text, "from them: "+c.missing+";") || r.Findings[i].Order != "P1"):
			t.Errorf("%s: %+v", name, r.Findings[i])
		}
	}
}

// TestResidualPartsRefused: what cannot be told says how.
func TestResidualPartsRefused(t *testing.T) {
	for line, want := range map[string]string{
		strings.Replace(lineRead, "holds: line, ", "", 1):          "residual parts need both the order and what is in the container",
		strings.Replace(lineRead, "for: P1, ", "", 1):              "residual parts need both the order and what is in the container",
		strings.Replace(lineRead, "for: P1", "for: P2", 1):         "no order is called P2",
		strings.Replace(lineRead, "of: L1", "of: A1", 1):           "A1 does not hold residual parts of order P1",
		strings.Replace(lineRead, "T15:12", "T12:00", 1):           "nothing of order P1 was given by then",
		strings.Replace(lineRead, "of: L1, for", "of: P1, for", 1): "P1 is the id of an order",
	} {
		text := string(facttest.CaseOf(t, facttest.TheOrder, facttest.TheVial, facttest.TheDraw, facttest.TheTransfer, "infuse: {for: P1, start: 2027-03-04T13:30, reason: complete}", line))
		if err := facttest.RefusedBy(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s:\n%v, want %q", line, err, want)
		}
	}
}

// Much that is read of the dose's vial after an infusion that was called complete puts the
// reason for its end in doubt, and no reading of before: those are as good as they were.
// One reading alone may have slipped, and says so too.
func TestMuchLeftByACompleteInfusion(t *testing.T) {
	text, err := os.ReadFile("../examples/one-patient.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(text), "  - residual:")
	read := func(minute, gross string) string {
		return "  - read: {of: A1, meter: M1, at: 2027-03-04T14:" + minute + ", gross: " + gross + ", background: 0.2 MBq}\n"
	}
	for _, c := range []struct {
		name, file, says string
		entry            int
		again            string
	}{
		{"one reading", head + read("20", "600 MBq"), "or so much of the dose of order P1 did stay in A1", 9, "A1"},
		{"two that agree", head + read("20", "600 MBq") + read("24", "599 MBq"), "correct the reason for its end", 8, "A1"},
		{"in its minute, before it", strings.Replace(head, "  - infuse:", strings.Replace(read("30", "2.10 GBq"), "T14", "T13", 1)+"  - infuse:", 1), "The two are too close to tell", 0, "S1"},
		{"blocked", strings.Replace(head, "reason: complete", "reason: blockage", 1) + read("20", "600 MBq") + read("24", "599 MBq"), "", 0, ""},
		{"little left", head + read("20", "26 MBq") + read("24", "26 MBq"), "", 0, ""},
	} {
		f, err := casefile.Decode([]byte(c.file), time.LoadLocation)
		if err != nil {
			t.Fatal(c.name, err)
		}
		books, err := fold.File(f)
		if err != nil {
			t.Fatal(c.name, err)
		}
		out := dispensing.Reckon(books, time.Date(2027, 3, 4, 16, 0, 0, 0, time.UTC))
		i := slices.IndexFunc(out.Findings, func(x dispensing.Finding) bool { return x.Code == dispensing.ReadingDisagrees })
		switch {
		case c.says == "" && i >= 0:
			t.Errorf("%s: %s", c.name, out.Findings[i].Text)
		case c.says == "" && out.Orders[0].Delivered == nil, c.says != "" && i < 0:
			t.Errorf("%s: delivered %v, findings %v", c.name, out.Orders[0].Delivered, out.Findings)
		case c.says != "" && (out.Findings[i].Entry != c.entry || !strings.Contains(out.Findings[i].Text, c.says) || out.Orders[0].Delivered != nil || out.Orders[0].Read != c.again):
			t.Errorf("%s: entry %d, read %s: %s", c.name, out.Findings[i].Entry, out.Orders[0].Read, out.Findings[i].Text)
		}
	}
}

// TestCheckInTheMinuteOfTheTransfer: a second check that differs, entered before the
// transfer and in its minute, speaks against it, also where the draw of that minute was
// written with its seconds.
func TestCheckInTheMinuteOfTheTransfer(t *testing.T) {
	check := "second-check: {for: P1, of: S1, meter: M1, at: 2027-03-04T11:20, gross: 1.93 GBq, background: 0.2 MBq, activity: 1.26 GBq}"
	read := func(minute, gross string) string {
		return "read: {of: S1, meter: M1, at: 2027-03-04T11:" + minute + ", gross: " + gross + " GBq, background: 0.2 MBq}"
	}
	for name, c := range map[string]struct {
		entries []string
		found   bool
	}{
		"before it":                      {[]string{check, facttest.TheTransfer}, true},
		"after it":                       {[]string{facttest.TheTransfer, check}, false},
		"before it, a draw with seconds": {[]string{check, facttest.TheTransfer}, true},
	} {
		draw := facttest.TheDraw
		if strings.HasSuffix(name, "seconds") {
			draw = strings.Replace(draw, "11:10", "11:20:30", 1)
		}
		entries := append([]string{facttest.TheOrder, facttest.TheVial, read("00", "3.24"), draw}, append(c.entries, read("24", "1.85"))...)
		f, err := casefile.Decode(facttest.CaseOf(t, entries...), time.LoadLocation)
		if err != nil {
			t.Fatal(name, err)
		}
		books, err := fold.File(f)
		if err != nil {
			t.Fatal(name, err)
		}
		out := dispensing.Reckon(books, time.Time{})
		found := slices.ContainsFunc(out.Findings, func(x dispensing.Finding) bool {
			return x.Code == dispensing.TransferUnconfirmed && x.Severity == dispensing.Stop
		})
		if found != c.found || out.Orders[0].Dispensed == nil {
			t.Errorf("%s: %v, want %v; %+v", name, found, c.found, out.Findings)
		}
	}
}

// TestPartsBesideTheJar: readings in the activity meter that change a residual by dose rate
// are named with it, and what was not read of it is missing. A part alone changes nothing
// until its vial was read as well, but may hold more than there can be.
func TestPartsBesideTheJar(t *testing.T) {
	const (
		before  = "residual: {for: P1, before: {at: 2027-03-04T13:00, rate: 182 uSv/h, background: 0.2 uSv/h}}"
		after   = "residual: {for: P1, after: {at: 2027-03-04T15:00, rate: 6.4 uSv/h, background: 0.2 uSv/h}}"
		hotLine = "read: {of: L1, for: P1, holds: line, meter: M1, at: 2027-03-04T15:12, gross: 91 MBq, background: 0.2 MBq}"
	)
	for name, c := range map[string]struct {
		reads          []string
		known, missing string
		says           string
	}{
		"the jar alone":        {nil, "dose rate", "", "by dose rate, 3.48 ± 0.70 %: spread waste"},
		"a part":               {[]string{lineRead}, "dose rate", "", "by dose rate, 3.48 ± 0.70 %: spread waste"},
		"the vial":             {[]string{vialRead}, "dose rate and readings", "line, catheter, swabs", "by dose rate and by readings of A1 in the activity meter together, 1.691"},
		"the vial, and a part": {[]string{vialRead, lineRead}, "dose rate and readings", "catheter, swabs", "by readings of A1, L1 in the activity meter together"},
		"all":                  {[]string{vialRead, lineRead, catheterRead, swabsRead}, "dose rate and readings", "", "by readings of A1, L1, L2, L3 in the activity meter"},
		"more than the jar":    {[]string{hotLine}, "dose rate", "", "hold more than all of it by dose rate"},
	} {
		r := dispensing.Reckon(partsCase(t, append([]string{before, after}, c.reads...)...), time.Time{})
		d := r.Orders[0].Delivered
		if d == nil {
			t.Errorf("%s: not delivered: %v", name, r.Findings)
			continue
		}
		if d.KnownBy() != c.known || strings.Join(d.Unread, ", ") != c.missing {
			t.Errorf("%s: known by %s, missing %v", name, d.KnownBy(), d.Unread)
		}
		if !slices.ContainsFunc(r.Findings, func(f dispensing.Finding) bool { return strings.Contains(f.Text, c.says) }) {
			t.Errorf("%s: %v", name, r.Findings)
		}
		if more := slices.ContainsFunc(r.Findings, func(f dispensing.Finding) bool { return f.Code == dispensing.ResidualExtreme }); more != (name == "more than the jar") {
			t.Errorf("%s: %v", name, r.Findings)
		}
	}
}
