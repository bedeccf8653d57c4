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
