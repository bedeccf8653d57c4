package replica

import (
	"slices"
	"time"

	"vialwright/journal"
	"vialwright/state"
)

// Unsurveyed are the waste items that were held for a time since something was
// put into them last, and not surveyed since then; sorted.
func (r *Replica) Unsurveyed(now time.Time, held time.Duration) []string {
	return reading(r, func() []string { return r.books.Unsurveyed(now, held) })
}

// Remarked is a file with the remarks of the site that were made on the days around
// its work: for who reads the record, since nothing is reckoned from them.
func (r *Replica) Remarked(f *File) *File {
	r.mu.RLock()
	defer r.mu.RUnlock()
	var groups []state.Group
	for _, id := range f.IDs {
		groups = append(groups, r.books.Groups(id)...)
	}
	out := *f
	out.memo = nil
	out.Records = append(slices.Clone(f.Records), r.books.Beside(groups)...)
	slices.SortStableFunc(out.Records, func(a, b journal.Record) int { return a.N - b.N })
	return &out
}

// OfDay are the records of the site, of no order and no container, of the days
// around a moment.
func (r *Replica) OfDay(at time.Time) []journal.Record {
	return reading(r, func() []journal.Record { return r.books.OfDay(at) })
}
