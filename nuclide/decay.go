package nuclide

import (
	"math"

	"vialwright/quantity"
)

// Factor gives 2^(-elapsed/halfLife), what is left of an activity after the
// elapsed time; more than 1 for a negative one. It is within 1.5 units in the
// last place of the true value for the numbers given. A half-life of +Inf is
// that of a stable nuclide. Past about 1075 half-lives the result is 0, and
// past 1024 half-lives back it is +Inf: HalfLife.Carry refuses those. It
// panics unless halfLife > 0.
func Factor(halfLife, elapsed quantity.Span) float64 {
	if !(halfLife > 0) {
		panic("nuclide: Factor needs a half-life above 0")
	}
	if math.IsInf(float64(halfLife), 1) {
		return 1
	}
	t, T := float64(elapsed), float64(halfLife)
	// A(t)/A(0) = 2^(-t/T)
	q := t / T
	f := math.Exp2(-q)
	if math.Abs(q) > 1100 {
		return f
	}
	// The quotient is rounded: t = q T + r with r exact (FMA), and
	// 2^-(q + r/T) = 2^-q (1 - ln 2 r/T) to first order.
	r := math.FMA(-q, T, t)
	return f - f*(math.Ln2*r/T)
}

// relax gives (1 - e^-x)/x for x >= 0 without cancellation, 1 at 0.
func relax(x float64) float64 {
	if x == 0 {
		return 1
	}
	return -math.Expm1(-x) / x
}
