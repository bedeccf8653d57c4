package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// Contribution is one line of an uncertainty budget (JCGM 100:2008 Table H.1).
type Contribution struct {
	Source    string  // name given to [New]
	Component float64 // c_i u(x_i), signed, in the unit of the result
	Share     float64 // part of u(y)^2; all shares add to 1
}

// U is the combined standard uncertainty u(y), in the unit of the value:
//
//	u(y)^2 = sum_i c_i^2 u(x_i)^2   JCGM 100:2008 5.1.2, eq. (10)
//
// NaN where [Number.Err] is not nil.
func (a Number) U() float64 {
	if a.err != nil {
		return math.NaN()
	}
	scale := largest(a.parts)
	if scale == 0 {
		return 0
	}
	sum := 0.0
	for _, p := range a.parts {
		sum += p.c / scale * (p.c / scale)
	}
	return scale * math.Sqrt(sum)
}

func largest(parts []part) float64 {
	m := 0.0
	for i := range parts {
		m = math.Max(m, math.Abs(parts[i].c))
	}
	return m
}

// Budget lists what the uncertainty is made of, the largest share first; equal
// shares by name. It is empty for an exact number.
func (a Number) Budget() []Contribution {
	u := a.U()
	lines := make([]Contribution, 0, len(a.parts))
	for _, p := range a.parts {
		lines = append(lines, Contribution{Source: p.from.name, Component: p.c, Share: p.c / u * (p.c / u)})
	}
	slices.SortStableFunc(lines, func(x, y Contribution) int {
		return cmp.Or(cmp.Compare(y.Share, x.Share), cmp.Compare(x.Source, y.Source))
	})
	return lines
}

// Dof is the effective number of degrees of freedom of U by Welch and
// Satterthwaite, +Inf for an exact number or one of Type B sources alone:
//
//	nu_eff = u(y)^4 / sum_i u_i(y)^4 / nu_i        JCGM 100:2008 G.4.1, eq. (G.2b)
func (a Number) Dof() float64 {
	u := a.U()
	switch {
	case math.IsNaN(u):
		return math.NaN()
	case u == 0:
		return math.Inf(1)
	}
	sum := 0.0
	for _, p := range a.parts {
		w := p.c / u * (p.c / u)
		sum += w * w / p.from.dof
	}
	return 1 / sum // +Inf where no component has finite degrees of freedom
}

// Coverage gives the coverage factor k = t_p(nu) and the expanded uncertainty
// k u(y) for a coverage probability 0 < p < 1, from Student's t with the
// effective degrees of freedom cut to the next lower whole number, as the guide
// allows: the cautious side (JCGM 100:2008 G.4.1). Domain: a result near enough
// to linear in its inputs, none of which rules it without being near normal
// (G.6.6). Both are NaN for a p out of
// range or a number with an error.
func (a Number) Coverage(p float64) (k, expanded float64) {
	nu := a.Dof()
	if nu >= 1 {
		nu = math.Floor(nu * (1 + 1e-9)) // 9 must not fall to 8 by rounding
	}
	k = studentFactor(p, nu)
	return k, k * a.U()
}

// studentFactor is the t with probability p between -t and t. Beyond 1e6 degrees
// of freedom the normal quantile stands in: at k = 2 it is short by 1e-6 of k.
func studentFactor(p, nu float64) float64 {
	if !(p > 0 && p < 1) || math.IsNaN(nu) {
		return math.NaN()
	}
	// By the lower tail, which keeps its digits as p nears 1.
	if nu > 1e6 {
		return -mathext.NormalQuantile((1 - p) / 2)
	}
	// P(|T| > t) = I_x(nu/2, 1/2) with x = nu/(nu + t^2) (Abramowitz & Stegun, 26.7.1 and 26.5.27).
	x := mathext.InvRegIncBeta(nu/2, 0.5, 1-p)
	return math.Sqrt(nu * (1 - x) / x)
}
