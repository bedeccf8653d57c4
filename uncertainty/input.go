package uncertainty

import "math"

// Input is a distribution assigned to one input quantity, or to several at once
// (JCGM 101:2008 6.4): [Normal], [Rectangular], [InexactRectangular],
// [Triangular], [ArcSine], [StudentT], [MultiNormal], [Exponential], [Gamma]
// (with [Counts]). All are checked when a simulation begins.
type Input interface {
	// columns is the number of input quantities.
	columns() int
	// prepare checks the parameters and gives the function that fills columns.
	prepare() (func(g stream, columns [][]float64), *Error)
}

// Normal is the Gaussian distribution (6.4.7): what is known is a best estimate
// and its standard uncertainty. Domain: SD >= 0.
type Normal struct {
	Mean, SD float64 // best estimate and standard uncertainty
}

// Rectangular is all that is known of a quantity between two limits (6.4.2);
// standard uncertainty (High-Low)/sqrt(12). Domain: Low <= High.
type Rectangular struct {
	Low, High float64 // the limits
}

// InexactRectangular is a rectangular distribution whose limits are each known
// only to -+Inexact, the curvilinear trapezoid (6.4.3); standard uncertainty
// sqrt((High-Low)^2/12 + Inexact^2/9). Domain: Low+Inexact <= High-Inexact.
type InexactRectangular struct {
	Low, High float64 // the limits, each in the middle of its own range
	Inexact   float64 // half the range of a limit
}

// Triangular is the symmetric triangle, the sum of two rectangular quantities of
// equal width (6.4.5); standard uncertainty (High-Low)/sqrt(24).
type Triangular struct {
	Low, High float64 // the limits
}

// ArcSine is the U-shaped distribution of a quantity that cycles between two
// limits (6.4.6); standard uncertainty (High-Low)/sqrt(8).
type ArcSine struct {
	Low, High float64 // the turning points
}

// StudentT is the scaled and shifted t distribution of the mean of n readings
// (6.4.9): Scale = s/sqrt(n) and Dof = n-1, or from a certificate Scale = U/k and
// its degrees of freedom (6.4.9.7). Its standard deviation is
// Scale sqrt(Dof/(Dof-2)). Domain: Dof > 2, that is 4 readings or more; below,
// no standard uncertainty exists.
type StudentT struct {
	Mean, Scale float64 // best estimate; s/sqrt(n) or U/k
	Dof         float64 // degrees of freedom
}

// MultiNormal is the joint Gaussian distribution of correlated quantities
// (6.4.8); it fills as many columns as it has means. A singular covariance
// matrix is allowed.
type MultiNormal struct {
	Mean       []float64   // best estimates
	Covariance [][]float64 // in the units of the means, symmetric
}

// Exponential is what is known of a quantity that cannot be negative and of
// which only the best estimate is known (6.4.10). Domain: Mean > 0.
type Exponential struct {
	Mean float64 // best estimate, and standard uncertainty too
}

// Gamma has mean Shape*Scale and standard deviation sqrt(Shape)*Scale.
// Domain: both positive.
type Gamma struct {
	Shape, Scale float64 // without unit; in the unit of the quantity
}

// Counts is the distribution of the expected number of counts where n were
// counted and nothing was known before: gamma with shape n+1 (6.4.11).
// Domain: n >= 0. Divide by the counting time for a rate.
func Counts(n int) Gamma { return Gamma{Shape: float64(n) + 1, Scale: 1} }

type filler = func(g stream, columns [][]float64)

func wrong(name, domain string) *Error {
	return refuse("bad-distribution", "The parameters of the "+name+" distribution describe none.", "It needs "+domain+".")
}

func (Normal) columns() int             { return 1 }
func (Rectangular) columns() int        { return 1 }
func (InexactRectangular) columns() int { return 1 }
func (Triangular) columns() int         { return 1 }
func (ArcSine) columns() int            { return 1 }
func (StudentT) columns() int           { return 1 }
func (Exponential) columns() int        { return 1 }
func (Gamma) columns() int              { return 1 }
func (d MultiNormal) columns() int      { return len(d.Mean) }

func (d Normal) prepare() (filler, *Error) {
	if !finite(d.Mean) || !finite(d.SD) || d.SD < 0 {
		return nil, wrong("normal", "a finite mean and a standard deviation of 0 or more")
	}
	return func(g stream, c [][]float64) { g.normals(c[0], d.Mean, d.SD) }, nil
}

func (d Rectangular) prepare() (filler, *Error) {
	if !ordered(d.Low, d.High) {
		return nil, wrong("rectangular", "finite limits in order")
	}
	return func(g stream, c [][]float64) { g.units(c[0], d.Low, d.High-d.Low) }, nil
}

// prepare: JCGM 101:2008 6.4.3.4.
func (d InexactRectangular) prepare() (filler, *Error) {
	if !ordered(d.Low, d.High) || !(d.Inexact >= 0) || !(d.High-d.Low >= 2*d.Inexact) {
		return nil, wrong("inexact rectangular", "finite limits at least twice their own inexactness apart")
	}
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			low := d.Low - d.Inexact + 2*d.Inexact*g.Float64()
			high := d.Low + d.High - low
			c[0][t] = low + (high-low)*g.Float64()
		}
	}, nil
}

// prepare: JCGM 101:2008 6.4.5.4.
func (d Triangular) prepare() (filler, *Error) {
	if !ordered(d.Low, d.High) {
		return nil, wrong("triangular", "finite limits in order")
	}
	half := (d.High - d.Low) / 2
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			c[0][t] = d.Low + half*(g.Float64()+g.Float64())
		}
	}, nil
}

// prepare: JCGM 101:2008 6.4.6.4.
func (d ArcSine) prepare() (filler, *Error) {
	if !ordered(d.Low, d.High) {
		return nil, wrong("arc sine", "finite limits in order")
	}
	middle, half := (d.Low+d.High)/2, (d.High-d.Low)/2
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			c[0][t] = middle + half*math.Sin(2*math.Pi*g.Float64())
		}
	}, nil
}

// prepare: a standard normal over the root of an independent chi-square per
// degree of freedom, the chi-square being twice a gamma of shape Dof/2.
func (d StudentT) prepare() (filler, *Error) {
	if !finite(d.Mean) || !finite(d.Scale) || d.Scale < 0 || !(d.Dof > 2) {
		return nil, wrong("t", "a scale of 0 or more and more than 2 degrees of freedom: at least 4 readings")
	}
	if math.IsInf(d.Dof, 1) {
		return Normal{d.Mean, d.Scale}.prepare()
	}
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			chi2 := 2 * g.gamma(d.Dof/2)
			c[0][t] = d.Mean + d.Scale*g.NormFloat64()/math.Sqrt(chi2/d.Dof)
		}
	}, nil
}

// prepare: JCGM 101:2008 6.4.8.4 and C.5, mean + L z with L LT the covariance.
func (d MultiNormal) prepare() (filler, *Error) {
	if len(d.Mean) == 0 || len(d.Covariance) != len(d.Mean) {
		return nil, wrong("multivariate normal", "one row of covariances for each mean")
	}
	for _, m := range d.Mean {
		if !finite(m) {
			return nil, wrong("multivariate normal", "finite means")
		}
	}
	u, r, err := standardise(d.Covariance)
	if err != nil {
		return nil, err.(*Error)
	}
	l, err := factor(r)
	if err != nil {
		return nil, err.(*Error)
	}
	return func(g stream, c [][]float64) {
		for i := range c {
			g.normals(c[i], 0, 1)
		}
		// The last row first: a row needs those above it as they were drawn.
		for i := len(c) - 1; i >= 0; i-- {
			mix(c, l[i][:i+1], d.Mean[i], u[i])
		}
	}, nil
}

// mix turns the last column of a triangle into mean + u sum_j l_j z_j.
func mix(c [][]float64, l []float64, mean, u float64) {
	last := len(l) - 1
	for t := range c[last] {
		z := l[last] * c[last][t]
		for j := range last {
			z += l[j] * c[j][t]
		}
		c[last][t] = mean + u*z
	}
}

func (d Exponential) prepare() (filler, *Error) {
	if !finite(d.Mean) || d.Mean <= 0 {
		return nil, wrong("exponential", "a positive mean")
	}
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			c[0][t] = d.Mean * g.ExpFloat64()
		}
	}, nil
}

func (d Gamma) prepare() (filler, *Error) {
	if !finite(d.Shape) || !finite(d.Scale) || d.Shape <= 0 || d.Scale <= 0 {
		return nil, wrong("gamma", "a positive shape and a positive scale")
	}
	return func(g stream, c [][]float64) {
		for t := range c[0] {
			c[0][t] = d.Scale * g.gamma(d.Shape)
		}
	}, nil
}

func ordered(low, high float64) bool {
	return finite(low) && finite(high) && low <= high && finite(high-low)
}
