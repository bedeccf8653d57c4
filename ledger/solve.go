package ledger

import (
	"errors"
	"math"
)

// ErrNoConvergence says that the readings contradict one another so far that
// no set of balances is near them all.
var ErrNoConvergence = errors.New("the readings cannot be reconciled: they contradict one another; look for a slipped digit or unit")

const maxRounds = 200

// still is the relative step below which a component's linear model is kept.
// Weights move by twice the step, and a changed weight moves an estimate by
// that times its relative uncertainty (a per cent or so): some 1e-12 in all.
const still = 1e-10

// start sets the factors to their priors and the unknowns to the solution
// with the readings' own values as weights.
func (b *Balances) start() {
	for i, p := range b.params {
		b.f[i] = b.book.factors[p].Value
	}
	for k := range b.comps {
		b.startLocal(k)
	}
}

// startLocal solves one component with the factors fixed. Weights come from
// the readings themselves, since there is no fit yet.
func (b *Balances) startLocal(k int) {
	c := b.comps[k]
	n := len(c.unknowns)
	if n == 0 {
		return
	}
	var a matrix
	a.reset(len(c.rows), n+1)
	for i := range c.rows {
		r := &c.rows[i]
		switch {
		case r.read >= 0:
			sigma := deviation(r, r.value)
			ks := b.factor(r.gain, r.gainID) * b.factor(r.geom, r.geomID) * r.decay
			for _, t := range r.terms {
				a.set(i, t.u, ks*t.c/sigma)
			}
			a.set(i, n, r.value/sigma)
		case r.share:
			r.jacobian(&a, i, c, b, r.u*c.size(), 0)
		default:
			a.set(i, r.own, 1/r.u)
			a.set(i, n, r.value/r.u)
		}
	}
	a.eliminate(n)
	tri := a.triangle(nil, 0, n, 0)
	for i := range n {
		b.x[k][i] = tri[i*(n+1)+n]
	}
	backward(tri, n+1, n, b.x[k])
}

// size is the largest activity stated in a component, which weights a share
// before there is a fit.
func (c *component) size() float64 {
	size := leastShare
	for i := range c.rows {
		if !c.rows[i].share {
			size = max(size, math.Abs(c.rows[i].value))
		}
	}
	return size
}

// linearise writes a component's triangle and tail at the present estimates.
func (b *Balances) linearise(k int) {
	c := b.comps[k]
	n, p, m := len(c.unknowns), len(c.params), len(c.rows)
	b.work.reset(m, n+p+1)
	for i := range c.rows {
		h, sigma, sum := c.rows[i].fitted(b.x[k], b)
		c.rows[i].jacobian(&b.work, i, c, b, sigma, sum)
		b.work.set(i, n+p, c.rows[i].residual(h, sigma))
	}
	b.work.eliminate(n + p)
	c.r = b.work.triangle(c.r, 0, min(m, n), 0)
	c.tail = b.work.triangle(c.tail, n, min(m, n+p), n)
	c.moved = 0
}

// global stacks the priors and every component's tail, and solves for the
// step of the common parameters (Björck, Numerical Methods for Least Squares
// Problems, 6.3: block angular problems).
func (b *Balances) global() []float64 {
	p := len(b.params)
	rows := p
	for _, c := range b.comps {
		rows += len(c.tail) / (len(c.params) + 1)
	}
	b.work.reset(rows, p+1)
	for i, id := range b.params {
		f := b.book.factors[id]
		b.work.set(i, i, 1/f.U)
		b.work.set(i, p, (f.Value-b.f[i])/f.U)
	}
	row := p
	for _, c := range b.comps {
		w := len(c.params) + 1
		for t := c.tail; len(t) > 0; t, row = t[w:], row+1 {
			for j, g := range c.params {
				b.work.set(row, g, t[j])
			}
			b.work.set(row, p, t[w-1])
		}
	}
	b.work.eliminate(p)
	b.g = b.work.triangle(b.g, 0, p, 0)
	step := make([]float64, p)
	for i := range step {
		step[i] = b.g[i*(p+1)+p]
	}
	backward(b.g, p+1, p, step)
	return step
}

// advance takes one Gauss-Newton step everywhere and gives its largest
// relative size.
func (b *Balances) advance() float64 {
	step := b.global()
	size := 0.0
	for i, d := range step {
		b.f[i] += d
		size = max(size, math.Abs(d/b.f[i]))
	}
	for k, c := range b.comps {
		local := b.advanceLocal(k, step)
		for _, g := range c.params {
			local = max(local, math.Abs(step[g]/b.f[g]))
		}
		c.moved += local
		size = max(size, local)
	}
	return size
}

func (b *Balances) advanceLocal(k int, step []float64) float64 {
	c := b.comps[k]
	n, p := len(c.unknowns), len(c.params)
	if n == 0 {
		return 0
	}
	w := n + p + 1
	dx := b.dx[:n]
	for i := range dx {
		dx[i] = c.r[i*w+n+p]
	}
	c.back(dx, step)
	largest, scale := 0.0, 0.0
	for i, d := range dx {
		b.x[k][i] += d
		largest = max(largest, math.Abs(d))
		scale = max(scale, math.Abs(b.x[k][i]))
	}
	c.follow(step)
	if largest == 0 {
		return 0
	}
	return largest / scale
}

// back solves R_xx·x = z − R_xp·step in place.
func (c *component) back(z, step []float64) {
	n, w := len(c.unknowns), len(c.unknowns)+len(c.params)+1
	for i := range z {
		for j, g := range c.params {
			z[i] -= c.r[i*w+n+j] * step[g]
		}
	}
	backward(c.r, w, n, z)
}

// follow moves the linear model to the new estimates: the local part is then
// solved exactly, and the tail's right-hand side loses what the step explains.
func (c *component) follow(step []float64) {
	w := len(c.params) + 1
	for i := 0; i < len(c.r); i += len(c.unknowns) + w {
		c.r[i+len(c.unknowns)+w-1] = 0
	}
	for i := 0; i < len(c.tail); i += w {
		for j, g := range c.params {
			c.tail[i+w-1] -= c.tail[i+j] * step[g]
		}
	}
}

// iterate goes on until the steps are negligible. Weights are taken again at
// the fitted values wherever the estimates have moved.
func (b *Balances) iterate() error {
	for range maxRounds {
		size := b.advance()
		if math.IsNaN(size) {
			return ErrNoConvergence
		}
		stale := false
		for k, c := range b.comps {
			if c.moved > still {
				b.linearise(k)
				stale = true
			}
		}
		if !stale {
			b.global()
			return nil
		}
	}
	return ErrNoConvergence
}
