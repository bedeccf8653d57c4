package hotlab_test

import (
	"strings"
	"testing"

	"vialwright/hotlab"
)

// A limit or a figure from memory is never said as law: the finding that quotes it, or rests on
// it, says that it was not read.
func TestLimitsFromMemorySaySo(t *testing.T) {
	const profile, program = "[from memory, not read for this profile]", "[from memory, not read for this program]"
	for _, c := range []struct {
		mark    string
		code    hotlab.Code
		profile string
		lines   []string
	}{
		{program, hotlab.SkinDoseHigh, "uk", []string{`contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T11:00, level: 60 kBq/cm2, area: 1 cm2}`}},
		{program, hotlab.ParcelPapers, "", []string{strings.Replace(parcel, "index:", "un: UN1203, index:", 1)}},
		{program, hotlab.ParcelPapers, "", []string{strings.Replace(parcel, "index:", "un: UN2910, index:", 1)}},
		{profile, hotlab.EmptyPackage, "us", []string{vial, `left-site: {of: S1, how: returned, at: 2027-03-05T10:00, surface: 1 uSv/h, old-labels: "yes", empty-label: "yes", reason: empty, inside: {gross: 90000 counts, time: 60 s, blank: 100 counts, blank-time: 60 s, efficiency: 40 %, removed: 10 %, area: 30 cm2}}`}},
		{profile, hotlab.SkinDoseHigh, "uk", []string{`contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T11:00, level: 60 kBq/cm2, area: 1 cm2}`}},
		{profile, hotlab.ParcelWipeBlind, "us", []string{
			parcel, counter,
			`parcel-survey: {parcel: PK-1, at: 2027-03-04T09:30, meter: WC1, surface: 20 uSv/h, metre: 1 uSv/h, background: 0.1 uSv/h, counter: WC1, swab: {gross: 3 counts, time: 2 s, blank: 3 counts, blank-time: 2 s, efficiency: 1 %, removed: 10 %, area: 10 cm2}}`,
		}},
	} {
		found := false
		for _, f := range read(t, c.profile, c.lines...).Findings {
			if f.Code == c.code {
				found = true
				if !strings.Contains(f.Text, c.mark) {
					t.Errorf("%s: %q has no mark %s", c.code, f.Text, c.mark)
				}
			}
		}
		if !found {
			t.Errorf("%s is not found", c.code)
		}
	}
}
