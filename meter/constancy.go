package meter

import (
	"math"
	"slices"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
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

// Repeated is what readings of one source come to together.
type Repeated struct {
	// Mean of the readings, taken to the time of the first, with its relative standard
	// uncertainty U, and their experimental standard deviation and range relative to it.
	Mean         quantity.Activity
	U, SD, Range quantity.Fraction
	// Deviations of the readings from their mean; Worst is the largest in size.
	Deviations []quantity.Fraction
	Worst      quantity.Fraction
	// Within says that none deviates by more than the tolerance.
	Within bool
}

// Repeat takes one reading of a source or more together. The uncertainty of their mean is
// that of their repeatability or of their scatter, the larger; see [Geometry]. Errors:
// too-few for none, and those of Constancy.
func Repeat(readings []Reading, h nuclide.HalfLife, tolerance quantity.Fraction) (Repeated, error) {
	if err := checkTest(h, tolerance, readings...); err != nil {
		return Repeated{}, err
	}
	if len(readings) == 0 {
		return Repeated{}, refuse("too-few", "There is no reading.", "Read the source.")
	}
	values, each := make([]float64, len(readings)), make([]float64, len(readings))
	for i, r := range readings {
		a, err := h.Carry(r.Net, r.At, readings[0].At)
		if err != nil {
			return Repeated{}, err
		}
		values[i], each[i] = float64(a), float64(a)*float64(r.U)
	}
	mean, u := average(values, each)
	sd := 0.0
	if len(values) > 1 {
		_, sd = meanSD(values)
	}
	if !finite(mean) || !finite(u) || !finite(sd) {
		return Repeated{}, refuse("bad-reading", "The readings are too large to be averaged.", "Check their unit.")
	}
	share := func(x float64) quantity.Fraction { return quantity.Fraction(x / mean) }
	out := Repeated{Mean: quantity.Activity(mean), U: share(u), SD: share(sd), Range: share(slices.Max(values) - slices.Min(values))}
	for _, v := range values {
		d := share(v) - 1
		out.Deviations = append(out.Deviations, d)
		if max(d, -d) > max(out.Worst, -out.Worst) {
			out.Worst = d
		}
	}
	out.Within = within(out.Worst, tolerance)
	return out, nil
}

// Precision compares repeated readings of one source with their mean; ten are
// usual (IAEA-TECDOC-602, 2.3.2). Errors: too-few for fewer than three, and those
// of Constancy.
func Precision(readings []Reading, h nuclide.HalfLife, tolerance quantity.Fraction) (Repeated, error) {
	out, err := Repeat(readings, h, tolerance)
	if err == nil && len(readings) < 3 {
		return Repeated{}, refuse("too-few", "A test of precision needs three readings or more.", "Take ten, as is usual.")
	}
	return out, err
}

// average is the mean of values with standard uncertainties each. Of two evaluations of
// its own the larger is taken: from theirs, root(sum u_i^2)/n, and from the scatter of the
// values, t s/sqrt(n) with Student's t for 68.27 % and n - 1 degrees of freedom (JCGM
// 100:2008 G.3.2), which makes two values that agree by chance no better known than they
// are.
func average(values, each []float64) (mean, u float64) {
	for _, x := range each {
		u = math.Hypot(u, x)
	}
	n := float64(len(values))
	mean, u = values[0], u/n
	if len(values) > 1 {
		a := uncertainty.TypeA(values, "readings")
		_, scatter := a.Coverage(math.Erf(math.Sqrt(0.5)))
		mean, u = a.Value(), math.Max(u, scatter)
	}
	return mean, u
}
