package uncertainty

import "math"

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
// has many degrees of freedom, and nothing else was known of the item before.
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
