package dispensing

import (
	"slices"

	"vialwright/dose"
	"vialwright/quantity"
)

// prescription checks what was prescribed by the published formulas, and what the
// order says of its time. Spheres are those of the vials that it was drawn from,
// or before a draw of every vial there is.
func (r *reckoner) prescription(out *OrderResult) {
	o := out.Order
	if o.Cancelled {
		return
	}
	if early, late := !o.NotBefore.IsZero() && o.At.Before(o.NotBefore), !o.NotAfter.IsZero() && o.At.After(o.NotAfter); early || late {
		bound := "before " + quantity.ShowTime(o.NotBefore.In(r.zone()))
		if late {
			bound = "after " + quantity.ShowTime(o.NotAfter.In(r.zone()))
		}
		r.find(OrderWindow, Warn, o.Entry, "order %s is planned for %s, and is not to be infused %s: ask for another time, or for a revised order", o.ID, quantity.ShowTime(o.At.In(r.zone())), bound)
	}
	if o.Dosimetry == nil {
		return
	}
	d := *o.Dosimetry
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
