package meter

import (
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Reading is one net reading.
type Reading struct {
	At  time.Time
	Net quantity.Activity // above 0
	// U is its relative standard uncertainty, of repeatability; 0 if not known.
	U quantity.Fraction
}

// Outcome compares a reading with what was expected.
type Outcome struct {
	Expected, Reading quantity.Activity
	// Deviation is Reading/Expected - 1; U its standard uncertainty.
	Deviation, U quantity.Fraction
	// Within says that the deviation keeps the tolerance it was held against.
	Within bool
}

func (r Reading) check() error {
	if !finite(float64(r.Net)) || !(r.Net > 0) {
		return refuse("bad-reading", "A net reading is not a finite activity above 0.", "Read again, and take the background away once only.")
	}
	return checkU(r.U)
}

func checkU(u quantity.Fraction) error {
	if !(u >= 0) || !finite(float64(u)) {
		return refuse("bad-u", "A relative standard uncertainty is negative or not a finite number.", "Give 0 if it is not known.")
	}
	return nil
}

// checkTest checks what all tests take.
func checkTest(h nuclide.HalfLife, tolerance quantity.Fraction, readings ...Reading) error {
	if !(tolerance > 0) || !finite(float64(tolerance)) {
		return refuse("bad-tolerance", "A tolerance is not a finite number above 0.", "Take it from the site's rules.")
	}
	return checkReadings(h, readings...)
}

func checkReadings(h nuclide.HalfLife, readings ...Reading) error {
	if err := h.Check(); err != nil {
		return err
	}
	for _, r := range readings {
		if err := r.check(); err != nil {
			return err
		}
	}
	return nil
}

// compare makes the outcome; u is the relative standard uncertainty of
// reading/expected.
func compare(expected, reading quantity.Activity, u float64, tolerance quantity.Fraction) (Outcome, error) {
	ratio := float64(reading) / float64(expected)
	if !finite(ratio) || !(ratio > 0) {
		return Outcome{}, refuse("bad-reading", "A reading and what was expected of it differ beyond reckoning.", "Check units and times.")
	}
	o := Outcome{Expected: expected, Reading: reading, Deviation: quantity.Fraction(ratio - 1), U: quantity.Fraction(ratio * u)}
	o.Within = within(o.Deviation, tolerance)
	return o, nil
}

// within tells whether a deviation keeps a tolerance. The bounds are within.
func within(deviation, tolerance quantity.Fraction) bool {
	return quantity.Within(max(deviation, -deviation), tolerance)
}

// root adds relative uncertainties that are independent.
func root(u ...quantity.Fraction) float64 {
	total := 0.0
	for _, x := range u {
		total = math.Hypot(total, float64(x))
	}
	return total
}
