package nuclide

import (
	"fmt"
	"math"
	"strings"
	"time"

	"vialwright/quantity"
)

// HalfLife is a half-life with its standard uncertainty and where it comes
// from. U is 0 where the source states none: then no uncertainty can be
// carried, which is not the same as knowing the half-life exactly. One that
// comes from outside goes through Nuclide.Vet, or Check, before it is used;
// Carry panics on a Value that is not above 0.
type HalfLife struct {
	Value, U quantity.Span
	Source   string
}

// Check refuses a half-life that cannot be used, with code InvalidHalfLife:
// Value must be finite and above 0, U finite, 0 or more and below Value, and
// Source must say something.
func (h HalfLife) Check() error {
	T, u := float64(h.Value), float64(h.U)
	switch {
	case !(T > 0) || math.IsInf(T, 1):
		return refuse(InvalidHalfLife, "The half-life is not a positive time.", "Give it with its unit, like 64.05 h.")
	case !(u >= 0) || !(u < T):
		return refuse(InvalidHalfLife, "The uncertainty of the half-life is negative or as large as the half-life.", "Give the standard uncertainty with its unit, like 0.05 h.")
	case strings.TrimSpace(h.Source) == "":
		return refuse(InvalidHalfLife, "The half-life names no source.", "Say which evaluation it comes from.")
	}
	return nil
}

// farthest is how far, relatively, a half-life set by a site may lie from the
// default: twice the spread of those in print for Y-90 (64.04 h to 64.2 h).
const farthest = 0.005

// Vet checks a half-life that a site wants to use for n: an *Error with code
// InvalidHalfLife as in Check, or FarHalfLife if it lies more than 0.5 % from
// the default, which no evaluation of Y-90 in print does.
func (n Nuclide) Vet(h HalfLife) error {
	if err := h.Check(); err != nil {
		return err
	}
	def := n.HalfLife()
	if math.Abs(float64(h.Value/def.Value)-1) > farthest {
		return refuse(
			FarHalfLife,
			fmt.Sprintf("The half-life set for %s lies more than 0.5 %% from %s.", n, def.Source),
			"Check the number and its unit.",
		)
	}
	return nil
}

// RelativeU gives the relative standard uncertainty of the decay factor over
// the elapsed time that the half-life's uncertainty brings.
func (h HalfLife) RelativeU(elapsed quantity.Span) quantity.Fraction {
	// u(f)/f = |d ln f/dT| u(T) = ln 2 |t| u(T) / T^2; JCGM 100:2008, 5.1.2
	t, T := float64(elapsed), float64(h.Value)
	return quantity.Fraction(math.Ln2 * math.Abs(t) / T * float64(h.U) / T)
}

// Carry takes an activity stated for one instant to another, earlier or
// later. An *Error with code OutOfRange says that the two lie so far apart
// that the result is no longer a number of use.
func (h HalfLife) Carry(a quantity.Activity, from, to time.Time) (quantity.Activity, error) {
	f := Factor(h.Value, Elapsed(from, to))
	carried := float64(a) * f
	if math.IsInf(carried, 0) || math.IsNaN(carried) || f == 0 {
		return 0, refuse(
			OutOfRange,
			fmt.Sprintf("An activity cannot be carried from %s to %s.", from.Format(time.DateOnly), to.Format(time.DateOnly)),
			"Check the year of both dates.",
		)
	}
	return quantity.Activity(carried), nil
}

// Until gives the time in which an activity decays to another; negative if
// the other is the larger one. Both must be finite and above 0, else an
// *Error with code InvalidActivity.
func (h HalfLife) Until(now, then quantity.Activity) (quantity.Span, error) {
	for _, a := range []quantity.Activity{now, then} {
		if !(a > 0) || math.IsInf(float64(a), 1) {
			return 0, refuse(InvalidActivity, "Decay goes from an activity above zero to another above zero.", "Write both with their units, such as 3 GBq and 100 kBq.")
		}
	}
	// t = T log2(A(0)/A); the difference of logarithms cannot overflow
	if ratio := float64(now / then); ratio > 0 && !math.IsInf(ratio, 1) {
		return h.Value * quantity.Span(math.Log2(ratio)), nil
	}
	return h.Value * quantity.Span(math.Log2(float64(now))-math.Log2(float64(then))), nil
}

// Window gives the instants between which an activity, stated for the instant
// at, lies from low to high: it falls to high at the first and to low at the
// second, to the nanosecond. All three activities must be finite and above 0
// and low no larger than high, else an *Error with code InvalidActivity.
func (h HalfLife) Window(a quantity.Activity, at time.Time, low, high quantity.Activity) (from, until time.Time, err error) {
	if !(low <= high) {
		return from, until, refuse(InvalidActivity, "The lower limit is above the upper one.", "Check the tolerance.")
	}
	for _, end := range []struct {
		at    *time.Time
		limit quantity.Activity
	}{{&from, high}, {&until, low}} {
		span, err := h.Until(a, end.limit)
		if err == nil {
			*end.at, err = Shift(at, span)
		}
		if err != nil {
			return time.Time{}, time.Time{}, err
		}
	}
	return from, until, nil
}
