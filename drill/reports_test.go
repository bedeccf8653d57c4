package drill_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
)

// TestReportsAreMetInTime: what was reported would have met its finding at the step at
// which the laboratory had all it took (NRC event notifications, ENS, at nrc.gov; the
// figures are of the same kind, for resin).
//
// ENS 46567: the order form of the other lobe was left unchanged; 50 Gy to 0.7 kg are
// 0.70 GBq (50·0.7/49.7), and 1.90 are ordered. ENS 55557: 5 mCi were prescribed and 3.67
// given; 0.039 GBq are 23 % of 0.17. ENS 56079: 96.5 % were measured, some of it went into
// gauze and the infusion was late, and 20 % were missing: 0.960 of 1.00 GBq, 0.951 after
// 50 minutes more, less 0.06 in gauze and 0.10 left are 0.791.
func TestReportsAreMetInTime(t *testing.T) {
	laboratory, err := os.ReadFile("laboratory.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const (
		order    = "order: {id: P1, patient: DR-0001, one-identifier: an invented patient, territory: right lobe, version: \"1\", prescribed: 1.00 GBq, at: 2027-03-04T13:30, by: an invented physician"
		vial     = "receive: {vial: S1, lot: DRILL-1, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T08:30}"
		other    = ", dosimetry: {method: mono-compartment, absorbed-dose: 50 Gy, to: perfused-volume, perfused-mass: 0.7 kg, lung-shunt: 0 %, lung-shunt-method: planar geometric mean}}"
		before   = "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.2362 GBq, background: 0.2 MBq}"
		draw     = "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:20, volume: 1.6 mL, agitated: 2027-03-04T11:19}"
		after    = "read: {of: S1, meter: M1, at: 2027-03-04T11:20, gross: 2.2423 GBq, background: 0.2 MBq}" // less 0.960·2^(2.1667/64.0417)
		transfer = "transfer: {from: Y1, into: A1, for: P1, at: 2027-03-04T11:30}"
		infuse   = "infuse: {for: P1, from: A1, start: 2027-03-04T14:20, stop: 2027-03-04T14:30, reason: equipment}"
		left     = "read: {of: A1, meter: M1, at: 2027-03-04T14:40, gross: 0.0198 GBq, background: 0.2 MBq}" // by its factor 0.98
		gauze    = "read: {of: R1, for: P1, holds: \"line, catheter and swabs\", meter: M1, at: 2027-03-04T14:40, gross: 0.119 GBq, background: 0.2 MBq}"
	)
	whole := order + "}"
	full := []string{whole, vial, before, draw, after, transfer}
	for _, c := range []struct {
		report, at string
		entries    []string
		want       string // severity and code
		says       string // empty where it must not be found
	}{
		{"ENS 46567, at ordering", "2027-03-04T08:00", []string{strings.Replace(order, "1.00", "1.90", 1) + other}, "stop two-figures", "2.7 times"},
		{"ENS 46567, at receipt", "2027-03-04T08:31", []string{strings.Replace(order, "1.00", "1.90", 1) + other, vial}, "stop two-figures", "2.7 times"},
		{"ENS 55557, at ordering", "2027-03-04T08:00", []string{strings.Replace(whole, "1.00", "0.17", 1)}, "warn small-prescription", "23 % of it"},
		{"ENS 56079, at release", "2027-03-04T12:00", full, "warn margin-small", "% from the prescribed 1.00 GBq (27.03 mCi) before it is given"},
		{"ENS 56079, after the infusion", "2027-03-04T15:00", append(full, infuse, left, gauze), "stop delivered-reportable", "-2"},
		{"ENS 56079, the margin is not asked again", "2027-03-04T15:00", append(full, infuse, left, gauze), "warn margin-small", ""},
		{"a dose of what was prescribed", "2027-03-04T12:00", []string{strings.Replace(whole, "1.00", "0.96", 1), vial, before, draw, after, transfer}, "warn margin-small", ""},
	} {
		f, err := casefile.Decode([]byte(string(laboratory)+"entries:\n  - "+strings.Join(c.entries, "\n  - ")+"\n"), time.LoadLocation)
		if err != nil {
			t.Fatalf("%s: %v", c.report, err)
		}
		x, err := fold.File(f)
		if err != nil {
			t.Fatalf("%s: %v", c.report, err)
		}
		now, err := time.ParseInLocation("2006-01-02T15:04", c.at, x.Zone)
		if err != nil {
			t.Fatal(err)
		}
		met, all := "", []string{}
		for _, f := range dispensing.Reckon(x, now).Findings {
			all = append(all, string(f.Severity)+" "+string(f.Code)+": "+f.Text)
			if string(f.Severity)+" "+string(f.Code) == c.want {
				met = f.Text
			}
		}
		if c.says == "" && met != "" || !strings.Contains(met, c.says) {
			t.Errorf("%s: %s with %q is not met as it should be, but %q in:\n%s", c.report, c.want, c.says, met, strings.Join(all, "\n"))
		}
	}
}
