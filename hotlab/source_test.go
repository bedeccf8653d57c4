package hotlab_test

import (
	"strings"
	"testing"

	"vialwright/hotlab"
)

// A limit from memory is never said as law: the finding that quotes it says that it was
// not read.
func TestLimitsFromMemorySaySo(t *testing.T) {
	const mark = "[from memory, not read for this profile]"
	for _, c := range []struct {
		code    hotlab.Code
		profile string
		lines   []string
	}{
		{hotlab.SkinDoseHigh, "uk", []string{`contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T11:00, level: 60 kBq/cm2, area: 1 cm2}`}},
		{hotlab.ParcelWipeBlind, "us", []string{
			parcel, counter,
			`parcel-survey: {parcel: PK-1, at: 2027-03-04T09:30, meter: WC1, surface: 20 uSv/h, metre: 1 uSv/h, background: 0.1 uSv/h, counter: WC1, swab: {gross: 3 counts, time: 2 s, blank: 3 counts, blank-time: 2 s, efficiency: 1 %, removed: 10 %, area: 10 cm2}}`,
		}},
	} {
		found := false
		for _, f := range read(t, c.profile, c.lines...).Findings {
			if f.Code == c.code {
				found = true
				if !strings.Contains(f.Text, mark) {
					t.Errorf("%s: %q has no mark", c.code, f.Text)
				}
			}
		}
		if !found {
			t.Errorf("%s is not found", c.code)
		}
	}
}
