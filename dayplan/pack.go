package dayplan

import (
	"math"
	"slices"
)

// A day that a short search does not settle is packed first: orders are put into the
// vials that hold most and moved between them until the odds are those wanted. It proves
// nothing; what it finds is only what the search has to be better than.

// shortSearch is how many steps a search is given before that, tryFor those that one
// packing is given to be scheduled, and costs what a packing itself is counted as.
const (
	shortSearch = 2000
	tryFor      = 1000
	packCosts   = 200
	packTries   = 12
)

// begin is a search of a set that has to be better than a plan that is known.
func (m *model) begin(most vector, width int, s vialSet, steps *int, best vector, seed []int, deep bool) *engine {
	e := m.engine(most, width, s.allowed, steps)
	e.exact, e.deep = s.kilo, deep
	e.best, e.found = best, seed
	return e
}

// search is a search within most, with a packing before it where it is long. seed is a plan
// that is known already; nil for none.
func (m *model) search(most vector, width int, s vialSet, steps *int, best vector, seed []int) *engine {
	begin := func(deep bool, steps *int) *engine { return m.begin(most, width, s, steps, best, seed, deep) }
	odds := !m.let.has(Odds, "") && !m.let.has(Stock, "")
	var root vector
	var deep, e *engine
	for _, short := range [...]int{m.short / 16, m.short} { // few at first: the bound behind it may settle the search
		short = min(*steps, short)
		*steps -= short
		e = begin(false, &short).run()
		*steps += short
		if !e.cut || *steps <= 0 || !odds {
			return e
		}
		best, seed = e.best, e.found
		deep = begin(true, steps)
		if root = deep.lower(0); !deep.hopeful(root) {
			return deep
		}
	}
	m.large = true
	first := int(root[vials])
	last := int(min(best[vials]-1, root[vials]+1))
	if s.kilo >= 0 { // all of the set
		first = s.vials
		last = first
	}
	for n := first; n <= last; n++ {
		if p := m.pack(begin, s.allowed, n, steps); p != nil {
			deep.best, deep.found = p.best, p.found
			break
		}
	}
	return deep.run()
}

// pack gives a search that ended with a better plan, of so many of the vials allowed more
// than those that cost nothing; nil where it finds none.
func (m *model) pack(begin func(bool, *int) *engine, allowed []bool, n int, steps *int) *engine {
	p := m.packing(allowed, n)
	if p == nil {
		return nil
	}
	for try := range packTries {
		if *steps -= packCosts; *steps <= 0 {
			return nil
		}
		p.improve()
		if p.cost() <= -math.Log(m.want) {
			few := min(*steps, tryFor)
			*steps -= few
			e := begin(true, &few)
			before := e.best
			e.only = p.sources()
			e.run()
			*steps += few
			if e.best.less(before, e.width) {
				return e
			}
		}
		p.shake(try)
	}
	return nil
}

// packing is where each order is drawn from.
type packing struct {
	m     *model
	bins  []int // sources
	of    []int // bin of each order; -1 for one that has a dose
	dose  []int // source of that dose
	size  [][]float64
	load  []float64
	count []int
	state uint64
}

// packing begins with the largest demand first, each into the vial with the most room.
func (m *model) packing(allowed []bool, n int) *packing {
	p := &packing{m: m, state: 1}
	for i, s := range m.sources {
		if s.vial != nil && s.free && allowed[i] {
			p.bins = append(p.bins, i)
		}
	}
	if len(p.bins)+n == 0 {
		return nil
	}
	for _, i := range m.sharesOf(len(p.bins) + n).order {
		if n > 0 && allowed[i] {
			p.bins = append(p.bins, i)
			n--
		}
	}
	if n > 0 {
		return nil
	}
	p.load, p.count = make([]float64, len(p.bins)), make([]int, len(p.bins))
	taken := map[int]bool{}
	for k, o := range m.orders {
		size := slices.Repeat([]float64{math.Inf(1)}, len(p.bins))
		dose := -1
		for _, x := range slices.Backward(o.options) { // the best comes last, and stays
			s := &m.sources[x.source]
			if b := slices.Index(p.bins, x.source); b >= 0 && x.broken == 0 {
				size[b] = x.demand
			} else if s.drawn != nil && s.drawn.For == o.order.ID && !taken[x.source] {
				dose = x.source
			}
		}
		p.size, p.dose, p.of = append(p.size, size), append(p.dose, dose), append(p.of, -1)
		if dose >= 0 {
			taken[dose] = true
			continue
		}
		best := -1
		for b := range p.bins {
			if !math.IsInf(size[b], 1) && (best < 0 || p.room(b) > p.room(best)) {
				best = b
			}
		}
		if best < 0 {
			return nil
		}
		p.put(k, best)
	}
	return p
}

func (p *packing) room(b int) float64 { return p.m.sources[p.bins[b]].usable - p.load[b] }

// put moves an order to a bin.
func (p *packing) put(k, b int) {
	if from := p.of[k]; from >= 0 {
		p.load[from] -= p.size[k][from]
		p.count[from]--
	}
	p.of[k] = b
	p.load[b] += p.size[k][b]
	p.count[b]++
}

// of a bin with that load and so many draws: −ln of its odds, and what draws too many weigh.
func (p *packing) weigh(b int, load float64, count int) float64 {
	s := &p.m.sources[p.bins[b]]
	if count == 0 {
		return 0
	}
	u := math.Hypot(s.u, float64(p.m.day.YieldU))
	z := (s.usable - load) / (s.usable * u)
	return -logPhi(z) + 1e3*float64(max(0, count-s.punctures))
}

// logPhi is ln Φ, by its first term far below (Abramowitz and Stegun, 26.2.12).
func logPhi(z float64) float64 {
	if z < -8 {
		return -z*z/2 - math.Log(-z*math.Sqrt(2*math.Pi))
	}
	return math.Log(phi(z))
}

func (p *packing) cost() (sum float64) {
	for b := range p.bins {
		sum += p.weigh(b, p.load[b], p.count[b])
	}
	return sum
}

// improve moves one order, or exchanges two, as long as that makes the odds better.
func (p *packing) improve() {
	for better := true; better; {
		better = false
		for k := range p.of {
			if p.of[k] < 0 {
				continue
			}
			for b := range p.bins {
				better = p.try(k, b, -1) || better
			}
			for j := range k {
				if p.of[j] >= 0 {
					better = p.try(k, p.of[j], j) || better
				}
			}
		}
	}
}

// try moves an order to a bin, and another, if there is one, to where it was; and leaves it
// so where that is better.
func (p *packing) try(k, b, other int) bool {
	a := p.of[k]
	if a == b || math.IsInf(p.size[k][b], 1) || (other >= 0 && math.IsInf(p.size[other][a], 1)) {
		return false
	}
	la, lb, ca, cb := p.load[a]-p.size[k][a], p.load[b]+p.size[k][b], p.count[a]-1, p.count[b]+1
	if other >= 0 {
		la, lb, ca, cb = la+p.size[other][a], lb-p.size[other][b], ca+1, cb-1
	}
	before := p.weigh(a, p.load[a], p.count[a]) + p.weigh(b, p.load[b], p.count[b])
	if p.weigh(a, la, ca)+p.weigh(b, lb, cb) >= before-1e-9 {
		return false
	}
	p.put(k, b)
	if other >= 0 {
		p.put(other, a)
	}
	return true
}

// shake exchanges some orders, by a sequence of numbers that is always the same (Marsaglia,
// J Stat Softw 8 (2003) 14).
func (p *packing) shake(try int) {
	next := func(n int) int {
		p.state ^= p.state << 13
		p.state ^= p.state >> 7
		p.state ^= p.state << 17
		return int(p.state % uint64(n))
	}
	for range 4 + try {
		k, b := next(len(p.of)), next(len(p.bins))
		if p.of[k] >= 0 && !math.IsInf(p.size[k][b], 1) && p.of[k] != b {
			p.put(k, b)
		}
	}
}

// sources are those of the orders.
func (p *packing) sources() []int {
	out := slices.Clone(p.dose)
	for k, b := range p.of {
		if b >= 0 {
			out[k] = p.bins[b]
		}
	}
	return out
}
