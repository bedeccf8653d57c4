package dispensing

import (
	"cmp"
	"time"

	"vialwright/quantity"
	"vialwright/rules"
)

// Dated is a policy with what it leaves to be assumed, and the time from which
// it holds; zero for one that always held.
type Dated struct {
	From     time.Time
	Policy   Policy
	Settling Settling
	Assumed  []Assumed
}

// AsOf gives the case with the policy that holds at a moment, for what is still
// to be done then. What was done keeps what was in force when it was recorded.
func (c Case) AsOf(at time.Time) Case {
	for i := len(c.Policies) - 1; i >= 0; i-- {
		if d := c.Policies[i]; i == 0 || !d.From.After(at) {
			c.Policy, c.Settling, c.Assumed = d.Policy, d.Settling, d.Assumed
			break
		}
	}
	return c
}

// Rules are what the site had decided about an order when that revision of it
// was signed: by them the order is judged, whatever is decided later.
type Rules struct {
	// Tolerance is the allowed departure of dispensed from wanted activity, Limit the site's
	// outer departure from the prescribed activity itself, zero where the site names none.
	Tolerance, Limit quantity.Fraction
	// Confidence is the least conformance probability for release.
	Confidence quantity.Fraction
	// Basis is the scale prescriptions are written on.
	Basis quantity.Basis
	// Verdicts are the site's words, empty for ours.
	Verdicts Verdicts
	// Law is the value of the site's rule profile from which a dose is not used, in force
	// on the day of the infusion; nil for none.
	Law *rules.Value
}

// RulesOf are the rules by which an order is judged: its own, or those of the
// policy where it has none; with the limit of the profile on the day of the infusion.
func (c Case) RulesOf(o Order) Rules {
	x := c.Policy.Rules
	if o.Rules != nil {
		x = *o.Rules
	}
	if c.Profile != nil {
		if v, ok, _ := c.Profile.On(o.At.In(cmp.Or(c.Zone, time.UTC))).Get(rules.DispenseLimit); ok {
			x.Law = &v
		}
	}
	return x
}

// under puts an order's own rules in force until undo is called.
func (r *reckoner) under(o Order) (undo func()) {
	was := r.Policy
	r.Policy.Rules = r.RulesOf(o)
	return func() { r.Policy = was }
}
