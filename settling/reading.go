package settling

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"vialwright/quantity"
)

// Reading is one activity-meter reading of a vial that settles in the well,
// net of background and carried to one time by the caller.
type Reading struct {
	At    quantity.Span // since agitation
	Value quantity.Activity
	U     quantity.Activity // standard uncertainty of repetition alone
}

// CurveFit is how a meter's reading of a vial changes while the spheres settle:
//
//	y(t) = b [1 + a (1 - exp(-t/tau))]
//
// fitted by weighted least squares to a site's own readings. b is the reading
// freshly agitated, a the relative change when all has settled.
type CurveFit struct {
	Fresh     quantity.Activity // b
	Amplitude quantity.Fraction // a
	Tau       quantity.Span
	Chi2, P   float64 // of the fit; P is the chance of a larger Chi2
	DOF       int     // degrees of freedom of the fit
	// Effect reports that the readings change with time at the 95 % level. If
	// they do not, the correction is 1 and its uncertainty includes the change
	// that was fitted.
	Effect bool
	// TauHeld reports that the readings do not determine Tau: it sits at the
	// edge of what their times can show, or there is no Effect.
	TauHeld bool
	Last    quantity.Span // time of the last reading; no correction beyond it

	cov [3][3]float64 // of b, ba, tau
	ba  float64
}

// FitReadings fits a CurveFit. It needs at least four readings at three or more
// times; uncertainties are enlarged by sqrt(Chi2/DOF) where that exceeds 1.
func FitReadings(readings []Reading) (CurveFit, error) {
	rs := slices.Clone(readings)
	slices.SortStableFunc(rs, func(a, b Reading) int { return cmp.Compare(a.At, b.At) })
	gap, err := checkReadings(rs)
	if err != nil {
		return CurveFit{}, err
	}
	last := float64(rs[len(rs)-1].At)
	lo, hi := math.Log(gap/3), math.Log(3*last)
	const grid = 200
	step := (hi - lo) / grid
	x, best := lo, math.Inf(1)
	for low, high := lo, hi; high-low > 1e-9; { // the finest grid lies about the minimum
		gap, from := (high-low)/grid, low
		for k := range grid + 1 {
			at := from + gap*float64(k)
			if c := fitLinear(rs, math.Exp(at)).chi2; c < best {
				best, x = c, at
			}
		}
		low, high = math.Max(lo, x-gap), math.Min(hi, x+gap)
	}
	f := fitLinear(rs, math.Exp(x))
	s := CurveFit{
		Fresh: quantity.Activity(f.b), Amplitude: quantity.Fraction(f.ba / f.b), Tau: quantity.Span(math.Exp(x)),
		Chi2: f.chi2, DOF: len(rs) - 3, Last: quantity.Span(last), ba: f.ba,
	}
	s.P = mathext.GammaIncRegComp(float64(s.DOF)/2, s.Chi2/2) // the upper tail of chi-squared
	// Two parameters, a and tau, against a constant: 95 % point of chi2 with 2.
	s.Effect = f.flat-f.chi2 > -2*math.Log(0.05)
	s.TauHeld = !s.Effect || x < lo+step || x > hi-step
	s.covariance(rs)
	// y runs from b to y(Last) without a turn: both positive, all positive.
	if end := f.b + f.ba*s.gradient(last)[1]; !(f.b > 0 && end > 0 && end < math.MaxFloat64) {
		return CurveFit{}, &Error{"readings", "no curve of this form with positive readings fits", "look for a slipped digit or a reading of another vial"}
	}
	return s, nil
}

// checkReadings gives the first time after zero.
func checkReadings(rs []Reading) (gap float64, err error) {
	times := map[quantity.Span]bool{}
	for _, r := range rs {
		if err := cmp.Or(
			bound("At", r.At, 0, 86400, "s", "count from the end of agitation"),
			bound("Value", r.Value, 1e-3, 1e18, "Bq", "leave out readings below background"),
			bound("U", r.U, 1e-9*float64(r.Value), 10*float64(r.Value), "Bq", "give the standard uncertainty of one reading"),
		); err != nil {
			return 0, err
		}
		times[r.At] = true
		if gap == 0 {
			gap = float64(r.At)
		}
	}
	if len(rs) < 4 || len(times) < 3 {
		return 0, &Error{"readings", "too few readings to fit a curve of three parameters", "take at least four, at three or more times"}
	}
	return gap, nil
}

// linear is the fit of b and ba for one tau.
type linear struct{ b, ba, chi2, flat float64 }

func fitLinear(rs []Reading, tau float64) (f linear) {
	var w, wx, wxx, wy, wxy float64
	for _, r := range rs {
		k := 1 / float64(r.U*r.U)
		x := -math.Expm1(-float64(r.At) / tau)
		w, wx, wxx = w+k, wx+k*x, wxx+k*x*x
		wy, wxy = wy+k*float64(r.Value), wxy+k*x*float64(r.Value)
	}
	det := w*wxx - wx*wx
	f.b, f.ba = (wxx*wy-wx*wxy)/det, (w*wxy-wx*wy)/det
	for _, r := range rs {
		x := -math.Expm1(-float64(r.At) / tau)
		d, e := (float64(r.Value)-f.b-f.ba*x)/float64(r.U), (float64(r.Value)-wy/w)/float64(r.U)
		f.chi2 += d * d
		f.flat += e * e
	}
	return f
}

// gradient of y in (b, ba, tau).
func (s *CurveFit) gradient(t float64) [3]float64 {
	tau := float64(s.Tau)
	e := math.Exp(-t / tau)
	return [3]float64{1, 1 - e, -s.ba * e * t / (tau * tau)}
}

// covariance is the inverse of J' W J, with tau left out where it is held.
func (s *CurveFit) covariance(rs []Reading) {
	n := 3
	if s.TauHeld {
		n = 2
	}
	var m [3][3]float64
	for _, r := range rs {
		g := s.gradient(float64(r.At))
		for i := range n {
			for j := range n {
				m[i][j] += g[i] * g[j] / float64(r.U*r.U)
			}
		}
	}
	if n == 2 {
		m[2][2] = 1
	}
	s.cov = invert(m)
	if n == 2 {
		s.cov[2] = [3]float64{}
	}
	if birge := s.Chi2 / float64(s.DOF); birge > 1 {
		for i := range s.cov {
			for j := range s.cov {
				s.cov[i][j] *= birge
			}
		}
	}
}

// invert gives the inverse of a symmetric 3 x 3 matrix by cofactors, scaled to
// unit diagonal first.
func invert(m [3][3]float64) (inv [3][3]float64) {
	var d [3]float64
	for i := range d {
		d[i] = math.Sqrt(m[i][i])
	}
	var a [3][3]float64
	for i := range a {
		for j := range a {
			a[i][j] = m[i][j] / (d[i] * d[j])
		}
	}
	minor := func(i, j int) float64 {
		p, q, r, t := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return a[p][r]*a[q][t] - a[p][t]*a[q][r]
	}
	det := a[0][0]*minor(0, 0) + a[0][1]*minor(0, 1) + a[0][2]*minor(0, 2)
	for i := range inv {
		for j := range inv {
			inv[i][j] = minor(j, i) / det / (d[i] * d[j])
		}
	}
	return inv
}

// Correction gives the factor that turns a reading taken at time at since
// agitation into the reading of the freshly agitated vial, b/y(t), and its
// standard uncertainty. A time before agitation or after the last reading of
// the fit is an *Error.
func (s CurveFit) Correction(at quantity.Span) (factor, u quantity.Fraction, err error) {
	if err := bound("at", at, 0, float64(s.Last), "s", "the fit covers only the times that were read"); err != nil {
		return 0, 0, err
	}
	b, t := float64(s.Fresh), float64(at)
	g := s.gradient(t)
	y := b + s.ba*g[1]
	// d(b/y) = (y - b)/y^2 db - b/y^2 (x d(ba) + dy/dtau dtau)
	c := [3]float64{(y - b) / (y * y), -b / (y * y) * g[1], -b / (y * y) * g[2]}
	v := 0.0
	for i := range c {
		for j := range c {
			v += c[i] * s.cov[i][j] * c[j]
		}
	}
	if !s.Effect {
		return 1, quantity.Fraction(math.Sqrt(math.Max(0, v) + (b/y-1)*(b/y-1))), nil
	}
	return quantity.Fraction(b / y), quantity.Fraction(math.Sqrt(math.Max(0, v))), nil
}

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
