package state

import (
	"slices"
	"time"
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
