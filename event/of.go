package event

import (
	"cmp"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
	"vialwright/rules"
)

// Record is what the record of an order says beside its activities.
type Record struct {
	// Signed is when the version in force was signed; zero where it was not.
	Signed time.Time
	// Confirmed tells that a time-out of the order is in force, in which patient,
	// route and territory were read out.
	Confirmed bool
	// LeftRecovery is zero where not recorded, and so is Ended, the end of the
	// procedure, for which the end of the infusion then stands.
	LeftRecovery, Ended time.Time
	// Completed is when the order was completed, Revised when a revision for an emergent
	// condition was signed, Judged when a person judged that it is no event, Told when somebody
	// was told of one, by the value of the profile that asks for it.
	Completed, Revised, Judged time.Time
	Told                       map[rules.Key]time.Time
	// Identifiers are those of the patient, which no draft may hold.
	Identifiers []string
}

// Of puts a case together of what was reckoned of an order whose infusion is
// over; ok is false for one that was not infused, and where no profile is named. A dose
// whose residual nobody read has no delivered activity here. The profile is taken as on
// the day the infusion began.
func Of(c dispensing.Case, o dispensing.OrderResult, r Record) (_ Case, ok bool) {
	var inf *dispensing.Infusion
	for i := range c.Infusions {
		if c.Infusions[i].For == o.Order.ID && !c.Infusions[i].Implied {
			inf = &c.Infusions[i]
		}
	}
	if inf == nil || c.Profile == nil {
		return Case{}, false
	}
	zone := cmp.Or(c.Zone, time.UTC)
	out := Case{
		ID: o.Order.ID, Version: o.Order.Version, Zone: zone, Rules: c.Profile.On(inf.Start.In(zone)), HalfLife: c.HalfLife.Value,
		Prescribed: written(o.Order), OrStasis: o.Order.OrStasis, Territory: o.Order.Territory, Treated: inf.Treated,
		Record: r, Start: inf.Start, End: inf.Stop, PathFree: inf.PathFree,
	}
	if !r.Ended.IsZero() {
		out.End = r.Ended
	}
	if out.Treated == "" && r.Confirmed {
		out.Treated = out.Territory
	}
	if r.Confirmed {
		yes := true
		out.RightPatient, out.RightRoute = &yes, &yes
	}
	if inf.Reason != "" {
		out.Reason = &Given{Reason: Reason(inf.Reason), Evidence: inf.Evidence, Text: inf.Text, At: inf.Stop}
	}
	out.Discovered = discovered(c, out, *inf)
	if d := o.Dispensed; d != nil {
		out.Dispensed = &Known{d.Activity, d.U}
	}
	if d := o.Delivered; d != nil {
		out.Delivered, out.DeliveredBy, out.ShareU = &Known{d.Activity, d.U}, d.KnownBy(), quantity.Fraction(d.FractionU)
		if len(d.Unread) > 0 {
			out.Read = slices.DeleteFunc(slices.Clone(Parts), func(p string) bool { return slices.Contains(d.Unread, p) })
		}
	}
	return out, true
}

// discovered is when the record first told of a deviation: that the dose went elsewhere,
// with the infusion; how much was given, with the first reading of what was left: after the infusion, or after its start where
// nobody wrote when it stopped.
func discovered(c dispensing.Case, x Case, inf dispensing.Infusion) (at time.Time) {
	if x.otherSite() {
		return inf.Stop
	}
	left := map[string]bool{inf.From: true}
	for _, p := range c.Parts {
		left[p.Of] = left[p.Of] || p.For == x.ID
	}
	first := func(t time.Time) {
		if t.After(inf.Start) && !t.Before(inf.Stop) && (at.IsZero() || t.Before(at)) {
			at = t
		}
	}
	for _, r := range c.Readings {
		if left[r.Of] {
			first(r.At)
		}
	}
	for _, r := range c.Residuals {
		if r.For == x.ID && len(r.After.Rates) > 0 {
			first(r.After.At)
		}
	}
	return at
}

// written is the prescription as the physician wrote it.
func written(o dispensing.Order) quantity.Stated[quantity.Activity] {
	if s, err := quantity.Parse[quantity.Activity](o.Written); err == nil {
		return s
	}
	s, _ := quantity.Of(o.Prescribed, "MBq")
	return s
}
