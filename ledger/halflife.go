package ledger

import (
	"time"

	"vialwright/quantity"
)

// ByHalfLife is by how much more an amount carried to an instant would be if the half-life
// were longer by its standard uncertainty, with all fitted again (see the package comment):
// the part of its own uncertainty that it has in common with every other amount.
func (b *Balances) ByHalfLife(a Amount, at time.Time) quantity.Activity {
	return b.longer(b.sum(a.f, b.x), b.sum(a.f, b.later), at)
}

// longer is ByHalfLife of a value at the epoch that moves by later for each unit of λ.
func (b *Balances) longer(value, later float64, at time.Time) quantity.Activity {
	since := b.book.since(at)
	// λ·s·u(T)/T is the relative uncertainty of the decay over s, so that this is u(λ).
	u := float64(b.book.halfLife.RelativeU(1))
	return quantity.Activity((float64(since)*value - later) * b.book.decay(since) * u)
}

// byDecay is what each unknown moves by for each unit of λ, C·Jᵀ·V⁻¹·m with
// m = −∂h/∂λ for each datum (see the package comment).
func (b *Balances) byDecay() [][]float64 {
	g, m := b.newGradient(), matrix{}
	for k, c := range b.comps {
		n := len(c.unknowns)
		g.x[k] = make([]float64, n)
		for i := range c.rows {
			r := &c.rows[i]
			h, sigma, sum := r.fitted(b.x[k], b)
			m.reset(1, n+len(c.params)+1)
			r.jacobian(&m, 0, c, b, sigma, sum)
			moves := (h*r.span - sum*r.stays) / sigma
			for j := range n {
				g.x[k][j] += moves * m.a[j]
			}
			for j, p := range c.params {
				g.p[p] += moves * m.a[n+j]
			}
		}
	}
	x, step := b.directions(g)
	backward(b.g, len(b.params)+1, len(b.params), step)
	for k, c := range b.comps {
		c.back(x[k], step)
	}
	return x
}
