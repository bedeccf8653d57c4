package hotlab_test

import (
	"math"
	"strings"
	"testing"

	"vialwright/hotlab"
	"vialwright/quantity"
)

// A ring of 0.20 mSv is 0.60 mSv at the fingertip of a person whose ratio is 3; published
// ratios lie between 1.4 and 7.
func TestFingertipOfARing(t *testing.T) {
	b := read(t, "",
		"finger-ratio: {who: rp-3, ratio: 3, from: 2027-01-01T00:00, text: measured once}",
		"dose-report: {who: rp-3, dosemeter: R-1, worn: ring, from: 2027-02-01T00:00, to: 2027-03-01T00:00, measured: 0.20 mSv}")
	if len(b.Persons) != 1 {
		t.Fatalf("persons %+v", b.Persons)
	}
	tip, known := b.Persons[0].Fingertip()
	if got := float64(tip / quantity.MilliSievert); !known || math.Abs(got-0.60) > 1e-9 {
		t.Errorf("fingertip %g mSv, want 0.60", got)
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
