package dayplan

import (
	"cmp"
	"math"
	"slices"
)

// vector is what a plan is judged by, in the order of the objectives: not served,
// windows broken, vials, changes, left (kBq), hand dose (nSv).
type vector [6]int64

const (
	unserved = iota
	broken
	vials
	changes
	left
	hand
)

var worst = vector{math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64}

// less compares the first objectives, as many as width.
func (v vector) less(w vector, width int) bool {
	for k := range width {
		if v[k] != w[k] {
			return v[k] < w[k]
		}
	}
	return false
}

// engine is one search over the options of all orders.
type engine struct {
	m *model
	// most are what a plan may have at most of each objective; width is how many of
	// them are compared.
	most  vector
	width int
	// allowed are the sources that may be used; exact is the activity of the vials
	// among them, in kBq, where all of them are to be opened, below 0 otherwise.
	allowed []bool
	exact   int64
	steps   *int

	best   vector
	found  []int // option of each order, -1 for none
	deep   bool  // ask for joint odds too
	only   []int // the source of each order; nil for all
	cut    bool  // steps ran out
	bound  vector
	chosen []int
	now    state
	ahead  []ahead
	low    []extent // of each order by itself
	pairs  [][2]int // orders of which one at most can be served
	byHold []int    // unopened vials, the largest first
	byKilo []int    // the smallest first
	jobs   []job
	ranks  [][]ranked // by depth
	items  []float64  // of one bound
}

// state is what is decided so far.
type state struct {
	vector
	loads  []load
	opened int64 // kBq of vials opened
	drawn  int64 // kBq drawn
}

// ahead are bounds on what orders from a place on will add.
type ahead struct {
	vector
	demand   float64
	least    float64 // the demand, where every source may be used
	drawn    int64
	hopeless int64
}

func (m *model) engine(most vector, width int, allowed []bool, steps *int) *engine {
	e := &engine{m: m, most: most, width: width, allowed: allowed, steps: steps, best: worst, bound: worst, exact: -1}
	e.chosen = make([]int, len(m.orders))
	e.now.loads = make([]load, len(m.sources))
	e.ahead, e.low, e.ranks = make([]ahead, len(m.orders)+1), make([]extent, len(m.orders)), make([][]ranked, len(m.orders))
	for i := len(m.orders) - 1; i >= 0; i-- {
		e.ahead[i] = e.lookAhead(i)
	}
	for i, s := range m.sources {
		if s.vial != nil && !s.free && allowed[i] {
			e.byHold = append(e.byHold, i)
		}
	}
	e.pairs = e.apart()
	e.byKilo = slices.Clone(e.byHold)
	slices.SortStableFunc(e.byHold, func(a, b int) int { return cmp.Compare(m.sources[b].holds, m.sources[a].holds) })
	slices.SortStableFunc(e.byKilo, func(a, b int) int { return int(m.sources[a].kilo - m.sources[b].kilo) })
	return e
}

// lookAhead adds the least of one order to those behind it.
func (e *engine) lookAhead(i int) ahead {
	out := e.ahead[i+1]
	out.least += e.m.orders[i].least
	x := e.m.orders[i].from(e.allowed)
	e.low[i] = x
	if !x.some {
		out.hopeless++
		return out
	}
	for _, k := range []int{broken, changes, hand} {
		out.vector[k] += x.vector[k]
	}
	out.demand += x.demand
	out.drawn += x.drawn
	return out
}

// run searches; found is nil where there is no plan within most.
func (e *engine) run() *engine {
	root := e.lower(0)
	e.m.bench.spent = false
	e.visit(0, root)
	if e.m.bench.spent { // a part was left because nobody knows whether it fits
		e.cut, e.bound = true, root
	}
	return e
}

// hopeful tells that the plan can still be within most, and better than the best.
func (e *engine) hopeful(b vector) bool {
	for k := range b {
		if b[k] > e.most[k] {
			return false
		}
	}
	return b.less(e.best, e.width)
}

// visit looks at what can follow; b is the bound on that.
func (e *engine) visit(depth int, b vector) {
	if !e.hopeful(b) {
		return
	}
	if depth == len(e.m.orders) {
		e.best, e.found = e.now.score(e.m), slices.Clone(e.chosen)
		return
	}
	if *e.steps <= 0 {
		e.leave(b)
		return
	}
	*e.steps--
	for _, r := range e.inOrder(depth) {
		if *e.steps < 0 { // the bench has used more than there was
			e.leave(b)
			return
		}
		e.try(depth, r.i)
	}
	if e.now.vector[unserved] < e.most[unserved] {
		e.chosen[depth] = -1
		e.now.vector[unserved]++
		e.visit(depth+1, e.lower(depth+1))
		e.now.vector[unserved]--
	}
}

// leave ends the search below a node for want of steps: nothing there is below b.
func (e *engine) leave(b vector) {
	e.cut = true
	if b.less(e.bound, len(b)) {
		e.bound = b
	}
}

// score is the vector of a whole plan.
func (s *state) score(m *model) vector {
	v := s.vector
	v[left] = m.fixed + s.opened - s.drawn
	return v
}

// ranked is an option with what it is tried by.
type ranked struct {
	i                      int
	broken, opens, changes int64
	room                   float64
}

// inOrder gives the options of an order, best first: what breaks nothing and changes
// nothing, into what is opened already where it fits most closely, else into the largest.
func (e *engine) inOrder(depth int) []ranked {
	options := e.m.orders[depth].options
	list := e.ranks[depth][:0]
	for i := range options {
		x := &options[i]
		if !e.allowed[x.source] || (e.only != nil && e.only[depth] != x.source) {
			continue
		}
		s := &e.m.sources[x.source]
		r := ranked{i: i, broken: x.broken, changes: x.changes, room: s.holds - e.now.loads[x.source].sum - x.demand}
		if e.opens(x.source) {
			r.opens, r.room = 1, -s.holds
			if s.alike >= 0 && e.opens(s.alike) && e.only == nil {
				continue
			}
		}
		list = append(list, r)
	}
	slices.SortStableFunc(list, func(a, b ranked) int {
		for _, c := range [...]int64{a.broken - b.broken, a.opens - b.opens, a.changes - b.changes} {
			if c != 0 {
				return int(c)
			}
		}
		return cmp.Compare(a.room, b.room)
	})
	e.ranks[depth] = list
	return list
}

// opens tells that the next draw from a source opens it.
func (e *engine) opens(source int) bool {
	return !e.m.sources[source].free && e.now.loads[source].orders == 0
}

// try takes an option, looks further, and takes it back.
func (e *engine) try(depth, i int) {
	x := &e.m.orders[depth].options[i]
	s, l := &e.m.sources[x.source], &e.now.loads[x.source]
	if l.orders >= s.punctures || e.overlaps(depth, x) || (e.opens(x.source) && !e.licensed(x.source)) {
		return
	}
	before, old := e.now.vector, *l
	opened, drawn, jobs := e.now.opened, e.now.drawn, e.jobs
	if e.opens(x.source) {
		e.now.vector[vials]++
		e.now.opened += s.kilo
	}
	e.now.vector[broken] += x.broken
	e.now.vector[changes] += x.changes
	e.now.vector[hand] += x.hand
	e.now.drawn += x.kilo
	l.add(x.demand)
	e.chosen[depth] = i
	if b := e.lower(depth + 1); e.hopeful(b) && e.likely(s, l) && e.fits(x) {
		e.visit(depth+1, b)
	}
	e.now.vector, *l = before, old
	e.now.opened, e.now.drawn, e.jobs = opened, drawn, jobs
}

// likely tells that the odds of what is planned so far are those wanted. They are no less
// than the product of those of each vial alone, since all rise with the common part of the
// yield (Chebyshev's inequality for functions that rise together).
func (e *engine) likely(s *source, l *load) bool {
	switch {
	case s.vial == nil:
		return true
	case e.m.let.has(Odds, ""):
		return l.sum <= s.usable
	}
	l.odds = e.m.alone(s, l.sum, l.squares)
	if l.odds < e.m.want {
		return false
	}
	product := 1.0
	for i := range e.now.loads {
		if e.now.loads[i].sum > 0 {
			product *= e.now.loads[i].odds
		}
	}
	return product*(1-1e-9) >= e.m.want || e.m.joint(e.now.loads) >= e.m.want
}

// fits tells that the draws so far have places on the bench, all of them placed again
// with the new one. The places tried are taken off the steps, so that these bound the
// time of a search also where the bench is tight.
func (e *engine) fits(x *option) bool {
	if !x.draws {
		return true
	}
	e.jobs = append(e.jobs[:len(e.jobs):len(e.jobs)], x.job)
	b := e.m.bench
	before := b.tried
	_, ok := b.schedule(e.jobs)
	*e.steps -= b.tried/triesOfStep - before/triesOfStep
	return ok
}

// overlaps tells that the suite of an order is taken at that time.
func (e *engine) overlaps(depth int, x *option) bool {
	m := e.m
	suite := m.orders[depth].order.Suite
	if suite == "" || m.let.has(Suites, "") {
		return false
	}
	for k := range depth {
		if m.orders[k].order.Suite != suite || e.chosen[k] < 0 {
			continue
		}
		if m.clash(m.orders[k].options[e.chosen[k]].instant, x.instant) {
			return true
		}
	}
	return false
}

// apart are the pairs of orders that are both to be in one suite, and overlap whichever
// options they have.
func (e *engine) apart() (out [][2]int) {
	m := e.m
	if m.let.has(Suites, "") {
		return nil
	}
	for k := range m.orders {
		for j := range k {
			a, b := &e.low[j], &e.low[k]
			if suite := m.orders[k].order.Suite; suite == "" || suite != m.orders[j].order.Suite || !a.some || !b.some {
				continue
			}
			if m.clash(a.first, b.last) && m.clash(b.first, a.last) {
				out = append(out, [2]int{j, k})
			}
		}
	}
	return out
}

// clash tells that two infusions in one suite overlap.
func (m *model) clash(a, b int64) bool { return max(a-b, b-a) < m.infusion }
