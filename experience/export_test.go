package experience

import (
	"vialwright/fact"
	"vialwright/journal"
)

// Of gives what the finished orders of one group have taught.
func Of(records []journal.Record, zones fact.Zones) ([]Preparation, error) {
	h := of(records, zones)
	return h.preps, h.err
}

// Take takes a group as it is now, all of its records; it takes the place of what
// was taken of it before, and of the groups that it has grown from. It tells
// whether anything finished has changed.
func (t *Tally) Take(records []journal.Record) bool {
	name := nameOf(records)
	if name == "" {
		return false
	}
	return t.put(name, of(records, t.zones), records)
}
