package dispensing

import (
	"math"
	"slices"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Label is what was printed on a label of a dose.
type Label struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	// For is the order, Of the container with its dose, Into the
	// administration vial it goes into where the label names both.
	For, Of, Into string
	Serial        string
	// Activity is that printed, at the moment At.
	Activity              quantity.Activity
	At                    time.Time
	ValidFrom, ValidUntil time.Time
}

// Drift is how far a dose as reckoned now lies from the activity on its label,
// as a fraction of that:
//
//	drift = A · 2^(−(t_label − t_A)/T½) / A_label − 1
func (d Dispensed) Drift(printed quantity.Activity, at time.Time, halfLife quantity.Span) float64 {
	return float64(d.Activity)*nuclide.Factor(halfLife, nuclide.Elapsed(d.At, at))/float64(printed) - 1
}

// checkLabel compares the last label of a dose with the dose as reckoned now.
// What was printed stays as it was, and so it is said where the two have moved
// apart by more than the site's bound, and where the label lets the dose be
// given at a moment at which by the readings it may not be.
func (r *reckoner) checkLabel(o OrderResult) {
	d := o.Dispensed
	for _, l := range slices.Backward(r.Labels) {
		if l.For != o.Order.ID || !slices.Contains(o.Containers, l.Of) && !slices.Contains(o.Containers, l.Into) {
			continue
		}
		drift := d.Drift(l.Activity, l.At, r.HalfLife.Value)
		now := quantity.Activity(float64(l.Activity) * (1 + drift))
		said := "label " + l.Serial + " of order " + o.Order.ID
		const todo, team = "print a new label", "; if the dose was handed over, tell the team before it is given"
		if math.Abs(drift) > float64(r.Policy.LabelDrift)+edge {
			r.find(LabelDrift, Warn, l.Entry, "%s: %s says %s and by the readings the dose is now %s, %s from that, beyond the bound of %s%s",
				todo, said, quantity.Show(l.Activity, 0), quantity.Show(now, 0), departure(drift, r.Policy.LabelDrift), percent(r.Policy.LabelDrift), team)
			return
		}
		for _, t := range r.moments(o.Order) {
			if between(t, l.ValidFrom, l.ValidUntil) && !between(t, d.ValidFrom, d.ValidUntil) {
				r.find(LabelDrift, Warn, l.Entry, "%s: %s lets the dose be given at %s, and by the readings it may not be given then%s",
					todo, said, quantity.ShowTime(t.In(r.zone())), team)
				return
			}
		}
		return
	}
}

// moments are those at which a dose was given, or may be.
func (r *reckoner) moments(o Order) []time.Time {
	if inf, ok := r.infusion(o.ID); ok {
		return []time.Time{inf.Start}
	}
	return []time.Time{o.At, r.out.At}
}

func between(t, from, until time.Time) bool { return !t.Before(from) && !t.After(until) }
