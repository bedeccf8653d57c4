package learning

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// part is one normal of a mixture.
type part struct{ weight, mean, variance float64 }

// mixture is a mixture of normals; the weights add up to one.
type mixture []part

func (m mixture) moments() (mean, sd float64) {
	for _, p := range m {
		mean += p.weight * p.mean
	}
	v := 0.0
	for _, p := range m {
		d := p.mean - mean
		v += p.weight * (p.variance + d*d)
	}
	return mean, math.Sqrt(v)
}

// tail gives P(Y <= y) for sign -1 and P(Y > y) for sign 1, where the variance of
// every part is greater by extra; exact where it is small.
func (m mixture) tail(y, extra, sign float64) (p float64) {
	for _, n := range m {
		z := (y - n.mean) / math.Sqrt(2*(n.variance+extra))
		if math.IsNaN(z) { // the whole part is at y
			z = -sign * math.Inf(1)
		}
		p += n.weight * math.Erfc(sign*z) / 2
	}
	return p
}

// score gives the standard normal deviate with the same tail probability.
func (m mixture) score(y, extra float64) float64 {
	const farthest = 37 // P = 6e-300
	below, above := m.tail(y, extra, -1), m.tail(y, extra, 1)
	z := math.Max(-farthest, mathext.NormalQuantile(math.Min(0.5, math.Min(below, above))))
	if below > above {
		return -z
	}
	return z
}

// quantile gives y with P(Y <= y) = p, by regula falsi with halved weights
// (Illinois) from a bracket about the mean.
func (m mixture) quantile(p float64) float64 {
	mean, sd := m.moments()
	if sd == 0 {
		return mean
	}
	f := func(y float64) float64 {
		if p > 0.5 {
			return (1 - p) - m.tail(y, 0, 1)
		}
		return m.tail(y, 0, -1) - p
	}
	a, b := mean-2*sd, mean+2*sd
	fa, fb := f(a), f(b)
	for ; fa > 0; fa = f(a) {
		a -= 2 * (b - a)
	}
	for ; fb < 0; fb = f(b) {
		b += 2 * (b - a)
	}
	for side := 0; b-a > 1e-8*sd; {
		c := (a*fb - b*fa) / (fb - fa)
		if !(c > a && c < b) {
			c = a + (b-a)/2
		}
		fc := f(c)
		switch {
		case fc == 0 || c == a || c == b || math.Abs(fc) < 1e-10*math.Min(p, 1-p):
			return c
		case fc < 0:
			a, fa = c, fc
			if side == -1 {
				fb /= 2
			}
			side = -1
		default:
			b, fb = c, fc
			if side == 1 {
				fa /= 2
			}
			side = 1
		}
	}
	return a + (b-a)/2
}
