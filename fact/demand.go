package fact

import (
	"slices"
)

// Demand is whether a site asks for something that it may leave out.
type Demand string

// The demands.
const (
	Required    Demand = "required"
	NotRequired Demand = "not-required"
)

// Settings gives the header facts in force: the case, the last policy, nil if
// there is none, and the last meter of each id, in the order in which each id
// came first.
func Settings(facts []Fact) (open *Site, policy *Policy, meters []*Meter) {
	for _, fact := range facts {
		switch x := fact.(type) {
		case *Site:
			open = x
		case *Policy:
			policy = x
		case *Meter:
			if i := slices.IndexFunc(meters, func(m *Meter) bool { return m.ID == x.ID }); i >= 0 {
				meters[i] = x
			} else {
				meters = append(meters, x)
			}
		}
	}
	return open, policy, meters
}
