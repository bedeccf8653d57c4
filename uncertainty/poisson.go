package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// PoissonInterval gives the exact central confidence limits, with confidence
// 0 < p < 1, for the expected number of counts where n >= 0 were counted
// (F. Garwood, Biometrika 28 (1936) 437-442), alpha = 1 - p:
//
//	low  = 1/2 chi2_{alpha/2}(2n), 0 for n = 0      high = 1/2 chi2_{1-alpha/2}(2n+2)
//
// They cover with probability p or more. Errors: bad-count, bad-probability.
func PoissonInterval(n int, p float64) (Interval, error) {
	if n < 0 {
		return Interval{}, badCount()
	}
	if !probability(p) {
		return Interval{}, badProbability()
	}
	// chi2 with 2n degrees of freedom is twice a gamma of shape n.
	tail := (1 - p) / 2
	i := Interval{High: mathext.GammaIncRegCompInv(float64(n)+1, tail)}
	if n > 0 {
		i.Low = mathext.GammaIncRegInv(float64(n), tail)
	}
	return i, nil
}

// PoissonTail is the probability of n or more counts where mu >= 0 are expected:
// the exact false alarm rate of a threshold of n counts. It equals the regularised
// lower incomplete gamma function P(n, mu) (Abramowitz and Stegun 26.4.21).
// Errors: bad-count.
func PoissonTail(n int, mu float64) (float64, error) {
	if !finite(mu) || mu < 0 {
		return math.NaN(), badCount()
	}
	if n <= 0 {
		return 1, nil
	}
	return mathext.GammaIncReg(float64(n), mu), nil
}
