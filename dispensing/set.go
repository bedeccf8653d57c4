package dispensing

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// SetUse is what the time-out of an order said of its delivery set.
type SetUse struct {
	// Entry is the number of the time-out, from 1.
	Entry int
	For   string
	// Lot is that of the set, Extra a part that does not belong to it; each is empty
	// where not noted.
	Lot, Extra string
	At         time.Time
}

// SetFailure is an infusion that ended for a reason which may lie with its delivery
// set, of which the lot is known.
type SetFailure struct {
	Order, Lot string
	At         time.Time
}

// SameWeek is how long after a failure its lot is warned of.
const SameWeek = 7 * 24 * time.Hour

// setUse is what the last time-out of an order said.
func (c Case) setUse(order string) (SetUse, bool) {
	for _, u := range slices.Backward(c.SetUses) {
		if u.For == order {
			return u, true
		}
	}
	return SetUse{}, false
}

// SetFailures are those of the orders of the case.
func (c Case) SetFailures() (out []SetFailure) {
	for _, i := range c.Infusions {
		if u, ok := c.setUse(i.For); ok && u.Lot != "" && i.OfSet {
			out = append(out, SetFailure{i.For, u.Lot, i.Start})
		}
	}
	return out
}

// AgainstSets warns of each order whose delivery set is of a lot that failed another
// order within a week, until its own dose was given without such a failure. The other
// orders are named by their ids alone.
func (c Case) AgainstSets(failed []SetFailure) (out []Finding) {
	for _, o := range c.Orders {
		u, ok := c.setUse(o.ID)
		if !ok || u.Lot == "" || slices.ContainsFunc(c.Infusions, func(i Infusion) bool { return i.For == o.ID && !i.OfSet }) {
			continue
		}
		var others []string
		for _, x := range failed {
			if x.Order != o.ID && strings.EqualFold(x.Lot, u.Lot) && u.At.Sub(x.At).Abs() <= SameWeek && !slices.Contains(others, x.Order) {
				others = append(others, x.Order)
			}
		}
		if len(others) > 0 {
			out = append(out, Finding{Code: SetLot, Severity: Warn, Entry: u.Entry, Order: o.ID, Text: fmt.Sprintf(
				"Delivery sets of this lot failed within a week: a leak, a blockage or the equipment ended the infusion of order %s with a set of lot %s, which order %s names too; take a set of another lot, and hold a new time-out",
				strings.Join(others, ", "), u.Lot, o.ID)})
		}
	}
	return out
}

// checkParts warns of a part that does not belong to the delivery set, until the
// residual was read with it: by dose rate from a baseline with the part in place, or
// among the parts that were read.
func (r *reckoner) checkParts() {
	for _, o := range r.Orders {
		u, ok := r.setUse(o.ID)
		if !ok || u.Extra == "" {
			continue
		}
		res, _ := r.residual(o.ID)
		again := len(res.Before.Rates) > 0 && !res.Before.At.Before(u.At)
		if again && len(res.After.Rates) > 0 || len(r.Parts) > 0 && !slices.Contains(r.unread(o.ID), u.Extra) {
			continue
		}
		text := "A part outside the delivery set is in the way of the dose of order " + o.ID + ": " + u.Extra + ". What stays in it is not delivered: read it with the residual"
		if _, given := r.infusion(o.ID); !given && !again {
			text += "; take it out, or read the dose rate of the full dose again with it in place, and correct the baseline"
		}
		r.out.Findings = append(r.out.Findings, Finding{Code: PartOutsideSet, Severity: Warn, Entry: u.Entry, Order: o.ID, Text: text})
	}
}
