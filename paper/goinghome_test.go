package paper

import (
	"strings"
	"testing"

	"vialwright/quantity"
)

// goingHome is an invented patient.
func goingHome(t *testing.T) GoingHome {
	zone := preparationSheet().Zone
	made := preparationSheet().Made
	return GoingHome{
		Zone: zone, Made: made, Order: "P1", Patient: "DEMO-0042", Second: "STAY-7", Site: "liver", Territory: "right lobe",
		Delivered: 1.5 * quantity.GigaBecquerel, U: 0.045 * quantity.GigaBecquerel, At: made, HalfLife: 64.0417 * quantity.Hour,
		Released: made, Basis: "estimate below the limit of the profile", Rate: "1.0 uSv/h, background 0.1 uSv/h",
		Near:   []Row{Words("1 m away, all the time", "82 uSv")},
		Limits: []string{"Not released where another person is likely to get more than 5 mSv (10 CFR 35.75, of a State text of the same wording)."},
		Urine:  "88 kBq, from 5.3 kBq to 890 kBq; on the second day 27 kBq", UrineFrom: "medians and range after 51 administrations of resin (Health Phys 114 (2018) 58)",
		Nursing: "does not apply", Pregnant: "no", Given: "yes",
	}
}

// forPatient is a sheet as the caller completes it.
func forPatient(s Sheet) Sheet {
	s.Use, s.Software = ForPatient, software
	return s
}

// TestGoingHome: the sheet of a patient who goes home. What is left is worked by hand
// with a half-life of 64.0417 h: 1.5 GBq · 2^(−24/64.0417) = 1156.9 MBq after a day and
// 1.35 MBq after 27 days, ten half-lives.
func TestGoingHome(t *testing.T) {
	pdf := pdfOf(t, forPatient(goingHome(t).Sheet()))
	text := words(t, pdf)
	golden(t, "goinghome.txt", text)
	sound(t, pdf)
	flat := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"1.500 ± 0.045 GBq", "1200 MBq", "1.3 MBq", "Health Phys 114 (2018) 58", "flush twice", "STAY-7", "Pregnant no", "10 CFR 35.75"} {
		if !strings.Contains(flat, want) {
			t.Errorf("%q is not on the sheet:\n%s", want, flat)
		}
	}
	empty := goingHome(t)
	empty.Nursing, empty.Basis, empty.Urine = "", "", ""
	if flat := strings.Join(strings.Fields(words(t, pdfOf(t, forPatient(empty.Sheet())))), " "); !strings.Contains(flat, "Nursing a child not asked yet") {
		t.Error("what was not asked does not say so")
	}
}
