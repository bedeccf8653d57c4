package protection

import (
	"math"

	"vialwright/quantity"
)

// FingerTrained and FingerNovice are what the fingers of a trained person and of a novice got
// for each GBq that they prepared, on average (EJNMMI 2016, hal-01255872); the mean of ten
// fractionations of 3.34 GBq lies between them, at 0.50 mSv (Scotognella et al. 2021). Single
// cases lie far outside: a ring or a fingertip dosemeter says what one gets.
const (
	FingerTrained = 0.0975 * quantity.MilliSievert
	FingerNovice  = 0.2951 * quantity.MilliSievert
)

// Fingers is between what the fingers get of a number of cases in each of which an activity
// is drawn up.
func Fingers(each quantity.Activity, cases float64) (low, high quantity.DoseEquivalent) {
	handled := quantity.DoseEquivalent(float64(each/quantity.GigaBecquerel) * cases)
	return FingerTrained * handled, FingerNovice * handled
}

// FingerCases is how many cases stay within a dose: few of a novice, and many of a trained
// person.
func FingerCases(each quantity.Activity, dose quantity.DoseEquivalent) (few, many int) {
	low, high := Fingers(each, 1)
	return int(math.Floor(float64(dose / high))), int(math.Floor(float64(dose / low)))
}
