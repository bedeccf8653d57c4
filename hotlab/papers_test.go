package hotlab_test

import (
	"strings"
	"testing"

	"vialwright/hotlab"
)

// A vial of 3.0 GBq may go as an excepted package, up to 30 MBq of a liquid, 17.7285 days
// after its reference time (64.0417 h · log2 100), and not an hour before; what is labelled and
// what is excepted has each its own UN number.
func TestPapersOfAParcel(t *testing.T) {
	old := strings.NewReplacer("reference: 2027-03-04T18:00Z", "reference: 2027-02-14T14:30Z")
	for _, c := range []struct {
		name, from, to string
		wrong          bool
	}{
		{"type A", "index:", "un: UN2915, index:", false},
		{"type A, in small letters", "index:", "un: un2915, index:", false},
		{"number alone", "index:", "un: \"2915\", index:", false},
		{"no number", "", "", false},
		{"of excepted packages", "index:", "un: UN2910, index:", true},
		{"petrol", "index:", "un: UN1203, index:", true},
		{"TI 1.0 of Yellow-II", "index: 0.9", "index: 1.0", false},
		{"TI 1.1 of Yellow-II", "index: 0.9", "index: 1.1", true},
		{"TI 0.1 of White-I", "yellow-ii, index: 0.9", "white-i, index: 0.1", true},
		{"TI 0 of White-I", "yellow-ii, index: 0.9", "white-i, index: 0", false},
		{"excepted, decayed", "yellow-ii, index: 0.9", "excepted, un: UN2910", false},
		{"excepted, with the number of type A", "yellow-ii, index: 0.9", "excepted, un: UN2915", true},
	} {
		line := strings.Replace(parcel, c.from, c.to, 1)
		if strings.Contains(c.to, "excepted") {
			line = old.Replace(line)
		}
		wrong := false
		for _, f := range read(t, "", line).On(hotlab.Parcels) {
			wrong = wrong || f.Code == hotlab.ParcelPapers
		}
		if wrong != c.wrong {
			t.Errorf("%s: found is %v, want %v", c.name, wrong, c.wrong)
		}
	}
	for _, c := range []struct {
		reference string
		wrong     bool
	}{{"2027-02-14T15:25Z", false}, {"2027-02-14T15:35Z", true}} { // 17.7285 d before 2027-03-04T09:00Z is 02-14T15:30:58Z
		line := strings.Replace(strings.Replace(parcel, "yellow-ii, index: 0.9", "excepted, un: UN2910", 1), "2027-03-04T18:00Z", c.reference, 1)
		if found := len(read(t, "", line).On(hotlab.Parcels)) > 0; found != c.wrong {
			t.Errorf("reference %s: found is %v", c.reference, found)
		}
	}
}

// What was ordered in one unit and printed in another is the same where the digits say no
// more: 3.0 GBq are 81.08 mCi.
func TestOrderAgainstDelivery(t *testing.T) {
	ordered := "expect-parcel: {parcel: PK-1, line: L-1, vials: %V, labelled: %A, reference: %R, due: 2027-03-04T08:00, at: 2027-03-01T10:00}"
	for _, c := range []struct {
		name, vials, labelled, reference, says string
	}{
		{"the same", "1", "3.0 GBq", "2027-03-04T18:00Z", ""},
		{"in mCi", "1", "81.1 mCi", "2027-03-04T18:00Z", ""},
		{"in another zone", "1", "3 GBq", "2027-03-04T19:00+01:00", ""},
		{"another activity", "1", "3.1 GBq", "2027-03-04T18:00Z", "3.1 GBq ordered and 3.0 GBq printed"},
		{"the digits in another order", "1", "0.3 GBq", "2027-03-04T18:00Z", "0.3 GBq ordered and 3.0 GBq printed"},
		{"the zone left out of account", "1", "3.0 GBq", "2027-03-04T18:00+01:00", "reference time"},
		{"a day later", "1", "3.0 GBq", "2027-03-05T18:00Z", "reference time"},
		{"two vials", "2", "3.0 GBq", "2027-03-04T18:00Z", "2 vials ordered and 1 came"},
	} {
		line := strings.NewReplacer("%V", c.vials, "%A", c.labelled, "%R", c.reference).Replace(ordered)
		says := ""
		for _, f := range read(t, "", line, parcel).On(hotlab.Parcels) {
			if f.Code == hotlab.ParcelDiffers {
				says = f.Text
			}
		}
		if (says == "") != (c.says == "") || !strings.Contains(says, c.says) {
			t.Errorf("%s: %q", c.name, says)
		}
	}
}

// TestExceptedSurface: a surface that reads the limit of an excepted package once its
// background is taken away is not above it, though the binary difference of 8.05 and 3.05 is.
func TestExceptedSurface(t *testing.T) {
	for _, c := range []struct {
		surface string
		above   bool
	}{{"8.05 uSv/h", false}, {"8.06 uSv/h", true}} {
		line := strings.Replace(parcel, "yellow-ii, index: 0.9", "excepted, un: UN2910", 1)
		above := false
		for _, f := range read(t, "", line, "parcel-survey: {parcel: PK-1, at: 2027-03-04T09:10, meter: SV1, surface: "+c.surface+", metre: 3.05 uSv/h, background: 3.05 uSv/h}").On(hotlab.Parcels) {
			above = above || f.Code == hotlab.ParcelMislabelled
		}
		if above != c.above {
			t.Errorf("%s: mislabelled is %v, want %v", c.surface, above, c.above)
		}
	}
}
