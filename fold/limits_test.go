package fold_test

import (
	"testing"

	"vialwright/fact/facttest"
)

// TestLimits: each measurement meets the limit for its place, a dose rate less
// its background; what lies at the limit is inside it, and no limit is assumed.
func TestLimits(t *testing.T) {
	const all = "limits: {area-rate: 2.5 uSv/h, area-wipe: 4 Bq/cm2, hands-rate: 1 uSv/h, hands-wipe: 2 Bq/cm2, package-rate: 500 uSv/h, package-wipe: 4 Bq/cm2, finger: 2 mSv, body: 20 uSv}"
	for _, c := range []struct{ policy, entry, setting, limit, shown string }{ // limit is empty for what is not beyond one
		{all, "survey: {place: suite 2, at: 2027-03-04T15:30, rate: 2.8 uSv/h, background: 0.2 uSv/h}", "dose rate of a place, less background", "2.5 µSv/h", "2.6 µSv/h"},
		{all, "survey: {place: suite 2, at: 2027-03-04T15:30, rate: 4.41 uSv/h, background: 1.9 uSv/h}", "dose rate of a place, less background", "2.5 µSv/h", "2.51 µSv/h"},
		{all, "survey: {place: suite 2, at: 2027-03-04T15:30, rate: 2.7 uSv/h, background: 0.2 uSv/h}", "dose rate of a place, less background", "", ""},
		{all, "survey: {place: suite 2, at: 2027-03-04T15:30, rate: 4.4 uSv/h, background: 1.9 uSv/h}", "dose rate of a place, less background", "", ""}, // 2.5, and a little more in binary
		{all, "survey: {place: Hands of T1, at: 2027-03-04T15:30, rate: 1.5 uSv/h, background: 0.2 uSv/h}", "dose rate at the hands, less background", "1 µSv/h", "1.3 µSv/h"},
		{all, "survey: {place: hands, at: 2027-03-04T15:30, wipe: 3 Bq/cm2}", "contamination of the hands", "2 Bq/cm²", "3 Bq/cm²"},
		{all, "survey: {place: package, at: 2027-03-04T15:30, rate: 0.6 mSv/h, background: 0.2 uSv/h}", "dose rate at a package, less background", "500 µSv/h", "599.8 µSv/h"},
		{all, "exposure: {who: T1, finger: 2.5 mSv, at: 2027-03-04T15:30}", "finger dose of one entry", "2 mSv", "2.5 mSv"},
		{all, "exposure: {who: T1, body: 20 uSv, at: 2027-03-04T15:30}", "body dose of one entry", "", ""},
		{"tolerance: 10 %", "exposure: {who: T1, body: 90 mSv, at: 2027-03-04T15:30}", "body dose of one entry", "", ""},
	} {
		got := facttest.Fold(t, facttest.Decode(t, []byte("case: 1\nzone: UTC\npolicy: {"+c.policy+"}\nentries:\n  - "+c.entry+"\n")).Facts).Measured
		if len(got) != 1 || got[0].Setting != c.setting || got[0].Beyond != (c.limit != "") || got[0].Entry != 1 {
			t.Errorf("%s gives %+v", c.entry, got)
			continue
		}
		if m := got[0]; m.Beyond && (m.Limit != c.limit || m.Shown != c.shown) || c.policy != all && m.Limit != "" {
			t.Errorf("%s gives %+v", c.entry, m)
		}
	}
}
