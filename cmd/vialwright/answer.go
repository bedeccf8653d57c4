package main

import (
	"slices"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// caseOf is the answer of `reckon --json`. Numbers are unrounded; a key that does
// not apply yet is left out, and one whose figure is withheld is null.
func caseOf(zone *time.Location, r dispensing.Result) object {
	// With no degree of freedom chi-square is rounding noise, and p says nothing.
	consistency := object{{"chi2", 0}, {"dof", 0}}
	if c := r.Consistency; c.DOF > 0 {
		consistency = object{{"chi2", c.Chi2}, {"dof", c.DOF}, {"p", c.P}}
	}
	return object{
		{"half_life_h", hours(r.HalfLife)},
		{"vials", each(r.Vials, func(v dispensing.VialResult) object { return vialOf(v, zone) })},
		{"containers", each(r.Containers, func(c dispensing.ContainerResult) object { return containerOf(c, zone) })},
		{"orders", each(r.Orders, func(o dispensing.OrderResult) object { return orderOf(o, zone) })},
		{"consistency", consistency},
		{"findings", each(r.Findings, func(f dispensing.Finding) object {
			return object{{"code", f.Code}, {"severity", f.Severity}, {"entry", ifAny(f.Entry)}, {"order", ifAny(f.Order)}, {"text", f.Text}}
		})},
		{"assumed", ifSome(each(r.FromExperience(), func(x dispensing.Assumed) object {
			return object{{"setting", x.Setting}, {"value", x.Value}, {"source", x.Source}}
		}))},
		// A figure that is not given, and the finding that says why.
		{"withheld", ifSome(each(r.Withheld, func(x dispensing.Withheld) object {
			return object{{"key", x.Key}, {"code", x.Code}}
		}))},
	}
}

// hours undoes the rounding of the way through seconds: 64.0417 h is to read
// 64.0417, not 64.04169999999999.
func hours(s quantity.Span) float64 {
	h, err := strconv.ParseFloat(strconv.FormatFloat(s.Hours(), 'g', 15, 64), 64)
	if err != nil {
		return s.Hours()
	}
	return h
}

func vialOf(v dispensing.VialResult, zone *time.Location) object {
	hidden := v.Withheld != ""
	return object{
		{"id", v.Vial.ID},
		{"measured_MBq", figure(v.Assayed, hidden, v.Measured.MBq())},
		{"u_MBq", figure(v.Assayed, hidden, v.U.MBq())},
		{"at", quantity.FormatTime(v.Vial.Reference, zone)},
		{"label_ratio", figure(v.LabelRatio > 0, hidden, v.LabelRatio)},
		{"remaining_MBq", figure(true, hidden, v.Remaining.MBq())},
		{"remaining_mL", figure(true, hidden || v.VolumeHeld != "", v.RemainingVolume)},
	}
}

func containerOf(c dispensing.ContainerResult, zone *time.Location) object {
	hidden := c.Withheld != ""
	volumeHidden := hidden || c.VolumeHeld != ""
	return object{
		{"id", c.Container.ID},
		{"kind", c.Container.Kind},
		{"activity_MBq", figure(true, hidden, c.Activity.MBq())},
		{"u_MBq", figure(true, hidden, c.U.MBq())},
		{"at", quantity.FormatTime(c.At, zone)},
		{"volume_mL", figure(!c.Stopped, volumeHidden, c.Volume)}, // left out where it is not known
	}
}

func orderOf(o dispensing.OrderResult, zone *time.Location) object {
	var d dispensing.Dispensed
	var x dispensing.Delivered
	if o.Dispensed != nil {
		d = *o.Dispensed
	}
	if o.Delivered != nil {
		x = *o.Delivered
	}
	planned, dispensed, delivered := o.Plan != nil, o.Dispensed != nil, o.Delivered != nil
	planHidden, hidden, restHidden := slices.Contains(o.Hidden, "plan"), slices.Contains(o.Hidden, "dispensed_MBq"), slices.Contains(o.Hidden, "delivered_MBq")
	valid := dispensed && !d.ValidUntil.IsZero()
	return object{
		{"id", o.Order.ID},
		{"wanted_MBq", o.Wanted.MBq()},
		{"wanted_at", quantity.FormatTime(o.WantedAt, zone)},
		{"plan", figure(planned, planHidden, planOf(o.Plan))},
		{"dispensed_MBq", figure(dispensed, hidden, d.Activity.MBq())},
		{"u_MBq", figure(dispensed, hidden, d.U.MBq())},
		{"at", figure(dispensed, false, quantity.FormatTime(d.At, zone))},
		{"ratio", figure(dispensed, hidden, d.Ratio)},
		{"conformance", figure(dispensed, hidden, d.Conformance)},
		{"verdict", figure(dispensed, hidden, d.Verdict)},
		{"valid_from", figure(valid, hidden, quantity.FormatTime(d.ValidFrom, zone))},
		{"valid_until", figure(valid, hidden, quantity.FormatTime(d.ValidUntil, zone))},
		{"delivered_MBq", figure(delivered, restHidden, x.Activity.MBq())},
		{"delivered_u_MBq", figure(delivered, restHidden, x.U.MBq())},
		{"residual_fraction", figure(delivered, restHidden, x.Fraction)},
	}
}

func planOf(p *dispensing.Plan) object {
	if p == nil {
		return nil
	}
	o := object{
		{"from", p.From},
		{"draw_mL", p.Draw},
		{"draw_mL_exact", p.Exact},
		{"predicted_conformance", p.Conformance},
		{"readings_needed", figure(p.Readings > 0, false, p.Readings)},
	}
	if p.YieldFrom != "" { // what a draw is expected to yield, and to be at infusion time
		o = append(o, member{"experience", object{
			{"expected_MBq", p.Expect.MBq()},
			{"expected_u_MBq", p.ExpectU.MBq()},
			{"draw_yield", p.Yield.Value},
			{"draw_yield_u", p.Yield.U},
			{"draw_yield_from", p.YieldFrom},
		}})
	}
	return o
}
