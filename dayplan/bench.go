package dayplan

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// bench is the grid of steps on which doses are drawn, and what is taken of it.
type bench struct {
	origin       time.Time
	step         time.Duration
	takes, check int
	// places, draw, second and either are how many draws may run at each step, and
	// how many people are there who may draw, check, and do one of the two.
	places, draw, second, either []int
	// tries are the placements left in an exact search for one schedule; spent tells
	// that they ran out once, so that nothing is proven.
	spent bool
	// tried are the placements tried in all.
	tried int
}

// job is a draw that has to begin between two slots.
type job struct {
	source          int
	release, latest int
}

const unlimited = 1 << 20

// mostTries bounds one exact search for a schedule.
const mostTries = 20000

// triesOfStep is how many placements are taken off the steps of the search as one.
const triesOfStep = 2000

func newBench(d Day, let gone) *bench {
	from, until := d.horizon()
	b := &bench{origin: from, step: d.Step.Duration()}
	b.takes = int(math.Ceil(float64(d.Bench.Takes / d.Step)))
	b.check = int(math.Ceil(float64(d.Bench.Check / d.Step)))
	n := int(until.Sub(from) / b.step)
	b.places, b.draw, b.second, b.either = make([]int, n), make([]int, n), make([]int, n), make([]int, n)
	for k := range n {
		slot := Interval{b.at(k), b.at(k + 1)}
		for _, h := range d.Bench.Hours {
			if h.holds(slot) {
				b.places[k] = d.Bench.Count
			}
		}
		if len(d.People) == 0 || let.has(People, "") {
			b.draw[k], b.second[k], b.either[k] = unlimited, unlimited, unlimited
			continue
		}
		here := map[string]Person{} // who is written twice is one person, and checks no draw of their own
		for _, p := range d.People {
			if p.Present.holds(slot) {
				was := here[p.ID]
				here[p.ID] = Person{Draws: was.Draws || p.Draws, Checks: was.Checks || p.Checks}
			}
		}
		for _, p := range here {
			b.draw[k] += one(p.Draws)
			b.second[k] += one(p.Checks)
			b.either[k] += one(p.Draws || p.Checks)
		}
	}
	return b
}

func (i Interval) holds(x Interval) bool { return !x.From.Before(i.From) && !x.Until.After(i.Until) }

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func (b *bench) at(slot int) time.Time { return b.origin.Add(time.Duration(slot) * b.step) }

// ceil is the first slot at or after a time, floor the last at or before it.
func (b *bench) ceil(t time.Time) int {
	return -int(math.Floor(float64(b.origin.Sub(t)) / float64(b.step)))
}

func (b *bench) floor(t time.Time) int {
	return int(math.Floor(float64(t.Sub(b.origin)) / float64(b.step)))
}

// lastFree is the last slot from which a draw fits an empty bench; -1 for none.
func (b *bench) lastFree(slot int) int {
	slot = min(slot, len(b.places)-b.takes)
	for ; slot >= 0; slot-- {
		if b.room(slot) {
			return slot
		}
	}
	return -1
}

// room tells whether a draw may begin at a slot beside what is placed.
func (b *bench) room(slot int) bool {
	for k := slot; k < slot+b.takes; k++ {
		last := k >= slot+b.takes-b.check
		if b.places[k] < 1 || b.draw[k] < 1 || b.either[k] < 1+one(last) || (last && b.second[k] < 1) {
			return false
		}
	}
	return true
}

// take books a draw from a slot on; by -1 takes it back.
func (b *bench) take(slot, by int) {
	for k := slot; k < slot+b.takes; k++ {
		last := one(k >= slot+b.takes-b.check)
		b.places[k] -= by
		b.draw[k] -= by
		b.second[k] -= by * last
		b.either[k] -= by * (1 + last)
	}
}

// schedule places all draws, each as late as it can be, and gives their starts; ok
// is false where they do not fit. No two draws of one source overlap.
func (b *bench) schedule(jobs []job) (starts []int, ok bool) {
	order := make([]int, len(jobs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int {
		return cmp.Or(cmp.Compare(jobs[y].latest, jobs[x].latest), cmp.Compare(jobs[y].release, jobs[x].release))
	})
	starts = make([]int, len(jobs))
	tries := mostTries
	ok = b.placeFrom(jobs, order, starts, 0, &tries)
	b.tried += mostTries - tries
	if !ok && tries <= 0 {
		b.spent = true
	}
	for i := range jobs { // what was placed is taken back: the grid belongs to nobody
		if ok {
			b.take(starts[i], -1)
		}
	}
	return starts, ok
}

func (b *bench) placeFrom(jobs []job, order, starts []int, k int, tries *int) bool {
	if k == len(order) {
		return true
	}
	j := jobs[order[k]]
	for slot := j.latest; slot >= j.release; slot-- {
		if *tries--; *tries <= 0 {
			return false
		}
		if !b.room(slot) || b.busy(jobs, order[:k], starts, j.source, slot) {
			continue
		}
		starts[order[k]] = slot
		b.take(slot, 1)
		if b.placeFrom(jobs, order, starts, k+1, tries) {
			return true
		}
		b.take(slot, -1)
	}
	return false
}

// busy tells that the source is in a draw that would overlap.
func (b *bench) busy(jobs []job, placed, starts []int, source, slot int) bool {
	for _, i := range placed {
		if jobs[i].source == source && starts[i] < slot+b.takes && slot < starts[i]+b.takes {
			return true
		}
	}
	return false
}
