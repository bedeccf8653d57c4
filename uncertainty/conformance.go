package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Limits are tolerance or acceptance limits, both part of the interval. A side
// without a limit is -Inf or +Inf.
type Limits struct {
	Lower, Upper float64 // in the unit of the measurand, Lower <= Upper
}

// Conformance is the probability that the measurand lies within the tolerance
// limits, when its measured value is y with standard uncertainty u:
//
//	p_c = Phi((T_U - y)/u) - Phi((T_L - y)/u)      JCGM 106:2012 7.2.2
//
// The difference is taken on the side where both terms are small, so that small
// probabilities keep their digits. With u = 0 it is 1 inside the limits or on
// them, else 0. Domain: knowledge of the measurand is normal, which is to say u
// has many degrees of freedom, and nothing else was known of the item before; for
// other distributions see [Sample.Within].
//
// Errors: bad-value, bad-uncertainty, bad-limits.
func Conformance(y, u float64, tolerance Limits) (float64, error) {
	if err := checkEstimate(y, u, "the measured value", 1); err != nil {
		return math.NaN(), err
	}
	if err := tolerance.check(); err != nil {
		return math.NaN(), err
	}
	if u == 0 {
		if tolerance.Lower <= y && y <= tolerance.Upper {
			return 1, nil
		}
		return 0, nil
	}
	return between((tolerance.Lower-y)/u, (tolerance.Upper-y)/u), nil
}

// between is the standard normal probability from a to b, a <= b.
func between(a, b float64) float64 {
	switch {
	case a > 0:
		return upperTail(a) - upperTail(b)
	case b < 0:
		return upperTail(-b) - upperTail(-a)
	}
	return 1 - upperTail(-a) - upperTail(b)
}

// upperTail is 1 - Phi(z), accurate far out.
func upperTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

func (l Limits) check() *Error {
	if l.Lower <= l.Upper && !math.IsInf(l.Lower, 1) && !math.IsInf(l.Upper, -1) {
		return nil
	}
	return refuse("bad-limits", "The lower limit lies above the upper limit, or a limit is not a number.",
		"Give the lower limit first; leave a side open with infinity.")
}

// Guarded gives acceptance limits inside the tolerance limits by a guard band w
// on each side: A_L = T_L + w, A_U = T_U - w, with w = r U, and r = 1 the usual
// rule (JCGM 106:2012 8.3.2; ISO 14253-1). A negative w widens (8.3.3).
// Errors: bad-value; bad-limits; no-acceptance where nothing is left between.
func Guarded(tolerance Limits, w float64) (Limits, error) {
	if !finite(w) {
		return Limits{}, refuse("bad-value", "The guard band is not a finite number.", "Give r times the expanded uncertainty.")
	}
	if err := tolerance.check(); err != nil {
		return Limits{}, err
	}
	a := Limits{tolerance.Lower + w, tolerance.Upper - w}
	if a.Lower > a.Upper {
		return Limits{}, noAcceptance()
	}
	return a, nil
}

func noAcceptance() *Error {
	return refuse("no-acceptance", "No measured value would be accepted: the uncertainty is too large for these limits.",
		"Measure with less uncertainty, or ask for less confidence.")
}

// Acceptance gives the limits for the measured value between which the
// probability of conformance is at least p (0 < p < 1), at standard uncertainty u.
// With one tolerance limit, say the upper, A_U = T_U - z_p u (JCGM 106:2012
// 8.3.2). With two, both tails count: the limits solve p_c(y) = p of
// [Conformance] exactly, and lie a little further in.
//
// Errors: bad-probability, bad-uncertainty, bad-limits; no-acceptance where even
// the middle of the tolerance interval falls short of p.
func Acceptance(tolerance Limits, u, p float64) (Limits, error) {
	if !probability(p) {
		return Limits{}, badProbability()
	}
	if err := checkEstimate(0, u, "the measured value", 1); err != nil {
		return Limits{}, err
	}
	if err := tolerance.check(); err != nil {
		return Limits{}, err
	}
	if u == 0 {
		return tolerance, nil
	}
	half := (tolerance.Upper - tolerance.Lower) / 2 / u
	if math.IsInf(half, 1) {
		w := mathext.NormalQuantile(p) * u // an open side stays open
		return Limits{tolerance.Lower + w, tolerance.Upper - w}, nil
	}
	if between(-half, half) < p {
		return Limits{}, noAcceptance()
	}
	w := guard(half, p) * u
	return Limits{tolerance.Lower + w, tolerance.Upper - w}, nil
}

// guard is the distance s of the acceptance limit from the tolerance limit, in
// standard uncertainties and inwards, where Phi(2 half - s) - Phi(-s) = p. The
// left side grows with s up to half, so halving the bracket must find it. Below
// s = -40 nothing is left of the probability in a double.
func guard(half, p float64) float64 {
	low, high := -40.0, half
	for range 200 {
		s := low + (high-low)/2
		if s == low || s == high {
			break
		}
		if between(-s, 2*half-s) < p {
			low = s
		} else {
			high = s
		}
	}
	return high
}
