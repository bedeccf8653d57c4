package meter

import (
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Source is a check source or a certified one.
type Source struct {
	Activity quantity.Activity // stated, above 0
	// U is its relative standard uncertainty: of the certificate for a test of
	// accuracy, 0 for constancy, where the source is its own measure.
	U        quantity.Fraction
	At       time.Time // when it had that activity
	HalfLife nuclide.HalfLife
}

// Constancy compares a reading with what the source has come to:
//
//	A_e = A_0 2^(-t/T)   d = A/A_e - 1   u(d)^2 = (1 + d)^2 (u_r^2 + u_0^2 + u_T^2)
//
// It is the test of accuracy too, with a certified source (IAEA-TECDOC-602). Errors:
// bad-reading, bad-u, bad-tolerance and those of nuclide.HalfLife.Carry.
func Constancy(s Source, r Reading, tolerance quantity.Fraction) (Outcome, error) {
	if err := checkTest(s.HalfLife, tolerance, r, Reading{s.At, s.Activity, s.U}); err != nil {
		return Outcome{}, err
	}
	expected, err := s.HalfLife.Carry(s.Activity, s.At, r.At)
	if err != nil {
		return Outcome{}, err
	}
	return compare(expected, r.Net, root(r.U, s.U, s.HalfLife.RelativeU(nuclide.Elapsed(s.At, r.At))), tolerance)
}

// Linearity compares readings of one decaying source with one of them,
// readings[reference], taken to the time of each. Errors: too-few for fewer than
// two readings, and those of Constancy. It panics if there is no such reference.
func Linearity(readings []Reading, reference int, h nuclide.HalfLife, tolerance quantity.Fraction) ([]Outcome, error) {
	if len(readings) < 2 {
		return nil, refuse("too-few", "A test of linearity needs two readings or more.", "Follow the decay over the range in use.")
	}
	from := readings[reference]
	out := make([]Outcome, len(readings))
	for i, r := range readings {
		var err error
		if i == reference { // it is what it is
			if err = checkTest(h, tolerance, r); err == nil {
				out[i], err = compare(r.Net, r.Net, 0, tolerance)
			}
		} else {
			out[i], err = Constancy(Source{from.Net, from.U, from.At, h}, r, tolerance)
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Repeated is the outcome of a test of precision.
type Repeated struct {
	// Mean of the readings, taken to the time of the first, and their
	// experimental standard deviation relative to it.
	Mean quantity.Activity
	SD   quantity.Fraction
	// Deviations of the readings from their mean; Worst is the largest in size.
	Deviations []quantity.Fraction
	Worst      quantity.Fraction
	// Within says that none deviates by more than the Tolerance.
	Tolerance quantity.Fraction
	Within    bool
}

// Precision compares repeated readings of one source with their mean; ten are
// usual (IAEA-TECDOC-602, 2.3.2). Errors: too-few for fewer than three, and those
// of Constancy.
func Precision(readings []Reading, h nuclide.HalfLife, tolerance quantity.Fraction) (Repeated, error) {
	if err := checkTest(h, tolerance, readings...); err != nil {
		return Repeated{}, err
	}
	if len(readings) < 3 {
		return Repeated{}, refuse("too-few", "A test of precision needs three readings or more.", "Take ten, as is usual.")
	}
	values := make([]float64, len(readings))
	for i, r := range readings {
		a, err := h.Carry(r.Net, r.At, readings[0].At)
		if err != nil {
			return Repeated{}, err
		}
		values[i] = float64(a)
	}
	mean, sd := meanSD(values)
	if !finite(sd) {
		return Repeated{}, refuse("bad-reading", "The readings are too large to be averaged.", "Check their unit.")
	}
	out := Repeated{Mean: quantity.Activity(mean), SD: quantity.Fraction(sd / mean), Tolerance: tolerance, Within: true}
	for _, v := range values {
		d := quantity.Fraction(v/mean - 1)
		out.Deviations = append(out.Deviations, d)
		if max(d, -d) > max(out.Worst, -out.Worst) {
			out.Worst = d
		}
	}
	out.Within = max(out.Worst, -out.Worst) <= tolerance
	return out, nil
}
