package dose

import (
	"math"

	"vialwright/quantity"
)

// Dose rates per gigabecquerel of a patient after resin, in uSv/h: mean and
// standard deviation of 30 patients (Cournane et al., Phys Med 65 (2019) 121).
const (
	atMetre    = 0.59 * quantity.MicroSievertPerHour
	atMetreSD  = 0.42 * quantity.MicroSievertPerHour
	atBeside   = 4.1 * quantity.MicroSievertPerHour
	NearbyFrom = "mean dose rates of 30 patients: 0.59 ± 0.42 µSv/h at 1 m and 4.1 ± 2.3 µSv/h at 0.3 m for each GBq (Cournane et al., Phys Med 65 (2019) 121)"
)

// Nearby is the dose that a person gets who stays near a patient until
// everything has decayed:
//
//	H = rate · T/ln 2 · occupancy
//
// The rate is that at the beginning; occupancy is the share of the time, 0 to 1.
func Nearby(rate quantity.DoseRate, halfLife quantity.Span, occupancy quantity.Fraction) quantity.DoseEquivalent {
	return quantity.DoseEquivalent(float64(rate) * halfLife.Hours() / math.Ln2 * float64(occupancy))
}

// Contact is somebody near a patient, and what they get.
type Contact struct {
	Who  string
	Dose quantity.DoseEquivalent
}

// Contacts are the usual ones after an activity was given.
func Contacts(a quantity.Activity, halfLife quantity.Span) []Contact {
	rate := func(per quantity.DoseRate) quantity.DoseRate {
		return per * quantity.DoseRate(a/quantity.GigaBecquerel)
	}
	return []Contact{
		{"1 m away, a quarter of the time", Nearby(rate(atMetre), halfLife, 0.25)},
		{"1 m away, all the time", Nearby(rate(atMetre), halfLife, 1)},
		{"1 m away, all the time, dose rate two standard deviations up", Nearby(rate(atMetre+2*atMetreSD), halfLife, 1)},
		{"0.3 m away, 8 h a day", Nearby(rate(atBeside), halfLife, 8.0/24)},
	}
}

// Urine is the activity of one litre of a patient's urine after resin, which gives
// a little of its yttrium off.
type Urine struct {
	// First is that of the first 24 h, from Least to Most; Second that of the next.
	First, Least, Most, Second quantity.Activity
	// HalfDay is all of the first 12 h, as a mean.
	HalfDay quantity.Activity
}

// UrineFrom is where the figures are published, for 48 h of hygiene.
const UrineFrom = "medians and range after 51 administrations of resin (Health Phys 114 (2018) 58)"

// halfDayShare is the share of the activity that leaves with the urine of 12 h: 1128 kBq
// of a mean of 1785 MBq (the mean of the ratios is published as 0.0641 %).
const halfDayShare = 1128.0 / 1785e3

// UrineOf is what an activity leads to expect.
func UrineOf(a quantity.Activity) Urine {
	litre := func(kBqPerGBq float64) quantity.Activity {
		return quantity.Activity(kBqPerGBq*float64(a/quantity.GigaBecquerel)) * quantity.KiloBecquerel
	}
	return Urine{litre(58.5), litre(3.5), litre(590.9), litre(17.8), a * halfDayShare}
}
