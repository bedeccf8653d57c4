package ledger

import (
	"cmp"
	"math"
	"sort"

	"vialwright/quantity"
)

// Estimate says how a movement's activity is known where no reading
// determines it.
type Estimate string

// How a movement is known.
const (
	ByReading  Estimate = ""
	ByVolume   Estimate = "volume"
	ByLabel    Estimate = "label"
	BySetting  Estimate = "expected-share"
	ByDoseRate Estimate = "dose-rate"
)

// Words names an estimate for a person.
func (e Estimate) Words() string {
	switch e {
	case ByReading:
		return "readings"
	case BySetting:
		return "expected share"
	case ByDoseRate:
		return "dose rate"
	}
	return string(e)
}

// row is one datum of a component: a reading, a share or a stated activity.
type row struct {
	read  int // reading index, or -1
	terms []term
	// own is the local unknown a share or a stated activity speaks of.
	own    int
	value  float64 // net reading, share or stated activity
	u      float64 // absolute standard uncertainty of value (not a reading's)
	share  bool
	rel    float64 // reading: repeatability
	floor  float64 // reading: resolution
	bg     float64 // reading: background
	span   float64 // s from the epoch to what it is of
	stays  float64 // share: what stayed, times the s over which it was carried
	decay  float64 // reading: exp(-λ(t - t0))
	gain   int     // global parameter, -1 if constant
	geom   int
	gainID FactorID
	geomID FactorID
	// gainCol and geomCol are the parameters' places in the component.
	gainCol, geomCol int
}

// component is a set of vessels that activity has moved between, with the
// data that bear on them and the triangle of their last linearisation.
type component struct {
	unknowns []int // global numbers, ascending
	rows     []row
	aside    []int // readings on another basis, left out
	basis    quantity.Basis
	params   []int   // global parameters its readings use, ascending
	seen     echelon // the readings alone: what they determine

	r    []float64 // n rows of n+p+1: [R_xx | R_xp | c]
	tail []float64 // up to p rows of p+1
	// moved is the relative step taken since r and tail were made.
	moved float64
}

func (c *component) local(u int) int { return sort.SearchInts(c.unknowns, u) }

func (c *component) localForm(f form) []term {
	out := make([]term, len(f))
	for i, t := range f {
		out[i] = term{c.local(t.u), t.c}
	}
	return out
}

func (c *component) dense(f []term) []float64 {
	v := make([]float64, len(c.unknowns))
	for _, t := range f {
		v[t.u] += t.c
	}
	return v
}

// components splits the layout. The readings and unknowns of a component
// keep the order of the book.
func (b *Balances) split() {
	at := make([]int, len(b.book.vessels)) // vessel root -> component
	for i := range at {
		at[i] = -1
	}
	b.comps, b.compOf = nil, make([]int, len(b.book.vessels))
	for v := range b.book.vessels {
		r := b.lay.find(v)
		if at[r] < 0 {
			at[r] = len(b.comps)
			b.comps = append(b.comps, &component{})
		}
		b.compOf[v] = at[r]
	}
	b.owner = make([]int, len(b.lay.unknowns))
	for u, un := range b.lay.unknowns {
		k := b.compOf[b.book.moves[un.move].home()]
		b.owner[u] = k
		b.comps[k].unknowns = append(b.comps[k].unknowns, u)
	}
	b.reads = make([][]int, len(b.comps))
	for i, r := range b.book.readings {
		k := b.compOf[r.of]
		b.reads[k] = append(b.reads[k], i)
	}
	for k := range b.comps {
		b.gather(k)
	}
}

// gather builds a component's data. The basis of its first reading is the
// component's; readings on another basis are set aside, never compared.
func (b *Balances) gather(k int) {
	c := b.comps[k]
	c.rows, c.aside, c.basis = c.rows[:0], c.aside[:0], ""
	c.seen = echelon{}
	for _, i := range b.reads[k] {
		r := &b.book.readings[i]
		if c.basis == "" {
			c.basis = r.Basis
		}
		if r.Basis != c.basis {
			c.aside = append(c.aside, i)
			continue
		}
		c.rows = append(c.rows, b.readingRow(c, i))
		c.seen.add(c.dense(c.rows[len(c.rows)-1].terms))
	}
	b.shares(c, c.seen.clone())
	c.params = c.params[:0]
	for i := range c.rows {
		c.params = addSorted(addSorted(c.params, c.rows[i].gain), c.rows[i].geom)
	}
	for i := range c.rows {
		c.rows[i].gainCol = sort.SearchInts(c.params, c.rows[i].gain)
		c.rows[i].geomCol = sort.SearchInts(c.params, c.rows[i].geom)
	}
}

func addSorted(s []int, v int) []int {
	i := sort.SearchInts(s, v)
	if v < 0 || (i < len(s) && s[i] == v) {
		return s
	}
	s = append(s, 0)
	copy(s[i+1:], s[i:])
	s[i] = v
	return s
}

func (b *Balances) readingRow(c *component, i int) row {
	r := &b.book.readings[i]
	return row{
		read: i, own: -1, terms: c.localForm(b.lay.read[i]),
		value: float64(r.Net), rel: r.Relative, floor: float64(r.Floor), bg: float64(r.Background),
		span: float64(r.span), decay: b.book.decay(r.span),
		gain: b.param[r.Gain], geom: b.param[r.Geometry], gainID: r.Gain, geomID: r.Geometry,
	}
}

// shares adds the measured shares, then, for each unknown that nothing
// determines, what volume or label says of it.
func (b *Balances) shares(c *component, ech *echelon) {
	for j, u := range c.unknowns {
		m := &b.book.moves[b.lay.unknowns[u].move]
		if m.Measured.U > 0 {
			b.addShare(c, ech, j, m, m.Measured)
			b.how[u] = ByDoseRate
		}
	}
	for j, u := range c.unknowns {
		if ech.determines(j) {
			if b.how[u] != ByDoseRate {
				b.how[u] = ByReading
			}
			continue
		}
		m := &b.book.moves[b.lay.unknowns[u].move]
		if m.from < 0 {
			b.addStated(c, ech, j, m)
			b.how[u] = ByLabel
			continue
		}
		q := m.yield()
		// Without a volume nothing is expected, give or take a tenth as in yield.
		b.addShare(c, ech, j, m, Share{Value: q.Value * m.share, U: cmp.Or(q.U*m.share, 0.1)})
		b.how[u] = ByVolume
		if m.toKind == Territory {
			b.how[u] = BySetting
		}
	}
}

// yield is the expected activity share per volume share. With no site history
// it is 1, give or take a tenth (no published source; a wide guess, so that a
// draw known by volume alone never looks like a measured one).
func (m *move) yield() Share {
	if m.Yield.U <= 0 {
		return Share{Value: 1, U: 0.1}
	}
	return m.Yield
}

func (b *Balances) addShare(c *component, ech *echelon, j int, m *move, s Share) {
	src := c.localForm(b.lay.unknowns[c.unknowns[j]].src)
	c.rows = append(c.rows, row{
		read: -1, own: j, terms: src, value: s.Value, u: s.U, share: true, gain: -1, geom: -1,
		span: float64(m.span), stays: (1 - s.Value) * float64(s.Between),
	})
	v := c.dense(src)
	for i := range v {
		v[i] *= -s.Value
	}
	v[j]++
	ech.add(v)
}

func (b *Balances) addStated(c *component, ech *echelon, j int, m *move) {
	span := b.book.since(m.Reference)
	grow := 1 / b.book.decay(span)
	c.rows = append(c.rows, row{read: -1, own: j, value: float64(m.Label) * grow, u: float64(m.LabelU) * grow, span: float64(span), gain: -1, geom: -1})
	v := make([]float64, len(c.unknowns))
	v[j] = 1
	ech.add(v)
}

// deviation is a reading's standard deviation for a model value h, in Bq (see
// the package comment).
func deviation(r *row, h float64) float64 {
	own := max(r.rel*math.Abs(h), r.floor)
	return math.Sqrt(own*own + r.bg*r.bg)
}

// leastShare is the least standard deviation of a share, 1 Bq: a share of
// nothing must not become an infinitely certain statement.
const leastShare = 1.0

// fitted is a reading's or a share's model value and standard deviation at
// the present estimates.
//
//	h = k·s·X·e^{-λt},  σ² = max(u_r·h, δ/√12)² + u_B²
func (r *row) fitted(x []float64, b *Balances) (h, sigma, sum float64) {
	for _, t := range r.terms {
		sum += t.c * x[t.u]
	}
	switch {
	case r.read >= 0:
		h = b.factor(r.gain, r.gainID) * b.factor(r.geom, r.geomID) * r.decay * sum
		return h, deviation(r, h), sum
	case r.share:
		return x[r.own] - r.value*sum, max(r.u*math.Abs(sum), leastShare), sum
	default:
		return x[r.own], r.u, 0
	}
}

// residual is (datum - model)/σ. A share's datum is 0: x - share·source.
func (r *row) residual(h, sigma float64) float64 {
	if r.share {
		return -h / sigma
	}
	return (r.value - h) / sigma
}

// jacobian writes the row's derivatives over σ into row i of a: n locals,
// then the component's p parameters.
func (r *row) jacobian(a *matrix, i int, c *component, b *Balances, sigma, sum float64) {
	n := len(c.unknowns)
	if r.read < 0 {
		for _, t := range r.terms {
			a.set(i, t.u, -r.value*t.c/sigma)
		}
		a.set(i, r.own, 1/sigma)
		return
	}
	k, s := b.factor(r.gain, r.gainID), b.factor(r.geom, r.geomID)
	for _, t := range r.terms {
		a.set(i, t.u, k*s*r.decay*t.c/sigma)
	}
	if r.gain >= 0 {
		a.set(i, n+r.gainCol, s*r.decay*sum/sigma)
	}
	if r.geom >= 0 {
		a.set(i, n+r.geomCol, k*r.decay*sum/sigma)
	}
}
