package dayplan

import (
	"math"
	"slices"

	"vialwright/quantity"
)

// lower is a vector that no completion of what is decided can be below, each of its
// components for itself.
func (e *engine) lower(depth int) vector {
	v, a := e.now.vector, e.ahead[depth]
	apart, off := e.apartFrom(depth)
	v[unserved] += a.hopeless + int64(apart)
	spare := int(e.most[unserved]-e.now.vector[unserved]) - apart // orders that may still be left out
	if spare < 0 {
		return worst
	}
	if spare == 0 {
		v[broken] += a.vector[broken] - off.vector[broken]
		v[changes] += a.vector[changes] - off.vector[changes]
		v[hand] += a.vector[hand] - off.vector[hand]
	}
	drawn := e.now.drawn + a.drawn
	demand := a.demand
	if spare > 0 { // orders come by their least from any source, and the largest of those still open is left out
		demand = e.ahead[min(depth+spare, len(e.ahead)-1)].least
	}
	demand -= off.demand
	short, draws := e.short(demand, len(e.m.orders)-depth-spare-apart)
	more := e.further(short, draws)
	if more < 0 {
		return worst
	}
	if spare == 0 && apart == 0 && v[vials]+int64(more) <= e.best[vials] {
		more = max(more, e.martelloToth(depth))
	}
	if e.deep && v[vials]+int64(more) <= e.best[vials] {
		if more = e.jointly(more, demand+e.loaded()); more < 0 {
			return worst
		}
	}
	v[vials] += int64(more)
	opened := e.now.opened
	if e.exact >= 0 {
		opened = e.exact
	} else {
		opened += e.leastKilo(more, short)
	}
	v[left] = e.m.fixed + opened - drawn
	return v
}

// apartFrom is how many orders more cannot be served, since each is in a pair of its own of
// which one at most can be: a matching, in the order of the pairs. off is the most that
// leaving them out takes off the least of the orders still open.
func (e *engine) apartFrom(depth int) (n int, off ahead) {
	if len(e.pairs) == 0 {
		return 0, off
	}
	var used [mostOrders]bool
	for _, p := range e.pairs {
		j, k := p[0], p[1]
		if used[j] || used[k] || k < depth || (j < depth && e.chosen[j] < 0) {
			continue
		}
		used[j], used[k] = true, true
		n++
		a, b := &e.low[k], &e.low[k]
		if j >= depth {
			b = &e.low[j]
		}
		for _, i := range []int{broken, changes, hand} {
			off.vector[i] += max(a.vector[i], b.vector[i])
		}
		off.demand += max(a.demand, b.demand)
	}
	return n, off
}

// loaded is the sum of the demands on vials so far.
func (e *engine) loaded() (sum float64) {
	for i := range e.now.loads {
		sum += e.now.loads[i].sum
	}
	return sum
}

// short is what does not fit into the vials that are opened: activity, and draws
// that their punctures do not allow.
func (e *engine) short(demand float64, draws int) (float64, int) {
	for i := range e.m.sources {
		s, l := &e.m.sources[i], &e.now.loads[i]
		if !e.allowed[i] || (l.orders == 0 && !s.free) {
			continue
		}
		if s.drawn != nil { // a demand that a drawn dose can meet is counted as nothing
			draws -= s.punctures - l.orders
			continue
		}
		demand -= max(0, s.holds-l.sum)
		draws -= min(unlimited, s.punctures-l.orders)
	}
	return demand, draws
}

// further is the fewest vials more that hold what is short; -1 where all of them do
// not.
func (e *engine) further(short float64, draws int) int {
	byActivity, byDraws, most := 0, 0, 0
	tiny := 1e-9 * e.ahead[0].demand // a bound may not fall to rounding
	for _, i := range e.byHold {
		if e.now.loads[i].orders > 0 {
			continue
		}
		if short > tiny {
			short -= e.m.sources[i].holds
			byActivity++
		}
		most = max(most, min(unlimited, e.m.sources[i].punctures))
	}
	switch {
	case short > tiny || (draws > 0 && most == 0):
		return -1
	case draws > 0:
		byDraws = (draws + most - 1) / most
	}
	return max(byActivity, byDraws)
}

// leastKilo is the least usable activity of so many vials more.
func (e *engine) leastKilo(more int, short float64) int64 {
	sum := int64(0)
	for _, i := range e.byKilo {
		if more == 0 {
			break
		}
		if e.now.loads[i].orders == 0 {
			sum += e.m.sources[i].kilo
			more--
		}
	}
	return max(sum, int64(short/1e3)-MostVials) // kBq are rounded vial by vial
}

// martelloToth is the bound L2 on the vials more that are needed (Discrete Appl Math
// 28 (1990) 59), all vials taken as the largest: what is opened is an item of what is
// taken of it. Orders from a drawn dose have no least demand, and do not count.
func (e *engine) martelloToth(depth int) int {
	largest := 0.0
	for i, s := range e.m.sources {
		if s.vial != nil && e.allowed[i] {
			largest = max(largest, s.holds)
		}
	}
	if largest <= 0 {
		return 0 // no vial holds anything with the odds wanted
	}
	items, bins := e.items[:0], 0
	for i, s := range e.m.sources {
		if s.vial != nil && e.allowed[i] && (e.now.loads[i].orders > 0 || s.free) {
			items = append(items, largest-max(0, s.holds-e.now.loads[i].sum))
			bins++
		}
	}
	for k := depth; k < len(e.m.orders); k++ {
		if w := e.m.orders[k].least; w > 0 {
			items = append(items, w)
		}
	}
	e.items = items
	best := 0
	for _, alpha := range items {
		if alpha > largest/2 {
			continue
		}
		best = max(best, levelTwo(items, alpha, largest)-bins)
	}
	return max(best, levelTwo(items, 0, largest)-bins)
}

// levelTwo is the bound for one threshold: items above largest − alpha are alone,
// those above half a bin are in different bins, and those from alpha on fill them.
func levelTwo(items []float64, alpha, largest float64) int {
	alone, big := 0, 0
	room, small := 0.0, 0.0
	for _, w := range items {
		switch {
		case w > largest-alpha:
			alone++
		case w > largest/2:
			big++
			room += largest - w
		case w >= alpha && w > 0:
			small += w
		}
	}
	over := small - room - 1e-9*largest
	return alone + big + int(math.Ceil(max(0, over)/largest))
}

// arrival is a moment at which the licence is asked.
type arrival struct {
	room float64
	adds []float64 // by source
}

// forecast works out, for each arrival of a vial on offer, what there is room for
// (activities only fall between arrivals).
func (m *model) forecast() {
	for i := range m.sources {
		m.sources[i].with = m.comesWith(i)
	}
	for _, r := range append(m.rooms(), m.day.Rooms...) {
		a := arrival{float64(r.Left), make([]float64, len(m.sources))}
		for i, s := range m.sources {
			if v := s.vial; v != nil && !v.InHand && v.Line == r.Line && !v.Arrives.After(r.At) {
				a.adds[i] = float64(v.Activity) * m.factor(v.Reference, r.At)
			}
		}
		m.licence = append(m.licence, a)
	}
}

// comesWith are the sources that come with one, itself among them.
func (m *model) comesWith(i int) (out []int) {
	for k, s := range m.sources {
		if one := m.sources[i].vial; k == i || one != nil && one.Offer != "" && s.vial != nil && s.vial.Offer == one.Offer {
			out = append(out, k)
		}
	}
	return out
}

// rooms are what a licence for all vials leaves at each arrival.
func (m *model) rooms() (out []Room) {
	d := m.day
	if d.Licence.Limit == 0 {
		return nil
	}
	for _, s := range m.sources {
		if s.vial == nil || s.vial.InHand && !s.vial.Arrives.After(d.Now) {
			continue
		}
		at := quantity.Later(d.Now, s.vial.Arrives)
		left := float64(d.Licence.Limit) - float64(d.Licence.Rest)*m.factor(d.Licence.At, at)
		for _, o := range m.sources {
			switch {
			case o.drawn != nil:
				left -= m.holds(o.drawn, at)
			case o.vial != nil && o.vial.InHand && !o.vial.Arrives.After(at):
				left -= float64(o.vial.Activity) * m.factor(o.vial.Reference, at)
			}
		}
		out = append(out, Room{At: at, Left: quantity.Activity(left)})
	}
	return out
}

// licensed tells whether a vial more, with all that it comes with, is within the licence at
// every arrival.
func (e *engine) licensed(source int) bool {
	for _, a := range e.m.licence {
		if a.adds[source] == 0 {
			continue
		}
		sum := 0.0
		for i, adds := range a.adds {
			if adds > 0 && e.comes(i, source) {
				sum += adds
			}
		}
		if sum > a.room {
			return false
		}
	}
	return true
}

// comes tells that a source is opened, where one more is, or comes with one that is.
func (e *engine) comes(i, more int) bool {
	return slices.ContainsFunc(e.m.sources[i].with, func(k int) bool { return k == more || e.now.loads[k].orders > 0 })
}
