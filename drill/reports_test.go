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
// 50 minutes more, less 0.06 in gauze and 0.10 left are 0.791. ENS 49266: 40 cm of tube
// more than belong to the delivery set, 9.5 % given. ENS 46074: a set leaked, and its lot was
// traced; "the same week" is seven days.
func TestReportsAreMetInTime(t *testing.T) {
	laboratory, err := os.ReadFile("laboratory.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const (
		order    = "order: {id: P1, patient: DR-0001, one-identifier: an invented patient, territory: right lobe, version: \"1\", prescribed: 1.00 GBq, at: 2027-03-04T13:30, by: an invented physician"
		vial     = "receive: {vial: S1, lot: DRILL-1, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T08:30}"
		doseless = ", dosimetry: {method: mono-compartment, absorbed-dose: 50 Gy, to: perfused-volume, perfused-mass: 0.7 kg, lung-shunt: 0 %, lung-shunt-method: planar geometric mean}}"
		before   = "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.2362 GBq, background: 0.2 MBq}"
		draw     = "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:20, volume: 1.6 mL, agitated: 2027-03-04T11:19}"
		after    = "read: {of: S1, meter: M1, at: 2027-03-04T11:20, gross: 2.2423 GBq, background: 0.2 MBq}" // less 0.960·2^(2.1667/64.0417)
		transfer = "transfer: {from: Y1, into: A1, for: P1, at: 2027-03-04T11:30}"
		infuse   = "infuse: {for: P1, from: A1, start: 2027-03-04T14:20, stop: 2027-03-04T14:30, reason: equipment}"
		left     = "read: {of: A1, meter: M1, at: 2027-03-04T14:40, gross: 0.0198 GBq, background: 0.2 MBq}" // by its factor 0.98
		held     = "time-out: {for: P1, patient: DR-0001, territory: right lobe, activity: 0.95 GBq, with: an invented physician, at: 2027-03-04T14:10"
		tube     = held + ", extra: 40 cm tube}"
		lot      = held + ", set-lot: DRILL-SET-7}"
		baseline = "residual: {for: P1, before: {at: 2027-03-04T14:00, rate: 180 uSv/h, background: 0.2 uSv/h}}"
		with     = "residual: {for: P1, before: {at: 2027-03-04T14:12, rate: 180 uSv/h, background: 0.2 uSv/h}, after: {at: 2027-03-04T14:40, rate: 20 uSv/h, background: 0.2 uSv/h}}"
		gauze    = "read: {of: R1, for: P1, holds: \"line, catheter and swabs\", meter: M1, at: 2027-03-04T14:40, gross: 0.119 GBq, background: 0.2 MBq}"
	)
	// Of the other order the dose ran out of its set days before.
	other := func(lot, day, reason string) []string {
		move := strings.NewReplacer("P1", "P2", "S1", "S2", "Y1", "Y2", "A1", "A2", "2027-03-04", day)
		all := []string{
			move.Replace(order + "}"), move.Replace(vial), move.Replace(before), move.Replace(draw), move.Replace(after), move.Replace(transfer),
			move.Replace(held + ", set-lot: " + lot + "}"), move.Replace(strings.Replace(infuse, "equipment", reason, 1)),
		}
		return all
	}
	whole := order + "}"
	full := []string{whole, vial, before, draw, after, transfer}
	for _, c := range []struct {
		report, at string
		entries    []string
		want       string // severity and code
		says       string // empty where it must not be found
	}{
		{"ENS 46567, at ordering", "2027-03-04T08:00", []string{strings.Replace(order, "1.00", "1.90", 1) + doseless}, "stop two-figures", "2.7 times"},
		{"ENS 46567, at receipt", "2027-03-04T08:31", []string{strings.Replace(order, "1.00", "1.90", 1) + doseless, vial}, "stop two-figures", "2.7 times"},
		{"ENS 55557, at ordering", "2027-03-04T08:00", []string{strings.Replace(whole, "1.00", "0.17", 1)}, "warn small-prescription", "23 % of it"},
		{"ENS 56079, at release", "2027-03-04T12:00", full, "warn margin-small", "% from the prescribed 1.00 GBq (27.03 mCi) before it is given"},
		{"ENS 56079, after the infusion", "2027-03-04T15:00", append(full, infuse, left, gauze), "stop delivered-reportable", "-2"},
		{"ENS 56079, the margin is not asked again", "2027-03-04T15:00", append(full, infuse, left, gauze), "warn margin-small", ""},
		{"ENS 49266, before the infusion", "2027-03-04T14:15", append(full, baseline, tube), "warn part-outside-set", "40 cm tube"},
		{"ENS 49266, the parts read without it", "2027-03-04T15:00", append(full, tube, infuse, left, gauze), "warn residual-parts-missing", "40 cm tube"},
		{"ENS 49266, read again with it", "2027-03-04T15:00", append(full, tube, infuse, with), "warn part-outside-set", ""},
		{"ENS 46074, before the infusion", "2027-03-04T14:15", append(other("drill-set-7", "2027-02-26", "leak"), append(full, lot)...), "warn set-lot", "order P2"},
		{"ENS 46074, a week before", "2027-03-04T14:15", append(other("DRILL-SET-7", "2027-02-24", "leak"), append(full, lot)...), "warn set-lot", ""},
		{"ENS 46074, another lot", "2027-03-04T14:15", append(other("DRILL-SET-8", "2027-03-03", "leak"), append(full, lot)...), "warn set-lot", ""},
		{"ENS 46074, no fault of the set", "2027-03-04T14:15", append(other("DRILL-SET-7", "2027-03-03", "patient-intervention"), append(full, lot)...), "warn set-lot", ""},
		{"ENS 46074, the second case leaks too", "2027-03-04T15:00", append(other("DRILL-SET-7", "2027-03-03", "blockage"), append(full, lot, infuse)...), "warn set-lot", "order P2"},
		{"ENS 46074, the second case did not", "2027-03-04T15:00", append(other("DRILL-SET-7", "2027-03-03", "blockage"), append(full, lot, strings.Replace(infuse, "equipment", "complete", 1))...), "warn set-lot", ""},
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
