package inventory

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// Moments are the instants at which what is held can be the most from one instant on:
// that itself, and each at which an ordered parcel is due before another.
func Moments(b Books, from, until time.Time) []time.Time {
	out := []time.Time{from}
	for _, e := range b.Entries {
		if x, ok := e.Fact.(*fact.ExpectParcel); ok && x.Due.After(from) && !x.Due.After(until) {
			out = append(out, x.Due)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// Passed is a line of the licence of which more was held than it allows, with what it held
// when that was the most.
type Passed struct {
	Line
	At time.Time
	// Entry is the number of the entry of what came in then.
	Entry int
}

// arrival is an amount of activity that came in: what is printed on it, at its reference time.
type arrival struct {
	at, reference time.Time
	labelled      quantity.Activity
	entry         int
	counts        bool
}

// slack is how much more than its label a delivery is taken to hold, in the search for the
// instants that are looked at (common practice, no source).
const slack = 1.25

// Exceeded gives the lines of the licence of which more was held than they allow at an
// instant in a time before now, as is known now; groups are the entries of the groups that the
// cases are of. That can begin only when something comes in; those instants are passed over at
// which all that ever came in would not be too much.
func Exceeded(b Fitted, groups []fold.Entry, from, now time.Time) []Passed {
	least := quantity.Activity(0)
	for _, e := range b.Entries {
		if l, ok := e.Fact.(*fact.LicenceLine); ok && !l.Most.IsZero() && (least == 0 || l.Most.Value < least) {
			least = l.Most.Value
		}
	}
	if least == 0 {
		return nil
	}
	worst := map[string]Passed{}
	all := arrivals(append(groups[:len(groups):len(groups)], b.Entries...))
	for _, a := range all {
		if a.at.Before(from) || a.at.After(now) || bound(all, b.HalfLife, a.at) <= least {
			continue
		}
		for _, l := range b.At(a.at).Lines {
			if l.Over && l.Held > worst[l.ID].Held {
				worst[l.ID] = Passed{l, a.at, a.entry}
			}
		}
	}
	return slices.SortedFunc(maps.Values(worst), func(a, b Passed) int { return cmp.Compare(a.ID, b.ID) })
}

// arrivals are the parcels and the vials that came in; a vial out of a parcel counts with it.
func arrivals(entries []fold.Entry) (out []arrival) {
	for _, e := range entries {
		switch x := e.Fact.(type) {
		case *fact.Parcel:
			out = append(out, arrival{x.At, x.Reference, quantity.Activity(x.Vials) * x.Labelled.Value, e.Number, true})
		case *fact.Receive:
			out = append(out, arrival{x.At, x.Reference, x.Labelled.Value, e.Number, x.Parcel == ""})
		}
	}
	return out
}

// bound is more than what is held at an instant: all that came in by then, and nothing left.
func bound(all []arrival, halfLife quantity.Span, at time.Time) (sum quantity.Activity) {
	for _, a := range all {
		if a.counts && !a.at.After(at) {
			sum += slack * a.labelled * quantity.Activity(nuclide.Factor(halfLife, nuclide.Elapsed(a.reference, at)))
		}
	}
	return sum
}
