package ledger

import (
	"math"
	"slices"
	"time"

	"vialwright/quantity"
)

// Balances is a book reconciled: every container's activity at any time,
// with the covariance that the common factors bring.
type Balances struct {
	book *Book
	lay  *layout

	params []int // factor numbers that are parameters (U > 0)
	param  []int // factor number -> parameter, -1 for a constant
	f      []float64
	twins  [][]int // parameters with one error that are fitted apart

	comps  []*component
	compOf []int // vessel -> component
	owner  []int // unknown -> component
	reads  [][]int
	how    []Estimate
	x      [][]float64
	dx     []float64

	g    []float64 // the global triangle, p rows of p+1
	work matrix

	// later is what each unknown moves by for each unit of λ (see halflife.go).
	later [][]float64
}

// Reconcile fits all readings of the book together by generalised least
// squares, with common factors as parameters and their priors as data.
func Reconcile(book *Book) (*Balances, error) {
	b := &Balances{book: book}
	b.build()
	b.start()
	for k := range b.comps {
		b.linearise(k)
	}
	if err := b.iterate(); err != nil {
		return b, err
	}
	b.later = b.byDecay()
	return b, nil
}

func (b *Balances) build() {
	b.lay = b.book.lay()
	b.params, b.param = nil, make([]int, len(b.book.factors))
	for i, f := range b.book.factors {
		b.param[i] = -1
		if f.U > 0 {
			b.param[i] = len(b.params)
			b.params = append(b.params, i)
		}
	}
	b.f = make([]float64, len(b.params))
	b.pairUp()
	b.how = make([]Estimate, len(b.lay.unknowns))
	b.split()
	b.x = make([][]float64, len(b.comps))
	widest := 0
	for k, c := range b.comps {
		b.x[k] = make([]float64, len(c.unknowns))
		widest = max(widest, len(c.unknowns))
	}
	b.dx = make([]float64, widest)
}

// pairUp finds the parameters whose error is one.
func (b *Balances) pairUp() {
	same := map[string][]int{}
	for i, id := range b.params {
		if name := b.book.factors[id].Same; name != "" {
			same[name] = append(same[name], i)
		}
	}
	b.twins = nil
	for _, all := range same {
		if len(all) > 1 {
			b.twins = append(b.twins, all)
		}
	}
	slices.SortFunc(b.twins, slices.Compare)
}

// factor is the present value of a common factor.
func (b *Balances) factor(param int, id FactorID) float64 {
	if param < 0 {
		return b.book.factors[id].Value
	}
	return b.f[param]
}

// Amount is a linear combination of movements: what a container held at some
// time, what a movement carried, or a sum of such.
type Amount struct{ f form }

// Plus adds two amounts.
func (a Amount) Plus(o Amount) Amount { return Amount{a.f.plus(1, o.f)} }

// Minus takes one amount from another.
func (a Amount) Minus(o Amount) Amount { return Amount{a.f.plus(-1, o.f)} }

// Held is what a container held at an instant, everything of that instant
// included. An unknown container holds nothing.
func (b *Balances) Held(id string, at time.Time) Amount {
	v, ok := b.book.byID[id]
	if !ok {
		return Amount{}
	}
	return Amount{b.book.heldAt(b.lay, v, at)}
}

// Now is what a container holds after everything entered.
func (b *Balances) Now(id string) Amount {
	v, ok := b.book.byID[id]
	if !ok {
		return Amount{}
	}
	return Amount{b.lay.now(v)}
}

// Assayed says whether readings alone determine an amount; otherwise a
// volume, a label or an expected share stands in for one.
func (b *Balances) Assayed(a Amount) bool {
	for k, x := range b.gradientOf(a).x {
		if x != nil && !b.comps[k].seen.spans(x) {
			return false
		}
	}
	return true
}

// one gives the component that all of an amount is in; nil where it is of
// several, or nothing.
func (b *Balances) one(a Amount) *component {
	if len(a.f) == 0 {
		return nil
	}
	k := b.owner[a.f[0].u]
	for _, t := range a.f {
		if b.owner[t.u] != k {
			return nil
		}
	}
	return b.comps[k]
}

// Resolves says whether one reading of a container, as it stands now, would
// let readings alone determine an amount.
func (b *Balances) Resolves(a Amount, id string) bool {
	v, ok := b.book.byID[id]
	c := b.one(a) // two components are never settled by one reading
	if !ok || c == nil || c != b.comps[b.compOf[v]] {
		return false
	}
	e := c.seen.clone()
	e.add(c.dense(c.localForm(b.lay.now(v))))
	return e.spans(c.dense(c.localForm(a.f)))
}

// Arrived is when something last came into a container; the zero time for
// never.
func (b *Balances) Arrived(id string) (last time.Time) {
	for i := range b.book.moves {
		if m := &b.book.moves[i]; m.To == id {
			last = m.At
		}
	}
	return last
}

// Came is when something first came into a container; the zero time for
// never.
func (b *Balances) Came(id string) time.Time {
	if i := slices.IndexFunc(b.book.moves, func(m move) bool { return m.To == id }); i >= 0 {
		return b.book.moves[i].At
	}
	return time.Time{}
}

// Moved is what the movement of an entry carried; Before, what its source
// held just before it.
func (b *Balances) Moved(entry int) (moved, before Amount, ok bool) {
	if i := b.book.movement(entry); i >= 0 {
		return Amount{b.lay.moved[i]}, Amount{b.lay.before[i]}, true
	}
	return Amount{}, Amount{}, false
}

// Known says how the movement of an entry is known.
func (b *Balances) Known(entry int) Estimate {
	for u, un := range b.lay.unknowns {
		if b.book.moves[un.move].Entry == entry {
			return b.how[u]
		}
	}
	return ByReading
}

// Activity is an amount carried to an instant, with its standard uncertainty, that of the
// half-life included (both Bq).
func (b *Balances) Activity(a Amount, at time.Time) (value, u quantity.Activity) {
	d, h := b.book.decay(b.book.since(at)), float64(b.ByHalfLife(a, at))
	return quantity.Activity(b.sum(a.f, b.x) * d), quantity.Activity(math.Sqrt(b.cov(a, a)*d*d + h*h))
}

// Covariance of two amounts, each carried to its own instant, in Bq².
func (b *Balances) Covariance(a Amount, at time.Time, c Amount, ct time.Time) float64 {
	return b.cov(a, c)*b.book.decay(b.book.since(at))*b.book.decay(b.book.since(ct)) + float64(b.ByHalfLife(a, at)*b.ByHalfLife(c, ct))
}

// Common is the part of an amount's standard uncertainty that comes from the
// common factors, carried to an instant: what more readings cannot remove.
func (b *Balances) Common(a Amount, at time.Time) quantity.Activity {
	_, w := b.directions(b.gradientOf(a))
	return quantity.Activity(math.Sqrt(inner(w, w)+b.across(w, w)) * b.book.decay(b.book.since(at)))
}

// Basis is the scale a container's activities are on; empty where nothing
// has been read, which leaves the label, and for a waste item with what is on
// several.
func (b *Balances) Basis(id string) quantity.Basis {
	v, ok := b.book.byID[id]
	if !ok {
		return ""
	}
	basis := b.comps[b.compOf[v]].basis
	for i, t := range b.lay.now(v) { // a waste item may hold what is of several sets
		switch of := b.comps[b.owner[t.u]].basis; {
		case i == 0:
			basis = of
		case of != basis:
			return ""
		}
	}
	return basis
}

// sum is a form at values x of the unknowns of each component.
func (b *Balances) sum(f form, x [][]float64) (sum float64) {
	for _, t := range f {
		k := b.owner[t.u]
		sum += t.c * x[k][b.comps[k].local(t.u)]
	}
	return sum
}

// cov is the covariance of two amounts at the epoch.
func (b *Balances) cov(a, c Amount) float64 { return b.product(b.gradientOf(a), b.gradientOf(c)) }

// across is what the fit leaves out of a covariance over sets, since it takes the
// factors of each set for its own: for those whose error is one,
//
//	Σ over pairs s ≠ t of (∂a/∂k_s)·(∂c/∂k_t)·u²
//
// with ∂a/∂k = cov(a, k)/u² (JCGM 100:2008 5.2.2, the prior k being a datum of
// the fit). It is 0 for amounts of one set. The arguments are the directions of
// the two amounts across the components.
func (b *Balances) across(wg, wh []float64) (s float64) {
	if len(b.twins) == 0 {
		return 0
	}
	n := len(b.params)
	kg, kh := append([]float64(nil), wg...), append([]float64(nil), wh...)
	backward(b.g, n+1, n, kg)
	backward(b.g, n+1, n, kh)
	for _, all := range b.twins {
		u := b.book.factors[b.params[all[0]]].U
		for _, i := range all {
			for _, j := range all {
				if i != j {
					s += kg[i] * kh[j] / (u * u)
				}
			}
		}
	}
	return s
}

// gradient is a derivative by all that the books fit: x by the unknowns of
// each component, nil for none, and p by the common factors.
type gradient struct {
	x [][]float64
	p []float64
}

func (b *Balances) newGradient() gradient {
	return gradient{make([][]float64, len(b.comps)), make([]float64, len(b.params))}
}

func (b *Balances) gradientOf(a Amount) gradient {
	g := b.newGradient()
	g.add(b, a.f, 1)
	return g
}

// add takes a form times a factor in.
func (g gradient) add(b *Balances, f form, times float64) {
	for _, t := range f {
		k := b.owner[t.u]
		if g.x[k] == nil {
			g.x[k] = make([]float64, len(b.comps[k].unknowns))
		}
		g.x[k][b.comps[k].local(t.u)] += times * t.c
	}
}

// product is gᵀ·C·h, C the covariance of all that the books fit: the
// covariance of what has these gradients. It is
// Σ over shared components z_g·z_h, plus w_g·w_h, plus what sets share.
func (b *Balances) product(g, h gradient) float64 {
	zg, wg := b.directions(g)
	zh, wh := b.directions(h)
	s := inner(wg, wh) + b.across(wg, wh)
	for k, z := range zg {
		if z != nil && zh[k] != nil {
			s += inner(z, zh[k])
		}
	}
	return s
}

// directions writes a gradient in the orthonormal directions of the fit:
// z = R_xx⁻ᵀ·x within each component, w = R_g⁻ᵀ·(p − R_xpᵀ·z) across them.
func (b *Balances) directions(g gradient) (z [][]float64, w []float64) {
	z, w = make([][]float64, len(b.comps)), append([]float64(nil), g.p...)
	for k, x := range g.x {
		if x != nil {
			z[k] = append([]float64(nil), x...)
			b.comps[k].project(z[k], w)
		}
	}
	forward(b.g, len(b.params)+1, len(b.params), w)
	return z, w
}

// project turns a local row vector into z in place and takes R_xpᵀ·z from w.
func (c *component) project(zk, w []float64) {
	n, p := len(c.unknowns), len(c.params)
	width := n + p + 1
	forward(c.r, width, n, zk)
	for j, g := range c.params {
		for i := range zk {
			w[g] -= c.r[i*width+n+j] * zk[i]
		}
	}
}
