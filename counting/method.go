package counting

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// k95 is the one-sided 95 % point of the normal distribution.
const k95 = 1.6448536269514722

// Method is how counts become a surface activity. The relative standard
// uncertainties may be 0 where nobody stated one.
type Method struct {
	Efficiency, EfficiencyRelU quantity.Fraction
	// Wiped is the part of the removable activity that the wipe takes up: 10 % where
	// nobody measured it is common practice. It is 1 where the surface itself is measured.
	Wiped, WipedRelU quantity.Fraction
	Area             quantity.Area
}

// PerCount is w: the surface activity of one net count per second, with its
// relative standard uncertainty. Errors: bad-value.
func (m Method) PerCount() (quantity.Contamination, quantity.Fraction, error) {
	part := func(f quantity.Fraction) bool { return f > 0 && f <= 1 }
	rel := func(f quantity.Fraction) bool { return f >= 0 && f < 1 }
	if !part(m.Efficiency) || !part(m.Wiped) || !rel(m.EfficiencyRelU) || !rel(m.WipedRelU) || !(m.Area > 0) || math.IsInf(float64(m.Area), 0) {
		return 0, 0, refuse("bad-value", "The efficiency, the part wiped up, the area, or an uncertainty of them is out of range.",
			"Efficiency and part wiped up lie above 0 and up to 100 %, their relative uncertainties from 0 and below 100 %, the area above 0 cm2.")
	}
	w := 1 / (float64(m.Efficiency) * float64(m.Wiped) * float64(m.Area))
	return quantity.Contamination(w), quantity.Fraction(math.Hypot(float64(m.EfficiencyRelU), float64(m.WipedRelU))), nil
}

// Limits are what a count can see before the sample is counted, by Currie: a net
// count above Critical is a detection, and a surface of Detectable is missed 5 % of
// the time.
type Limits struct {
	Critical   float64 // net counts
	Detectable quantity.Contamination
	OnSample   quantity.Activity // the activity on the surface that Detectable is
}

// Limits works them out for a sample counted for the time sample after a blank.
// Errors: bad-count, bad-value.
func (m Method) Limits(blank Count, sample quantity.Span) (Limits, error) {
	w, _, err := m.PerCount()
	if err != nil {
		return Limits{}, err
	}
	d, err := uncertainty.Currie(blank.N, blank.Time, sample)
	if err != nil {
		return Limits{}, err
	}
	level := w * quantity.Contamination(d.Detectable/float64(sample))
	return Limits{Critical: d.Critical, Detectable: level, OnSample: quantity.Activity(float64(level) * float64(m.Area))}, nil
}

// Result is what a pair of counts says of the surface. Contaminations are in
// Bq/cm2; Surface alone may be negative.
type Result struct {
	Net, NetU          quantity.CountRate
	Surface, SurfaceU  quantity.Contamination // y and u(y)
	Limits             Limits                 // by Currie
	Threshold          quantity.Contamination // y*, ISO 11929
	Detection          quantity.Contamination // y#, ISO 11929
	Best, BestU        quantity.Contamination // knowing that a surface holds nothing negative
	CoverLow, CoverTop quantity.Contamination // 95 % of the true value lie between
	// Upper is what the surface holds at most, with 95 % on one side: what is
	// said where nothing was detected.
	Upper quantity.Contamination
	// Chance is the exact probability that counts of one and the same rate fall out
	// so or more strongly.
	Chance float64
	// Detected tells that Surface lies above Threshold.
	Detected bool
}

// Judge says what a gross count and a blank say of the surface, with errors of
// 5 % each. Errors: bad-count (a blank of no count, a gross count far below the
// blank among them), bad-value, no-detection-limit.
func (m Method) Judge(gross, blank Count) (Result, error) {
	w, rel, err := m.PerCount()
	if err != nil {
		return Result{}, err
	}
	if !gross.usable() || !blank.usable() {
		return Result{}, badCount()
	}
	limits, err := m.Limits(blank, gross.Time)
	if err != nil {
		return Result{}, err
	}
	c, err := uncertainty.NetCount{
		Gross: gross.N, GrossTime: gross.Time, Background: blank.N, BackgroundTime: blank.Time,
		Factor: float64(w), FactorRelU: float64(rel),
	}.Characteristic(uncertainty.Probabilities{Alpha: 0.05, Beta: 0.05, Gamma: 0.05})
	if err != nil {
		return Result{}, err
	}
	tg, t0 := float64(gross.Time), float64(blank.Time)
	of := func(x float64) quantity.Contamination { return quantity.Contamination(x) }
	return Result{
		Net: gross.Rate() - blank.Rate(), NetU: quantity.CountRate(math.Sqrt(gross.N/tg/tg + blank.N/t0/t0)),
		Surface: of(c.Value), SurfaceU: of(c.U), Limits: limits, Threshold: of(c.Threshold), Detection: of(c.Detection),
		Best: of(c.Best), BestU: of(c.BestU), CoverLow: of(c.Coverage.Low), CoverTop: of(c.Coverage.High),
		Upper: of(math.Max(0, c.Value+k95*c.U)), Chance: chance(gross, blank), Detected: c.Detected,
	}, nil
}

// chance is P(X >= n_g) for X binomial of n_g + n_0 tries with the probability
// t_g/(t_g + t_0): the regularised incomplete beta function I_q(n_g, n_0 + 1)
// (Abramowitz and Stegun 26.5.24).
func chance(gross, blank Count) float64 {
	if gross.N == 0 {
		return 1
	}
	return mathext.RegIncBeta(gross.N, blank.N+1, float64(gross.Time/(gross.Time+blank.Time)))
}

// Times are the counting times that just see a level, missing it 5 % of the time.
type Times struct {
	// Each is for sample and blank, counted equally long; Sample for the sample
	// alone with the blank as it is, 0 where no time is long enough.
	Each, Sample quantity.Span
}

// Times works out how long must be counted to see level, with the rate of the
// blank. With a = level/w counts per second, r the rate of the blank, L_D = a t
// is quadratic in t: (a t - k^2)^2 = 4 k^2 r t (1 + t/t_0), and linear in sqrt(t)
// where t_0 = t. Errors: bad-value, bad-count.
func (m Method) Times(level quantity.Contamination, blank Count) (Times, error) {
	w, _, err := m.PerCount()
	if err != nil {
		return Times{}, err
	}
	if !blank.usable() || blank.N == 0 {
		return Times{}, badCount()
	}
	a, r, k2 := float64(level/w), float64(blank.Rate()), k95*k95
	if !(a > 0) || math.IsInf(a, 0) {
		return Times{}, refuse("bad-value", "The level to be seen is not above 0.", "Enter the level as a surface activity, such as 0.4 Bq/cm2.")
	}
	// a t = k^2 + 2 k sqrt(2 r t)
	b := k95 * math.Sqrt(2*r)
	root := (b + math.Sqrt(b*b+a*k2)) / a
	out := Times{Each: quantity.Span(root * root)}
	// (a^2 - 4 k^2 r/t_0) t^2 - 2 k^2 (a + 2 r) t + k^4 = 0, the larger root
	if q := a*a - 4*k2*r/float64(blank.Time); q > 0 {
		h := k2 * (a + 2*r)
		out.Sample = quantity.Span((h + math.Sqrt(h*h-q*k2*k2)) / q)
	}
	return out, nil
}
