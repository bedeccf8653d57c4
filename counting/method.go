package counting

import (
	"math"

	"vialwright/quantity"
)

// k95 is the one-sided 95 % point of the normal distribution, the k of Currie's
// working formulas (he rounds it to 1.645).
const k95 = 1.6448536269514722

// Method is how counts become a surface activity, its figures taken as exact.
type Method struct {
	Efficiency quantity.Fraction
	// Wiped is the part of the removable activity that the wipe takes up: 10 % where
	// nobody measured it is common practice. It is 1 where the surface itself is measured.
	Wiped quantity.Fraction
	Area  quantity.Area
}

// PerCount is w: the surface activity of one net count per second. Errors: bad-value.
func (m Method) PerCount() (quantity.Contamination, error) {
	part := func(f quantity.Fraction) bool { return f > 0 && f <= 1 }
	w := 1 / (float64(m.Efficiency) * float64(m.Wiped) * float64(m.Area))
	if !part(m.Efficiency) || !part(m.Wiped) || !(m.Area > 0) || !(w > 0) || math.IsInf(w, 0) {
		return 0, refuse("bad-value", "The efficiency, the part wiped up or the area is out of range.",
			"Efficiency and part wiped up lie above 0 and up to 100 %, the area above 0 cm2.")
	}
	return quantity.Contamination(w), nil
}

// Result is what a pair of counts says of the surface. Contaminations are in
// Bq/cm2; Surface alone may be negative.
type Result struct {
	Surface, SurfaceU quantity.Contamination // y and u(y)
	// Detectable is a surface that is missed 5 % of the time, known before the
	// sample is counted.
	Detectable quantity.Contamination
	// Detected tells that the net count lies above the critical level, with 5 % false alarms.
	Detected bool
}

// Judge says what a gross count and a blank say of the surface, with errors of 5 % each.
// With B the blank in the counting time t_g of the sample and k = 1.645 on both sides
// (L. A. Currie, Anal. Chem. 40 (1968) 586-593),
//
//	sigma_0^2 = B (1 + t_g/t_0)
//	L_C = k sigma_0         = 2.33 sqrt(B) for equal times
//	L_D = k^2 + 2 L_C       = 2.71 + 4.65 sqrt(B)
//
// in net counts of the sample. Where w is exact, w L_C/t_g and w L_D/t_g are the decision
// threshold and the detection limit of ISO 11929-1:2019. Errors: bad-count (a blank of no
// count, a gross count more than 10 u below the blank among them), bad-value.
func (m Method) Judge(gross, blank Count) (Result, error) {
	w, err := m.PerCount()
	if err != nil {
		return Result{}, err
	}
	if !gross.usable() || !blank.usable() {
		return Result{}, badCount()
	}
	if blank.N < 1 {
		return Result{}, refuse("bad-count", "A background without a single count has no decision threshold.",
			"Count the background longer.")
	}
	ratio := float64(gross.Time / blank.Time)
	net, u := gross.N-blank.N*ratio, math.Sqrt(gross.N+blank.N*ratio*ratio)
	if net < -10*u {
		return Result{}, refuse("bad-count", "The gross count lies far below the background.",
			"Check both counts and both counting times.")
	}
	critical := k95 * math.Sqrt(blank.N*ratio*(1+ratio))
	each := float64(w) / float64(gross.Time)
	r := Result{
		Surface: quantity.Contamination(net * each), SurfaceU: quantity.Contamination(u * each),
		Detectable: quantity.Contamination((k95*k95 + 2*critical) * each), Detected: net > critical,
	}
	if !finite(float64(r.Surface)) || !finite(float64(r.Detectable)) {
		return Result{}, badCount()
	}
	return r, nil
}

// Time works out how long sample and blank must be counted, equally long, to see level,
// missing it 5 % of the time, with the rate of the blank. With a = level/w counts per second
// and r the rate of the blank, L_D = a t is quadratic in sqrt(t): a t = k^2 + 2 k sqrt(2 r t).
// Errors: bad-value, bad-count.
func (m Method) Time(level quantity.Contamination, blank Count) (quantity.Span, error) {
	w, err := m.PerCount()
	if err != nil {
		return 0, err
	}
	if !blank.usable() || blank.N == 0 {
		return 0, badCount()
	}
	a := float64(level / w)
	if !(a > 0) || math.IsInf(a, 0) {
		return 0, refuse("bad-value", "The level to be seen is not above 0.", "Enter the level as a surface activity, such as 0.4 Bq/cm2.")
	}
	b := k95 * math.Sqrt(2*float64(blank.Rate()))
	root := (b + math.Sqrt(b*b+a*k95*k95)) / a
	return quantity.Span(root * root), nil
}
