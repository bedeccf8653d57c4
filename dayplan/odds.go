package dayplan

import "math"

// node is a value of the common part of the yield, with its weight.
type node struct{ c, weight float64 }

// quadrature gives the nodes of the trapezoid rule for a normal distribution with
// standard deviation u about 0: 97 points to 8 standard deviations either way. For
// smooth integrands it is exact to rounding (Trefethen and Weideman, SIAM Rev 56
// (2014) 385).
func quadrature(u float64) []node {
	if u == 0 {
		return []node{{0, 1}}
	}
	const points, reach = 97, 8.0
	out := make([]node, points)
	sum := 0.0
	for k := range out {
		z := reach * (2*float64(k)/(points-1) - 1)
		out[k] = node{u * z, math.Exp(-z * z / 2)}
		sum += out[k].weight
	}
	for k := range out {
		out[k].weight /= sum
	}
	return out
}

// suffices is the probability that a vial holds what is drawn from it, given the
// common part c of the yield:
//
//	P(c) = Φ((U(1 + c) − L)/√(U²u² + s_q²Q))
func suffices(usable, u, scatter, load, squares, c float64) float64 {
	return phi((usable*(1+c) - load) / math.Sqrt(usable*usable*u*u+scatter*scatter*squares))
}

func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// alone is the odds of one vial by itself, c included.
func (m *model) alone(s *source, load, squares float64) float64 {
	u := math.Hypot(s.u, float64(m.day.YieldU))
	return suffices(s.usable, u, float64(m.day.Scatter), load, squares, 0)
}

// joint is the odds that every vial with orders holds what is drawn from it. What
// is drawn already is not asked here.
func (m *model) joint(loads []load) float64 {
	total := 0.0
	for _, n := range m.nodes {
		p := n.weight
		for i := range loads {
			l := &loads[i]
			s := &m.sources[i]
			if l.orders == 0 || s.vial == nil {
				continue
			}
			if p *= suffices(s.usable, s.u, float64(m.day.Scatter), l.sum, l.squares, n.c); p < 1e-12 {
				break
			}
		}
		total += p
	}
	return total
}

// load is what is planned from a source.
type load struct {
	orders       int
	sum, squares float64
	odds         float64 // alone, as last asked
}

// add is one draw more.
func (l *load) add(demand float64) {
	l.orders++
	l.sum += demand
	l.squares += demand * demand
}
