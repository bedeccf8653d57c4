package uncertainty

import (
	"math"

	"vialwright/quantity"
)

// k95 is the one-sided 95 % point of the normal distribution, the k of Currie's
// working formulas (he rounds it to 1.645).
const k95 = 1.6448536269514722

// Detection holds the three limits of Currie, in net counts of one sample count.
type Detection struct {
	Critical     float64 // L_C: a net count above it says "detected", with 5 % false alarms
	Detectable   float64 // L_D: a true net count that is missed 5 % of the time
	Quantifiable float64 // L_Q: a true net count known to 10 %
}

// Currie gives the detection limits of a count that follows a blank of n counts in
// the time blank, the sample being counted for the time sample. With
// B = n sample/blank, the background to expect, and k = 1.645 on both sides
// (L. A. Currie, Anal. Chem. 40 (1968) 586-593):
//
//	sigma_0^2 = B (1 + sample/blank)
//	L_C = k sigma_0                              = 2.33 sqrt(B) for equal times
//	L_D = k^2 + 2 L_C                            = 2.71 + 4.65 sqrt(B)
//	L_Q = 50 (1 + sqrt(1 + sigma_0^2/25))        = 50 (1 + sqrt(1 + B/12.5))
//
// Domain: counts that scatter by Poisson's law alone, enough of them for a normal
// one: n of about 10 or more. Below that L_C understates the false alarms. Errors: bad-count.
func Currie(n float64, blank, sample quantity.Span) (Detection, error) {
	if !finite(n) || n < 0 || !positiveSpan(blank) || !positiveSpan(sample) {
		return Detection{}, badCount()
	}
	ratio := float64(sample) / float64(blank)
	sigma := math.Sqrt(n * ratio * (1 + ratio))
	if !finite(sigma) {
		return Detection{}, badCount()
	}
	return Detection{
		Critical:     k95 * sigma,
		Detectable:   k95*k95 + 2*k95*sigma,
		Quantifiable: 50 * (1 + math.Sqrt(1+sigma*sigma/25)),
	}, nil
}

func positiveSpan(s quantity.Span) bool { return finite(float64(s)) && s > 0 }

func badCount() *Error {
	return refuse("bad-count", "The counts or counting times are negative, missing or not numbers.",
		"Enter whole counts of 0 or more and a counting time above 0 s.")
}
