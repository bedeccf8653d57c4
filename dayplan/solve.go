package dayplan

import (
	"cmp"
	"math"
	"slices"

	"vialwright/dose"
	"vialwright/quantity"
)

// Score is what a plan is judged by, in the order of the objectives. Unserved are
// orders, Broken sphere windows, Vials those opened, Changes those against the
// plan in force.
type Score struct {
	Unserved, Broken, Vials, Changes int
	// Left is the usable activity of opened vials at the end, in whole kBq; Hand is
	// the dose of the draws, in whole nSv.
	Left quantity.Activity
	Hand quantity.DoseEquivalent
}

func (v vector) score() Score {
	return Score{int(v[unserved]), int(v[broken]), int(v[vials]), int(v[changes]), quantity.Activity(float64(v[left]) * 1e3), quantity.DoseEquivalent(float64(v[hand]) * 1e-3)}
}

// Planned is a row of a plan with what it comes to.
type Planned struct {
	Row
	Volume  quantity.Volume
	Syringe Syringe
	// Odds are those that the dose lies within tolerance, if the vial suffices.
	Odds    float64
	Spheres dose.Spheres
	// Broken tells that the spheres lie outside the window; Moved that source or
	// time are not those of the plan in force.
	Broken, Moved bool
}

// VialUse is a vial of a plan.
type VialUse struct {
	ID     string
	Orders []string
	// Spare is what of it could still be drawn at the end.
	Spare quantity.Activity
	// Odds are those that it suffices for all its orders.
	Odds float64
}

// Plan is the answer for a day.
type Plan struct {
	Rows     []Planned
	Unserved []string
	Vials    []VialUse
	// Odds are those that every vial suffices for all its orders; see the package
	// comment.
	Odds  float64
	Score Score
	// Bound is what no plan can be better than; it is Score where Proven.
	Bound      Score
	Proven     bool
	NotOffered []NotOffered
	// Reasons say, for an order that is not served, which sources cannot serve it and why,
	// and whether it is only the others that keep it from one that can.
	Reasons map[string][]Reason
	// Steps are those the search took.
	Steps int
}

// InOrder tells that every order is served, and no sphere window broken.
func (p Plan) InOrder() bool { return p.Score.Unserved == 0 && p.Score.Broken == 0 }

// Solve gives the best plan of a day, with a search of at most so many steps. The
// same day gives the same plan. The error is that of [Day.Check].
func Solve(d Day, steps int) (Plan, error) {
	if err := d.Check(); err != nil {
		return Plan{}, err
	}
	m := compile(d, nil)
	return m.plan(m.solve(steps)), nil
}

// answer is what a search has found.
type answer struct {
	best, bound vector
	found       []int
	cut         bool
	steps       int
}

func (m *model) all() []bool { return slices.Repeat([]bool{true}, len(m.sources)) }

// anyOf are all sources, of which any may be used.
func (m *model) anyOf() vialSet { return vialSet{allowed: m.all(), kilo: -1} }

// solve goes down the objectives: served and windows, then vials, then changes, activity left
// and hand dose over the sets of so many vials.
func (m *model) solve(steps int) answer {
	remaining := steps
	var out answer
	for drop := range len(m.orders) + 1 {
		most := worst
		most[unserved] = int64(drop)
		best, seed := m.near(most, &remaining)
		budget := remaining * 3 / 4
		remaining -= budget
		first := m.search(most, broken+1, m.anyOf(), &budget, best, seed)
		remaining += budget
		if first.found == nil && !first.cut {
			continue // proven: so few cannot be left out
		}
		if first.found == nil {
			out.cut, out.bound = true, lower(out, first.bound)
			continue
		}
		out.best, out.found = first.best, first.found
		if first.cut {
			out.cut, out.bound = true, lower(out, first.bound)
		}
		break
	}
	if out.found == nil { // no steps for even one plan: nobody is served
		out.found = slices.Repeat([]int{-1}, len(m.orders))
		out.best = vector{unserved: int64(len(m.orders)), left: m.fixed}
	} else {
		budget := remaining * 3 / 4
		remaining -= budget
		most := worst
		most[unserved], most[broken] = out.best[unserved], out.best[broken]
		m.keep(&out, m.search(most, vials+1, m.anyOf(), &budget, out.best, out.found))
		remaining += budget
		m.refine(&out, &remaining)
	}
	if !out.cut {
		out.bound = out.best
	} else if out.best.less(out.bound, len(out.bound)) {
		out.bound = out.best
	}
	out.steps = steps - remaining
	return out
}

// nearTries is how often a plan near the one in force is looked for, with the fewest changes
// and then one more each time, and nearSteps with how many steps.
const (
	nearTries = 4
	nearSteps = 200
)

// near is a plan within most that changes little of the one in force; nil where none is
// found at once. It proves nothing.
func (m *model) near(most vector, remaining *int) (vector, []int) {
	fewest := m.fewestChanges(m.all(), int(most[unserved]))
	for by := range int64(nearTries) {
		most[changes] = fewest + by
		steps := min(*remaining, nearSteps)
		*remaining -= steps
		e := m.engine(most, vials+1, m.all(), &steps).run()
		*remaining += steps
		if e.found != nil {
			return e.best, e.found
		}
	}
	return worst, nil
}

// lower keeps the smallest bound met.
func lower(a answer, b vector) vector {
	if a.cut && a.bound.less(b, len(b)) {
		return a.bound
	}
	return b
}

// mostSets bounds the sets of vials that are gone through one by one.
const mostSets = 200000

// refine finds the fewest changes, the least activity left and the least hand dose among
// the plans that are equal in the first three objectives: sets of as many vials, those
// first that the plan in force asks to change the least, then those with the least activity.
func (m *model) refine(out *answer, remaining *int) {
	most := out.best
	most[changes], most[left], most[hand] = math.MaxInt64, math.MaxInt64, math.MaxInt64
	sets, whole := m.vialSets(int(out.best[vials]), int(out.best[unserved]))
	if !whole { // too many: one search over all
		m.keep(out, m.search(most, len(vector{}), m.anyOf(), remaining, out.best, out.found))
		return
	}
	if m.large {
		m.descend(out, most, sets, remaining)
	}
	all := m.engine(most, len(vector{}), m.all(), remaining)
	none := out.best // what no plan of a set is below; less hand dose where orders are left out
	none[hand] = all.lower(0)[hand]
	for c := int64(0); len(sets) > 0; c++ { // with so many changes, since few of them bound the search
		c = max(c, sets[0].changes)
		most[changes], none[changes] = c, c
		for k, s := range sets {
			if s.changes > c {
				break
			}
			if none[left] = m.fixed + s.kilo - all.ahead[0].drawn; !none.less(out.best, len(none)) {
				continue
			}
			if *remaining <= 0 {
				for _, s := range sets[k:] {
					none[left] = min(none[left], m.fixed+s.kilo-all.ahead[0].drawn)
				}
				out.cut, out.bound = true, lower(*out, none)
				return
			}
			steps := *remaining
			if m.large && out.cut { // what is left is not proven any more: none of the sets is worth all steps
				steps = min(steps, 2*m.short)
			}
			*remaining -= steps
			e := m.search(most, len(vector{}), s, &steps, out.best, out.found)
			*remaining += steps
			m.keep(out, e)
		}
		if out.best[changes] <= c {
			return
		}
	}
}

// descend looks for a set with less activity that the orders can be packed into, halving
// what lies between the sets that a bound excludes and the one that is found. It proves
// nothing.
func (m *model) descend(out *answer, most vector, sets []vialSet, remaining *int) {
	begin := func(k int) func(bool, *int) *engine {
		return func(deep bool, steps *int) *engine {
			return m.begin(most, len(vector{}), sets[k], steps, out.best, out.found, deep)
		}
	}
	low, high := -1, 0 // low is the first that no bound excludes
	for ; high < len(sets); high++ {
		e := begin(high)(true, remaining)
		if m.fixed+sets[high].kilo >= out.best[left]+e.ahead[0].drawn {
			break
		}
		if low < 0 && e.hopeful(e.lower(0)) {
			low = high
		}
	}
	if low < 0 {
		return
	}
	budget := *remaining / 2
	*remaining -= budget
	for low < high && budget > 0 {
		mid := (low + high) / 2
		if e := m.pack(begin(mid), sets[mid].allowed, sets[mid].vials, &budget); e != nil {
			out.best, out.found, high = e.best, e.found, mid
		} else {
			low = mid + 1
		}
	}
	*remaining += budget
}

func (m *model) keep(out *answer, e *engine) {
	out.best, out.found = e.best, e.found
	if e.cut {
		out.bound = lower(*out, e.bound)
		out.cut = true
	}
}

// vialSet is a set of sources: those that cost nothing, and some vials.
type vialSet struct {
	allowed []bool
	kilo    int64 // of the vials, all of which are to be opened; -1 where not all are
	vials   int
	changes int64 // at least so many
}

// vialSets gives all sets of so many vials, those with the fewest changes and the least
// activity first; of vials that are alike the first ones. A number of orders may be left out.
// whole is false where there are more than mostSets.
func (m *model) vialSets(n, leave int) (out []vialSet, whole bool) {
	var costly []int
	s := vialSet{allowed: make([]bool, len(m.sources)), vials: n}
	for i := range m.sources {
		if s.allowed[i] = m.sources[i].free; !s.allowed[i] {
			costly = append(costly, i)
		}
	}
	var pick func(k, need int) bool
	pick = func(k, need int) bool {
		if need == 0 {
			t := s
			t.allowed, t.changes = slices.Clone(s.allowed), m.fewestChanges(s.allowed, leave)
			out = append(out, t)
			return len(out) <= mostSets
		}
		if len(costly)-k < need {
			return true
		}
		i := costly[k]
		if twin := m.sources[i].alike; twin < 0 || s.allowed[twin] {
			s.allowed[i] = true
			s.kilo += m.sources[i].kilo
			if !pick(k+1, need-1) {
				return false
			}
			s.kilo -= m.sources[i].kilo
			s.allowed[i] = false
		}
		return pick(k+1, need)
	}
	whole = pick(0, n)
	slices.SortStableFunc(out, func(a, b vialSet) int { return cmp.Or(cmp.Compare(a.changes, b.changes), cmp.Compare(a.kilo, b.kilo)) })
	return out, whole
}

// mostChanges of an order are those of source and time.
const mostChanges = 2

// fewestChanges is a bound on those of all orders but so many, from the sources allowed.
func (m *model) fewestChanges(allowed []bool, leave int) (sum int64) {
	var by [mostChanges + 1]int // orders by their fewest changes
	for k := range m.orders {
		if x := m.orders[k].from(allowed); x.some {
			by[x.vector[changes]]++
		} else {
			leave--
		}
	}
	leave = max(leave, 0)
	for c := int64(mostChanges); c > 0; c-- {
		some := max(0, by[c]-leave)
		leave -= by[c] - some
		sum += c * int64(some)
	}
	return sum
}

// plan writes an answer out.
func (m *model) plan(a answer) Plan {
	a.bound[left] = max(a.bound[left], min(0, a.best[left])) // a bound below nothing says nothing
	p := Plan{Score: a.best.score(), Bound: a.bound.score(), Proven: !a.cut, NotOffered: m.notOffered, Reasons: map[string][]Reason{}, Steps: a.steps}
	loads := make([]load, len(m.sources))
	names := make([][]string, len(m.sources))
	var jobs []job
	for k, i := range a.found {
		o := m.orders[k]
		if i < 0 {
			p.Unserved = append(p.Unserved, o.order.ID)
			p.Reasons[o.order.ID] = o.reasons
			if len(o.options) > 0 {
				p.Reasons[o.order.ID] = append(slices.Clip(o.reasons), Reason{Kind: Serve, Text: "by itself it could be served; together with the other orders it cannot"})
			}
			continue
		}
		x := o.options[i]
		loads[x.source].add(x.demand)
		names[x.source] = append(names[x.source], o.order.ID)
		if x.draws {
			jobs = append(jobs, x.job)
		}
	}
	starts, _ := m.bench.schedule(jobs)
	for k, i := range a.found {
		if i < 0 {
			continue
		}
		x := m.orders[k].options[i]
		r := Planned{Row: Row{Order: m.orders[k].order.ID, From: m.sources[x.source].id, Infuse: x.infuse}, Volume: x.volume, Syringe: x.syringe, Odds: x.odds, Spheres: x.spheres, Broken: x.broken > 0, Moved: x.changes > 0}
		if x.draws {
			r.Draw = m.bench.at(starts[0])
			starts = starts[1:]
		}
		p.Rows = append(p.Rows, r)
	}
	p.Odds = m.joint(loads)
	for i, s := range m.sources {
		if s.vial == nil || (loads[i].orders == 0 && !s.free) {
			continue
		}
		slices.Sort(names[i])
		p.Vials = append(p.Vials, VialUse{s.id, names[i], quantity.Activity(s.usable - loads[i].sum), m.alone(&s, loads[i].sum, loads[i].squares)})
	}
	slices.Sort(p.Unserved)
	slices.SortStableFunc(p.Rows, func(a, b Planned) int { return a.Infuse.Compare(b.Infuse) })
	return p
}

// Judge says what a plan comes to on a day: each order from the source and at the time
// of its row, or not served where that cannot be kept.
func Judge(d Day, rows []Row) (Plan, error) {
	if err := d.Check(); err != nil {
		return Plan{}, err
	}
	m := compile(d, nil)
	for k := range m.orders {
		o := &m.orders[k]
		o.options = slices.DeleteFunc(o.options, func(x option) bool {
			return !slices.ContainsFunc(rows, func(r Row) bool {
				return r.Order == o.order.ID && r.From == m.sources[x.source].id && r.Infuse.Equal(x.infuse)
			})
		})
	}
	m.extents()
	return m.plan(m.solve(mostOrders * mostOrders)), nil
}
