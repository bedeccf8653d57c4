package learning

import (
	"math"

	"vialwright/quantity"
)

// Quantity is what can be learned: a share or an activity.
type Quantity interface {
	quantity.Kind
	quantity.Fraction | quantity.Activity
}

// Shape is the shape of a spread's prior.
type Shape string

// The shapes. The zero value is HalfT. Both densities are tapered by
// exp(-(tau/(10 Scale))^2), so that a uniform one is proper too.
const (
	HalfT   Shape = ""        // half-t, 4 degrees of freedom
	Uniform Shape = "uniform" // uniform from 0
	None    Shape = "none"    // the spread is zero: the level is not there
)

// Spread is the prior of a standard deviation.
type Spread[Q Quantity] struct {
	// Shape of the density.
	Shape Shape
	// Scale A, above 0 unless Shape is None: half the half-t lies below 0.74 A.
	Scale Q
}

// Prior is what is believed before the site's first case.
type Prior[Q Quantity] struct {
	// Mean and SD of the site's value; SD above 0.
	Mean, SD Q
	// Scatter is the prior of sigma, Persons of tau_p, Kinds of tau_k.
	Scatter, Persons, Kinds Spread[Q]
}

// YieldPrior is the prior of a draw yield: a well-stirred vial yields what its volume
// says; 10 % in all for settling and the syringe, no published source.
func YieldPrior() Prior[quantity.Fraction] {
	return Prior[quantity.Fraction]{
		Mean: 1, SD: 0.05,
		Scatter: Spread[quantity.Fraction]{Scale: 0.05},
		Persons: Spread[quantity.Fraction]{Scale: 0.02},
		Kinds:   Spread[quantity.Fraction]{Scale: 0.02},
	}
}

// ResidualActivityPrior is the prior of the activity left behind: some 40 MBq, whatever
// was prescribed (common practice, no published source).
func ResidualActivityPrior() Prior[quantity.Activity] {
	const MBq = quantity.MegaBecquerel
	return Prior[quantity.Activity]{
		Mean: 40 * MBq, SD: 20 * MBq,
		Scatter: Spread[quantity.Activity]{Scale: 20 * MBq},
		Persons: Spread[quantity.Activity]{Scale: 10 * MBq},
		Kinds:   Spread[quantity.Activity]{Scale: 10 * MBq},
	}
}

// ResidualFractionPrior is the prior of the share left behind: a few per cent in vial,
// tubing and catheter (common practice, no published source).
func ResidualFractionPrior() Prior[quantity.Fraction] {
	return Prior[quantity.Fraction]{
		Mean: 0.03, SD: 0.02,
		Scatter: Spread[quantity.Fraction]{Scale: 0.02},
		Persons: Spread[quantity.Fraction]{Scale: 0.01},
		Kinds:   Spread[quantity.Fraction]{Scale: 0.01},
	}
}

// In units of the scale: below the least spread there might as well be none, at
// taper the prior falls off, and at the greatest spread it is exp(-9) of that.
const (
	leastSpread    = 1e-3
	taper          = 10
	greatestSpread = 30
)

// spread is a Spread as the reckoning sees it.
type spread struct {
	shape Shape
	scale float64
}

func plain[Q Quantity](s Spread[Q]) spread { return spread{s.Shape, float64(s.Scale)} }

func (s spread) low() float64  { return math.Log(leastSpread * s.scale) }
func (s spread) high() float64 { return math.Log(greatestSpread * s.scale) }

// logDensity is that of ln tau at x, up to a constant: ln(p(tau) tau).
func (s spread) logDensity(x float64) float64 {
	r := math.Exp(x) / s.scale
	x -= r * r / (taper * taper)
	if s.shape == Uniform {
		return x
	}
	// p(tau) ~ (1 + tau^2/(nu A^2))^-(nu+1)/2 (Gelman 2006), nu = 4
	return x - 2.5*math.Log1p(r*r/4)
}
