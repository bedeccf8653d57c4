package protection

import (
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// SkinRate is the dose equivalent rate of the skin for 1 kBq/cm2 of Y-90 spread over it, at
// a depth of 0.07 mm: the conversion factor for beta emitters on the skin of 2.0 (uGy/h)/(Bq/cm2)
// (as in IAEA-TECDOC-1162, 2000; the publication from memory). SkinLow and SkinHigh bracket it,
// by our own transport calculations without and with the air that scatters back.
const (
	SkinRate          = 2.0 * quantity.MilliSievertPerHour
	SkinLow, SkinHigh = 1.59 * quantity.MilliSievertPerHour, 2.50 * quantity.MilliSievertPerHour
)

// SkinSource says where SkinRate is from, and that it was not read.
const SkinSource = "2.0 mSv/h for 1 kBq/cm², as in IAEA-TECDOC-1162 [from memory, not read for this program]"

// OnSkin is a reading of contaminated skin.
type OnSkin struct {
	At    time.Time
	Level quantity.Contamination
	Area  quantity.Area
}

// SkinDose is the dose of the skin from the first reading until an instant, averaged over
// an area; the activity of each reading stays until the next one, and decays.
func SkinDose(all []OnSkin, until time.Time, average quantity.Area, halfLife quantity.Span) (dose quantity.DoseEquivalent) {
	for i, r := range all {
		end := until
		if i+1 < len(all) {
			end = all[i+1].At
		}
		dose += stays(r, nuclide.Elapsed(r.At, end), average, halfLife)
	}
	return dose
}

// SkinCommitted is what would be added if the last reading stayed to full decay.
func SkinCommitted(last OnSkin, average quantity.Area, halfLife quantity.Span) quantity.DoseEquivalent {
	return stays(last, quantity.Span(math.Inf(1)), average, halfLife)
}

// stays is the dose of what stays for a time t: rate/lambda (1 - 2^(-t/T)).
func stays(r OnSkin, t quantity.Span, average quantity.Area, halfLife quantity.Span) quantity.DoseEquivalent {
	covered := min(1, float64(r.Area/average))
	rate := float64(SkinRate) * float64(r.Level/quantity.KiloBecquerelPerCm2) * covered // uSv/h
	hours := halfLife.Hours() / math.Ln2 * -math.Expm1(-math.Ln2*max(0, float64(t/halfLife)))
	return quantity.DoseEquivalent(rate * hours)
}
