package event

import (
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
	// Completed, Revised, Judged and Told are those of the case.
	Completed, Revised, Judged time.Time
	Told                       map[rules.Key]time.Time
	Identifiers                []string
}

// Of puts a case together of what was reckoned of an order whose infusion is
// over; ok is false for one that was not infused. A dose whose residual nobody
// read has no delivered activity here; a deviation comes to light by that reading.
// The profile is taken as on the day the infusion began.
func Of(c dispensing.Case, o dispensing.OrderResult, p rules.Profile, r Record) (_ Case, ok bool) {
	var inf *dispensing.Infusion
	for i := range c.Infusions {
		if c.Infusions[i].For == o.Order.ID && !c.Infusions[i].Implied {
			inf = &c.Infusions[i]
		}
	}
	if inf == nil {
		return Case{}, false
	}
	zone := c.Zone
	if zone == nil {
		zone = time.UTC
	}
	out := Case{
		ID: o.Order.ID, Version: o.Order.Version, Zone: zone, Rules: p.On(inf.Start.In(zone)), HalfLife: c.HalfLife.Value,
		Prescribed: written(o.Order), OrStasis: o.Order.OrStasis, Territory: o.Order.Territory, Treated: inf.Treated,
		Signed: r.Signed, Start: inf.Start, End: inf.Stop, LeftRecovery: r.LeftRecovery,
		Completed: r.Completed, Revised: r.Revised, Judged: r.Judged, Told: r.Told,
		PathFree: inf.PathFree, Identifiers: r.Identifiers,
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
	for _, x := range c.Residuals {
		if x.For == o.Order.ID && len(x.After.Rates) > 0 {
			out.Discovered = x.After.At
		}
	}
	if d := o.Dispensed; d != nil {
		out.Dispensed = &Known{d.Activity, d.U}
	}
	if d := o.Delivered; d != nil {
		out.Delivered, out.DeliveredBy, out.ShareU = &Known{d.Activity, d.U}, d.KnownBy(), quantity.Fraction(d.FractionU)
	}
	return out, true
}

// written is the prescription as the physician wrote it.
func written(o dispensing.Order) quantity.Stated[quantity.Activity] {
	if s, err := quantity.Parse[quantity.Activity](o.Written); err == nil {
		return s
	}
	s, _ := quantity.Of(o.Prescribed, "MBq")
	return s
}
