package dose_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"vialwright/dose"
	"vialwright/nuclide"
	"vialwright/quantity"
)

var (
	reference = time.Date(2027, 3, 4, 18, 0, 0, 0, time.UTC)
	half      = nuclide.Y90.HalfLife().Value
)

func hours(h float64) time.Time {
	return reference.Add(time.Duration(h * float64(time.Hour)))
}

func gbq(x float64) quantity.Activity { return quantity.Activity(x) * quantity.GigaBecquerel }

// TestPerSphere: nominally 50 Bq at the reference time (PMC6095426, table 3).
func TestPerSphere(t *testing.T) {
	for h, want := range map[float64]float64{24: 38.5618, 0: 50, -24: 64.8310, -48: 84.0612, -72: 108.9955} {
		near(t, fmt.Sprintf("a sphere at %+g h", h), float64(dose.PerSphere(half, reference, hours(h))), want, 1e-6)
	}
}

// TestVialActivity: 3.0 GBq at the reference, carried by the same half-life.
func TestVialActivity(t *testing.T) {
	for h, want := range map[float64]float64{-24: 3.889861, -48: 5.043672, -72: 6.539728, 24: 2.313707} {
		got, err := nuclide.Y90.HalfLife().Carry(gbq(3), reference, hours(h))
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("3 GBq at %+g h", h), float64(got/quantity.GigaBecquerel), want, 1e-6)
	}
}

// TestSpheresIn: spheres of a patient activity, in millions, with 40 to 80 million
// in 3 GBq at the reference.
func TestSpheresIn(t *testing.T) {
	for _, c := range []struct{ gbq, hours, millions float64 }{
		{1.30, 24, 33.7121},
		{1.30, 0, 26},
		{1.30, -24, 20.0521},
		{1.30, -48, 15.4649},
		{1.30, -72, 11.9271},
		{0.30, 0, 6},
		{0.30, -72, 2.7524},
		{2.0, 24, 51.8648},
	} {
		near(t, fmt.Sprintf("%g GBq at %+g h", c.gbq, c.hours), dose.SpheresIn(gbq(c.gbq), half, reference, hours(c.hours)).Millions, c.millions, 1e-5)
	}
	vial := dose.SpheresIn(gbq(3), half, reference, reference)
	near(t, "least in a vial", vial.Least, 40, 1e-12)
	near(t, "most in a vial", vial.Most, 80, 1e-12)
}

// TestReferenceZone: a label's time in another zone read as one of here. The
// factors are those of the whole hours between.
func TestReferenceZone(t *testing.T) {
	sydney, err := time.LoadLocation("Australia/Sydney")
	if err != nil {
		t.Fatal(err)
	}
	at, err := quantity.ParseTime("2027-03-05 09:00", sydney)
	if err != nil {
		t.Fatal(err)
	}
	for zone, want := range map[string]string{
		"Europe/Lisbon": "2027-03-04T22:00:00Z", "Europe/Berlin": "2027-03-04T23:00:00+01:00",
		"America/New_York": "2027-03-04T17:00:00-05:00", "Atlantic/Azores": "2027-03-04T21:00:00-01:00",
	} {
		z, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		if got := quantity.FormatTime(at, z); got != want {
			t.Errorf("in %s: %s, want %s", zone, got, want)
		}
	}
	for h, want := range map[float64][2]float64{
		1: {-1.0765, 1.0882}, 9: {-9.2816, 10.2313}, 10: {-10.2582, 11.4308}, 11: {-11.2243, 12.6434}, 12: {-12.1800, 13.8692}, 24: {-22.8764, 29.6620},
	} {
		for i, sign := range []float64{1, -1} {
			got := 100 * (nuclide.Factor(half, quantity.Span(sign*h)*quantity.Hour) - 1)
			if math.Abs(got-want[i]) > 5e-5 {
				t.Errorf("%+g h: %.4f %%, want %.4f", sign*h, got, want[i])
			}
		}
	}
}

// TestNearby: mean dose rates of patients (Cournane et al., Phys Med 65 (2019)
// 121), to full decay. Contacts of resin patients were measured to get 0.03 mSv
// on average and 0.16 at most (McCann et al., JVIR 2012).
func TestNearby(t *testing.T) {
	for _, c := range []struct {
		gbq  float64
		want [4]float64
	}{
		{1.5, [4]float64{20.442, 81.767, 198.182, 189.40}},
		{3.0, [4]float64{40.884, 163.535, 396.364, 378.81}},
	} {
		for i, x := range dose.Contacts(gbq(c.gbq), half) {
			near(t, fmt.Sprintf("%g GBq, %s", c.gbq, x.Who), float64(x.Dose), c.want[i], 3e-5)
		}
	}
}

// TestNearbyUp: 3.0 GBq at 1 m, a quarter of the time, two standard deviations above the
// mean of the same source: 99.091 uSv, by its 1.43 uSv/h per GBq times T/ln 2.
func TestNearbyUp(t *testing.T) {
	near(t, "a quarter", float64(dose.Nearby(3.0*1.43*quantity.MicroSievertPerHour, half, 0.25)/quantity.MicroSievert), 99.091, 1e-5)
}

// TestUrine: 58.5 kBq in a litre per GBq in the first 24 h, 3.5 to 590.9 (Health
// Phys 114 (2018) 58).
func TestUrine(t *testing.T) {
	u := dose.UrineOf(gbq(1.5))
	near(t, "first day", float64(u.First/quantity.KiloBecquerel), 87.75, 1e-12)
	near(t, "at most", float64(u.Most/quantity.KiloBecquerel), 886.35, 1e-12)
	near(t, "second day", float64(u.Second/quantity.KiloBecquerel), 26.7, 1e-12)
	// The same source has as medians of all of a day 72.5 kBq for each GBq, then 22.1: both
	// are what is in a litre times one volume of urine, within their last digits.
	perGBq := dose.UrineOf(gbq(1))
	first, second := 72.5/float64(perGBq.First/quantity.KiloBecquerel), 22.1/float64(perGBq.Second/quantity.KiloBecquerel)
	near(t, "litres of the second day beside the first", second/first, 1, 0.05/17.8+0.05/22.1)
	near(t, "litres of a day", first, 1.24, 0.05/58.5+0.05/72.5)
	// All of 12 h: 1128 kBq of 1785 MBq, 0.0632 % (0.0641 % as the mean of the ratios).
	near(t, "share of 12 h, %", 100*float64(dose.UrineOf(gbq(1.785)).HalfDay/gbq(1.785)), 0.0632, 5e-4)
	near(t, "all of 12 h", float64(dose.UrineOf(gbq(1.785)).HalfDay/quantity.KiloBecquerel), 1128, 1e-9)
}

func ExampleSpheresIn() {
	fmt.Println(dose.SpheresIn(1.3*quantity.GigaBecquerel, nuclide.Y90.HalfLife().Value, reference, reference))
	// Output: 26 million (17 to 35)
}
