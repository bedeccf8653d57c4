package state

import (
	"slices"
	"time"

	"vialwright/journal"
)

// Unsurveyed are the waste items that were held for a time since something was
// put into them last, and not surveyed since then; sorted.
func (b *Books) Unsurveyed(now time.Time, held time.Duration) []string {
	var out []string
	for id, x := range b.bins {
		if due := x.last.Add(held); !x.last.IsZero() && !due.After(now) && b.surveyed[id].Before(due) {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

// OfDay are the records of the site, of no order and no container, that were made
// on the days around a moment.
func (b *Books) OfDay(at time.Time) []journal.Record {
	var numbers []int
	for _, day := range around(at) {
		numbers = append(numbers, b.days[day]...)
	}
	return plain(b.get(rising(numbers)))
}
