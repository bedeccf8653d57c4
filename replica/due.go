package replica

import (
	"time"

	"vialwright/journal"
)

// Unsurveyed are the waste items that were held for a time since something was
// put into them last, and not surveyed since then; sorted.
func (r *Replica) Unsurveyed(now time.Time, held time.Duration) []string {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return r.books.Unsurveyed(now, held)
}

// OfDay are the records of the site, of no order and no container, of the days
// around a moment.
func (r *Replica) OfDay(at time.Time) []journal.Record {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return r.books.OfDay(at)
}
