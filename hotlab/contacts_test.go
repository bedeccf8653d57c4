package hotlab_test

import (
	"strings"
	"testing"

	"vialwright/hotlab"
)

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
