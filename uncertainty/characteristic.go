package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"vialwright/quantity"
)

// NetCount is a gross and a background count and the factor from net count rate
// to the measurand, y = w (n_g/t_g - n_0/t_0), the model of ISO 11929-1.
type NetCount struct {
	Gross          float64       // n_g, counts
	GrossTime      quantity.Span // t_g
	Background     float64       // n_0, counts
	BackgroundTime quantity.Span // t_0
	Factor         float64       // w, unit of the measurand for each count per second
	FactorRelU     float64       // relative standard uncertainty of w
}

// Characteristic holds the characteristic limits of a measurement, in the unit of
// the measurand.
type Characteristic struct {
	Value     float64  // y, the primary result; may be negative
	U         float64  // u(y)
	Threshold float64  // y*, decision threshold: a result above it says an effect is there
	Detection float64  // y#, detection limit: the least true value recognised with probability 1-beta
	Detected  bool     // Value > Threshold
	Best      float64  // best estimate, knowing that the true value cannot be negative
	BestU     float64  // its standard uncertainty
	Coverage  Interval // of the true value, leaving Gamma/2 out on each side
}

// Probabilities are the error probabilities of a decision: alpha of a false
// alarm, beta of missing what sits at the detection limit, gamma left outside the
// coverage interval. 0.05 for all three is usual.
type Probabilities struct {
	Alpha, Beta, Gamma float64 // each above 0 and below 0.5
}

// Characteristic works out the characteristic limits. If the true value were v,
// the measurement would have the standard uncertainty
//
//	u~(v)^2 = w^2 ((v/w + r_0)/t_g + r_0/t_0) + v^2 u_rel(w)^2
//
// and so (ISO 11929-1:2019; the same in ISO 11929:2010 clause 5)
//
//	y* = k(1-alpha) u~(0)
//	y# = y* + k(1-beta) u~(y#)
//
// The second is quadratic in y#, whose larger root is taken at once in place of
// the standard's iteration. What is known afterwards is the normal distribution
// N(y, u^2) cut off below 0; with omega = Phi(y/u),
//
//	best = y + u exp(-y^2/2u^2) / (omega sqrt(2 pi)),  u(best)^2 = u^2 - (best-y) best
//	interval from y - k(omega(1-gamma/2)) u to y + k(1-omega gamma/2) u
//
// Domain: Poisson counts large enough to be taken as normal, a background of at
// least one count, w known to better than 1/k(1-beta), a result no more than 10 u
// below 0 (beyond, the background is not the one of the gross count).
// Errors: bad-count, bad-value, bad-probability, no-detection-limit, not-finite.
func (c NetCount) Characteristic(p Probabilities) (Characteristic, error) {
	if err := c.check(p); err != nil {
		return Characteristic{}, err
	}
	tg, t0 := float64(c.GrossTime), float64(c.BackgroundTime)
	r0 := c.Background / t0
	y := c.Factor * (c.Gross/tg - r0)
	// u(y) takes the measured gross rate itself, not the one v implies.
	u := math.Hypot(c.Factor*math.Sqrt(c.Gross/tg/tg+r0/t0), y*c.FactorRelU)
	if y < -10*u || !finite(y/u) {
		return Characteristic{}, refuse("bad-count", "The gross count lies far below the background.",
			"Check both counts and both counting times.")
	}
	u0 := c.Factor * math.Sqrt(r0/tg+r0/t0)
	ka, kb := mathext.NormalQuantile(1-p.Alpha), mathext.NormalQuantile(1-p.Beta)
	detection, err := detectionLimit(ka*u0, kb, u0, c.Factor/tg, c.FactorRelU)
	if err != nil {
		return Characteristic{}, err
	}
	out := Characteristic{Value: y, U: u, Threshold: ka * u0, Detection: detection, Detected: y > ka*u0}
	out.Best, out.BestU, out.Coverage = cutAtZero(y, u, p.Gamma)
	if !finite(out.Detection) || !finite(out.Coverage.High) {
		return Characteristic{}, refuse("not-finite", "The characteristic limits are not finite.", "Check the calibration factor.")
	}
	return out, nil
}

// detectionLimit is the larger root of (v - y*)^2 = k^2 (u0^2 + slope v + rel^2 v^2).
func detectionLimit(threshold, k, u0, slope, rel float64) (float64, error) {
	a := 1 - k*k*rel*rel
	if a <= 0 {
		return 0, refuse("no-detection-limit", "The calibration factor is too uncertain for a detection limit.",
			"Calibrate better: its relative uncertainty must stay below 1/k, 60 % at beta = 5 %.")
	}
	b := threshold + k*k*slope/2
	c := threshold*threshold - k*k*u0*u0
	return (b + math.Sqrt(math.Max(0, b*b-a*c))) / a, nil
}

// cutAtZero is the normal distribution N(y, u^2) with everything below 0 cut off:
// its mean, its standard deviation and its symmetric interval.
func cutAtZero(y, u, gamma float64) (best, bestU float64, coverage Interval) {
	z := y / u
	omega := upperTail(-z)
	// z >= -10 keeps omega from vanishing.
	best = y + u*math.Exp(-z*z/2)/(omega*math.Sqrt(2*math.Pi))
	bestU = math.Sqrt(math.Max(0, u*u-(best-y)*best))
	// P(Y > v | Y > 0) = 1 - gamma/2 and gamma/2, by upper tails.
	low := y - u*mathext.NormalQuantile(omega*(1-gamma/2))
	high := y - u*mathext.NormalQuantile(omega*gamma/2)
	return best, bestU, Interval{math.Max(0, low), high}
}

func (c NetCount) check(p Probabilities) *Error {
	for _, q := range [...]float64{p.Alpha, p.Beta, p.Gamma} {
		if !(q > 0 && q < 0.5) {
			return refuse("bad-probability", "An error probability must lie above 0 and below 0.5.", "5 % is 0.05.")
		}
	}
	switch {
	case !finite(c.Gross) || c.Gross < 0 || !finite(c.Background) || c.Background < 0 ||
		!positiveSpan(c.GrossTime) || !positiveSpan(c.BackgroundTime):
		return badCount()
	case c.Background < 1:
		return refuse("bad-count", "A background without a single count has no decision threshold.",
			"Count the background longer.")
	case !finite(c.Factor) || c.Factor <= 0 || !finite(c.FactorRelU) || c.FactorRelU < 0:
		return refuse("bad-value", "The calibration factor or its uncertainty is out of range.",
			"Give a positive factor and a relative standard uncertainty of 0 or more.")
	}
	return nil
}
