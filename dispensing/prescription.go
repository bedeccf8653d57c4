package dispensing

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"vialwright/dose"
	"vialwright/quantity"
)

// prescription checks what was prescribed by the published formulas, and what the
// order says of its patient and its time. Spheres are those of the vials that it was drawn from,
// or before a draw of every vial there is.
func (r *reckoner) prescription(out *OrderResult) {
	o := out.Order
	if o.Cancelled {
		return
	}
	if o.OneIdentifier {
		r.find(OneIdentifier, Warn, o.Entry, "order %s has one identifier of the patient, and two are asked for: write the second one, or why there is one only", o.ID)
	}
	r.orderWindow(o)
	if o.Dosimetry == nil {
		return
	}
	d := *o.Dosimetry
	sameDay, before := r.OfPatient(o)
	d.Beside, d.Earlier = rests(sameDay), rests(before)
	for _, v := range r.Vials {
		if len(out.Sources) == 0 || slices.Contains(out.Sources, v.ID) {
			d.Vials = append(d.Vials, dose.Vial{ID: v.ID, Reference: v.Reference})
		}
	}
	res := dose.CheckSpheres(d)
	if d.Method != "" {
		var err error
		if res, err = dose.Check(d); err != nil {
			return // the fold has refused it
		}
		out.Dose = &res
	}
	for _, f := range res.Findings {
		r.find(Code(f.Code), Severity(f.Severity), o.Entry, "%s", "Order "+o.ID+": "+f.Text)
	}
}

// OfPatient are the other orders of the patient of an order, by its identifier in whatever letters, as
// they were entered, without those that were cancelled: those of its day in the zone of the site, and
// those of days before, here and elsewhere.
func (c Case) OfPatient(o Order) (sameDay, before []Order) {
	day := func(t time.Time) string { return t.In(cmp.Or(c.Zone, time.UTC)).Format(time.DateOnly) }
	all := slices.Concat(c.Orders, c.Elsewhere)
	slices.SortFunc(all, func(a, b Order) int { return a.Entry - b.Entry })
	for _, x := range all {
		switch {
		case o.Patient == "" || !strings.EqualFold(x.Patient, o.Patient) || x.ID == o.ID || x.Cancelled:
		case day(x.At) == day(o.At):
			sameDay = append(sameDay, x)
		case x.At.Before(o.At):
			before = append(before, x)
		}
	}
	return sameDay, before
}

// rests are what orders rest on that say what their doses are reckoned from.
func rests(orders []Order) (out []dose.Order) {
	for _, x := range orders {
		if x.Dosimetry != nil && x.Dosimetry.Method != "" {
			out = append(out, *x.Dosimetry)
		}
	}
	return out
}

// otherDay is how far from its planned time an infusion may begin and be the one that was
// meant: half a day, by which the activity is 12 % off (common practice, no source).
const otherDay = 12 * time.Hour

// orderWindow holds the infusion against the bounds of the order: the planned time,
// or once it was given the time it began; and that against what was planned.
func (r *reckoner) orderWindow(o Order) {
	at, says := o.At, "order %s is planned for %s, and is not to be infused %s: ask for another time, or for a revised order"
	if inf, given := r.infusion(o.ID); given && !inf.Implied {
		at, says = inf.Start, "order %s was infused at %s, and was not to be infused %s: tell the physician"
	}
	bound := ""
	switch {
	case !o.NotBefore.IsZero() && at.Before(o.NotBefore):
		bound = "before " + quantity.ShowTime(o.NotBefore.In(r.zone()))
	case !o.NotAfter.IsZero() && at.After(o.NotAfter):
		bound = "after " + quantity.ShowTime(o.NotAfter.In(r.zone()))
	case at.Sub(o.At).Abs() >= otherDay:
		side, allowed := "before", o.NotBefore
		if at.After(o.At) {
			side, allowed = "after", o.NotAfter
		}
		if !allowed.IsZero() {
			return // the order has a window to this side, which allows it
		}
		r.find(OrderWindow, Warn, o.Entry, "order %s was planned for %s and infused at %s, %.0f h %s: check the day of both, and tell the physician if it was given so",
			o.ID, quantity.ShowTime(o.At.In(r.zone())), quantity.ShowTime(at.In(r.zone())), at.Sub(o.At).Abs().Hours(), side)
		return
	default:
		return
	}
	r.find(OrderWindow, Warn, o.Entry, says, o.ID, quantity.ShowTime(at.In(r.zone())), bound)
}

// after puts the doses of what was delivered beside those of what was prescribed.
func (out *OrderResult) after() {
	if out.Dose == nil || out.Delivered == nil || out.Delivered.Activity <= 0 {
		return
	}
	d := out.Dose.Order
	d.Delivered.Stated, _ = quantity.Of(out.Delivered.Activity, "Bq")
	d.Delivered.U = quantity.Fraction(out.Delivered.U / out.Delivered.Activity)
	if res, err := dose.Check(d); err == nil {
		out.Dose = &res
	}
}
