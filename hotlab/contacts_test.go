package hotlab_test

import (
	"math"
	"strings"
	"testing"

	"vialwright/hotlab"
	"vialwright/quantity"
)

// A ring of 0.20 mSv is 0.60 mSv at the fingertip of a person whose ratio is 3; published
// ratios lie between 1.4 and 7. A fingertip dosemeter counts for the months in which it was worn,
// and leaves the others to the ring.
func TestFingertipOfARing(t *testing.T) {
	var (
		january  = reported("R-1", "ring", "2027-01-01", "2027-02-01", "4.0 mSv")
		february = reported("R-1", "ring", "2027-02-01", "2027-03-01", "0.20 mSv")
		tip      = reported("F-1", "fingertip", "2027-02-01", "2027-03-01", "0.5 mSv")
		quarter  = reported("F-1", "fingertip", "2027-01-01", "2027-03-10", "3 mSv")
		before   = reported("R-1", "ring", "2026-12-01", "2027-01-01", "9 mSv")
	)
	for _, c := range []struct {
		name    string
		reports []string
		want    float64
	}{
		{"ring", []string{february}, 0.60},
		{"ring and fingertip", []string{february, tip}, 0.5},
		{"fingertip in one of two months", []string{january, february, tip}, 12.5},
		{"one fingertip dosemeter for two rings", []string{january, february, quarter}, 3},
		{"last year", []string{before, february}, 0.60},
	} {
		b := read(t, "", append([]string{"finger-ratio: {who: rp-3, ratio: 3, from: 2027-01-01T00:00, text: measured once}"}, c.reports...)...)
		if len(b.Persons) != 1 {
			t.Fatalf("%s: persons %+v", c.name, b.Persons)
		}
		tip, known := b.Persons[0].Fingertip()
		if got := float64(tip / quantity.MilliSievert); !known || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: fingertip %g mSv, want %g", c.name, got, c.want)
		}
	}
}

// A parcel above a limit says whom to call: those in force, as they were entered last.
func TestWhomToCall(t *testing.T) {
	hot := []string{parcel, "parcel-survey: {parcel: PK-1, at: 2027-03-04T09:10, meter: SV1, surface: 2.5 mSv/h, metre: 8 uSv/h, background: 0.1 uSv/h}"}
	does := func(more ...string) string {
		t.Helper()
		for _, f := range read(t, "us", append(hot[:2:2], more...)...).On(hotlab.Parcels) {
			if f.Code == hotlab.ParcelAboveLimit {
				return f.Do
			}
		}
		t.Fatal("no finding")
		return ""
	}
	if got := does(); !strings.Contains(got, "entered nobody to call") {
		t.Errorf("nobody is entered: %q", got)
	}
	got := does(
		"contact: {occasion: parcel, name: final carrier, phone: 555 0100, from: 2027-01-01T00:00}",
		"contact: {occasion: parcel, name: final carrier, phone: 555 0199, from: 2027-02-01T00:00}",
		"contact: {occasion: parcel, name: old authority, phone: 555 0111, from: 2027-01-01T00:00, until: 2027-02-01T00:00}",
		"contact: {occasion: spill, name: decontamination, phone: 555 0122, from: 2027-01-01T00:00}",
		"contact: {occasion: parcel, name: next year, phone: 555 0133, from: 2028-01-01T00:00}")
	if !strings.HasSuffix(got, " Call final carrier: 555 0199.") {
		t.Errorf("whom to call: %q", got)
	}
}

// A limit that was passed in December is found in January as well, as one of that year, and
// each year has its own sum (10 CFR 20.1201: in one year).
func TestLimitOfLastYear(t *testing.T) {
	report := func(from, to, measured string) string { return reported("B-1", "body", from, to, measured) }
	b := read(t, "us", report("2026-11-01", "2026-12-01", "30 mSv"), report("2026-12-01", "2027-01-01", "21 mSv"), report("2027-01-01", "2027-02-01", "40 mSv"))
	var says []string
	for _, f := range b.On(hotlab.Persons) {
		if f.Code == hotlab.DoseOverLimit {
			says = append(says, f.Text)
		}
	}
	if len(says) != 1 || !strings.Contains(says[0], "rp-3 has 51 mSv in 2026, whole body") {
		t.Errorf("%q", says)
	}
}

// What is in a container of two lines of the licence is asked for as one, however little of it
// is of the first: 0.6 GBq of 3.0 and 0.2 GBq of 1.0 are 179.65 MBq after 138 h (2^(-138/64.0417)
// is 0.224557), worked out by hand; 0.3 uL of the first, 0.18 MBq, are 0.0404 MBq then, and empty.
func TestContainerOfTwoLinesIsNowhere(t *testing.T) {
	for volume, want := range map[string]string{"1 mL": "179.6", "0.0003 mL": "44.95"} {
		b := read(
			t, "", "licence-line: {id: L-1, nuclide: Y-90, form: resin, from: 2027-01-01T00:00}", "licence-line: {id: L-2, nuclide: Y-90, form: other, from: 2027-01-01T00:00}",
			parcel, strings.NewReplacer("PK-1", "PK-2", "3.0", "1.0", "at:", "line: L-2, at:").Replace(parcel),
			strings.Replace(vial, "}", ", parcel: PK-1}", 1), strings.NewReplacer("S1", "S2", "3.0", "1.0", "}", ", parcel: PK-2}").Replace(vial),
			"order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30}", "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2 mL}",
			"draw: {from: S1, into: Y2, for: P1, at: 2027-03-04T11:20, volume: "+volume+"}", "draw: {from: S2, into: Y2, for: P1, at: 2027-03-04T11:20, volume: 1 mL}",
			"infuse: {for: P1, from: Y1, start: 2027-03-04T13:30, stop: 2027-03-04T14:00, reason: complete}", "close: {for: P1, at: 2027-03-04T17:00}")
		var says []string
		for _, f := range b.On(hotlab.Waste) {
			if f.Code == hotlab.ContainerNowhere && f.About == "Y2" {
				says = append(says, f.Text)
			}
		}
		if len(says) != 1 || !strings.Contains(says[0], want) {
			t.Errorf("%s: %q, want %s MBq", volume, says, want)
		}
	}
}
