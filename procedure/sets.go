package procedure

import (
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// WarnOfSets adds what infusions of orders elsewhere have against the lots of delivery
// sets that the orders of the case named within a week; most name none, and nothing is
// looked for. infusions gives those that a delivery set may have ended, with corrections
// of infusions, of gives the records of an order.
func (k *Reckoned) WarnOfSets(now time.Time, zones fact.Zones, infusions func() []journal.Record, of func(order string) []journal.Record) {
	if !slices.ContainsFunc(k.Case.SetUses, func(u dispensing.SetUse) bool { return u.Lot != "" && now.Sub(u.At) <= dispensing.SameWeek }) {
		return
	}
	asked := map[string]bool{}
	for _, o := range k.Case.Orders {
		asked[o.ID] = true
	}
	var failed []dispensing.SetFailure
	for _, r := range infusions() {
		f := r.Fact
		if c, ok := f.(*fact.Correct); ok {
			f = c.With
		}
		x, ok := f.(*fact.Infuse)
		if !ok || asked[x.For] || now.Sub(x.Start) > 2*dispensing.SameWeek {
			continue
		}
		asked[x.For] = true
		if other, err := fold.Records(of(x.For), zones); err == nil { // what cannot be worked out is said at its own bench
			failed = append(failed, other.SetFailures()...)
		}
	}
	k.Result.Add(k.Case.AgainstSets(failed)...)
}
