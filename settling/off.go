package settling

import (
	"math"

	"vialwright/quantity"
)

// Reads gives the fitted reading at a time since agitation; beyond Last it only
// follows the form of the fit.
func (s CurveFit) Reads(at quantity.Span) quantity.Activity {
	return s.Fresh + quantity.Activity(s.ba*s.gradient(float64(at))[1])
}

// U gives the standard uncertainties of Fresh, Amplitude and Tau; that of Tau
// is 0 where it is held. With a = (ba)/b:
//
//	u²(a) = [u²(ba) + a²·u²(b) − 2a·u(ba, b)]/b²
func (s CurveFit) U() (fresh quantity.Activity, amplitude quantity.Fraction, tau quantity.Span) {
	root := func(x float64) float64 { return math.Sqrt(math.Max(0, x)) }
	a, b := float64(s.Amplitude), float64(s.Fresh)
	v := s.cov[1][1] + a*a*s.cov[0][0] - 2*a*s.cov[0][1]
	return quantity.Activity(root(s.cov[0][0])), quantity.Fraction(root(v) / b), quantity.Span(root(s.cov[2][2]))
}

// Off gives how far a reading taken at a time since agitation is off that of
// the freshly agitated vial, y(t)/b − 1, with its standard uncertainty: 0 where
// there is no Effect. It refuses the times that Correction refuses.
func (s CurveFit) Off(at quantity.Span) (off, u quantity.Fraction, err error) {
	f, u, err := s.Correction(at)
	if err != nil {
		return 0, 0, err
	}
	return 1/f - 1, u / (f * f), nil // |d(1/f)| = df/f²
}

// Within gives how long after agitation a reading is off by no more than a
// tolerance: the time at which |a|·(1 − exp(−t/tau)) reaches it,
//
//	t = −tau·ln(1 − tolerance/|a|)
//
// ends reports that this is so within the times that were read; else Last is
// given, up to which no reading is off by more. Without an Effect none is.
func (s CurveFit) Within(tolerance quantity.Fraction) (until quantity.Span, ends bool) {
	a := math.Abs(float64(s.Amplitude))
	if !s.Effect || a <= float64(tolerance) {
		return s.Last, false
	}
	t := s.Tau * quantity.Span(-math.Log1p(-float64(tolerance)/a))
	if t >= s.Last {
		return s.Last, false
	}
	return t, true
}
