package dispensing

import (
	"fmt"
	"math"
	"strings"

	"vialwright/ledger"
	"vialwright/quantity"
)

func (r *reckoner) find(code Code, s Severity, entry int, format string, args ...any) {
	r.out.Findings = append(r.out.Findings, Finding{code, s, entry, fmt.Sprintf(format, args...)})
}

// nearlyConstantResidual is the median residual of resin administrations,
// 0.039 GBq of 662 administrations (Hoang et al., JVIR 2019): nearly constant
// in activity, so it weighs most on small prescriptions.
const nearlyConstantResidual = 39 * quantity.MegaBecquerel

// checkFacts looks at what was entered, before anything is reckoned.
func (r *reckoner) checkFacts() {
	for _, o := range r.Orders {
		r.plausible(o.Entry, "prescribed", o.Prescribed)
		if share := float64(nearlyConstantResidual / o.Prescribed); share >= float64(r.Policy.Tolerance) {
			r.find(SmallPrescription, Warn, o.Entry,
				"%s is small for order %s: a usual residual of about %s would be %.0f %% of it",
				show(o.Prescribed), o.ID, show(nearlyConstantResidual), 100*share)
		}
		if o.Residual == 0 {
			r.find(ResidualNotStated, Note, o.Entry, "order %s allows nothing for the residual; the draw aims at the prescription itself", o.ID)
		}
	}
	for _, v := range r.Vials {
		r.plausible(v.Entry, "labelled", v.Labelled)
	}
	for _, m := range r.Makeups {
		r.checkMakeup(m)
	}
	for _, x := range r.Readings {
		if x.Gross > 20*quantity.GigaBecquerel {
			r.plausible(x.Entry, "gross", x.Gross)
		}
		if x.Background > 10*quantity.MegaBecquerel || (x.Gross > 0 && x.Background > x.Gross/20 && x.Background > quantity.MegaBecquerel) {
			r.find(BackgroundHigh, Warn, x.Entry, "the background %s is high beside the reading %s: check it and its unit", show(x.Background), show(x.Gross))
		}
	}
	for _, b := range r.Backwards {
		r.find(TimeBackwards, Warn, b.Entry, "entry %d lies before entry %d in time: a late entry, or a slip of the clock; it was reckoned at its own time", b.Entry, b.Above)
	}
	for _, e := range r.OffsetOdd {
		r.find(OffsetUnusual, Warn, e, "the offset written in entry %d is not the one that %s had at that moment: a time from another zone, or a slip; it was taken as written", e, r.Zone)
	}
	if len(r.Assumed) > 0 {
		names := make([]string, len(r.Assumed))
		for i, a := range r.Assumed {
			names[i] = a.Setting + " " + a.Value
		}
		r.find(SettingAssumed, Note, 0, "the file does not set, and the reckoning assumes: %s", strings.Join(names, "; "))
	}
}

// plausible warns of an activity outside 0.01 to 20 GBq, which no resin
// shipping vial or prescription is (common practice, no source), and names
// the slip of unit that would explain it.
func (r *reckoner) plausible(entry int, field string, a quantity.Activity) {
	if a >= 10*quantity.MegaBecquerel && a <= 20*quantity.GigaBecquerel {
		return
	}
	r.find(ImplausibleActivity, Warn, entry, "%s %s lies outside 0.01 to 20 GBq%s", field, show(a), slips(a))
}

// slips lists the slips of unit that bring an activity into the usual range
// 0.1 to 10 GBq.
func slips(a quantity.Activity) string {
	type slip struct {
		factor float64
		words  string
	}
	large := []slip{
		{1 / 27.027027, "mCi written as GBq (x27)"},
		{1 / 37.0, "MBq written as mCi (x37)"},
		{1e-3, "MBq written as GBq (x1000)"},
	}
	small := []slip{
		{27.027027, "GBq written as mCi (/27)"},
		{37, "mCi written as MBq (/37)"},
		{1e3, "GBq written as MBq (/1000)"},
	}
	list := small
	if a > quantity.GigaBecquerel {
		list = large
	}
	var out []string
	for _, s := range list {
		if v := quantity.Activity(float64(a) * s.factor); v >= 100*quantity.MegaBecquerel && v <= 10*quantity.GigaBecquerel {
			out = append(out, fmt.Sprintf("%s: then %s", s.words, show(v)))
		}
	}
	if len(out) == 0 {
		return ": check the number and its unit"
	}
	return ": a slip of unit? " + strings.Join(out, ", or ")
}

// checkMakeup judges the volume and the fluid. Saline is refused for resin:
// ion exchange frees the nuclide (common practice, no source seen).
func (r *reckoner) checkMakeup(m Makeup) {
	if m.After < r.Policy.MakeupMin || m.After > r.Policy.MakeupMax {
		r.find(MakeupVolume, Warn, m.Entry, "%s holds %s after make-up; the site's limits are %s to %s",
			m.Of, mL(m.After), mL(r.Policy.MakeupMin), mL(r.Policy.MakeupMax))
	}
	switch fluid(m.Diluent) {
	case saline:
		r.find(DiluentRefused, Stop, m.Entry, "%q is refused for resin microspheres: salt frees the nuclide from the resin", m.Diluent)
	case unknownFluid:
		r.find(DiluentUnknown, Warn, m.Entry, "%q is not known here as water for injection or 5 %% glucose: check the package insert", m.Diluent)
	}
}

type fluidKind int

const (
	unknownFluid fluidKind = iota
	water
	saline
)

func fluid(name string) fluidKind {
	n := strings.ToLower(name)
	for _, s := range []string{"saline", "sodium", "nacl", "salt", "ringer", "0.9"} {
		if strings.Contains(n, s) {
			return saline
		}
	}
	for _, s := range []string{"water", "glucose", "dextrose"} {
		if strings.Contains(n, s) {
			return water
		}
	}
	return unknownFluid
}

// checkVial compares the vial with its label, where both are on one scale.
func (r *reckoner) checkVial(v VialResult) {
	if !v.Assayed {
		r.find(VialNotAssayed, Warn, v.Vial.Entry, "%s has not been assayed: its activity is the label's own", v.Vial.ID)
		return
	}
	if v.LabelRatio == 0 {
		r.find(BasisStated, Note, v.Vial.Entry, "%s was read on the %s basis; it is not compared with its label", v.Vial.ID, v.Basis)
		return
	}
	off := math.Abs(v.LabelRatio - 1)
	tol := float64(r.Policy.LabelTolerance)
	if off <= tol {
		return
	}
	s := Warn
	if off > 2*tol {
		s = Stop
	}
	r.find(LabelMismatch, s, v.Vial.Entry, "%s holds %.1f %% of its labelled activity at the reference time (allowed: within %.0f %%)%s",
		v.Vial.ID, 100*v.LabelRatio, 100*tol, r.labelSlip(v.LabelRatio))
}

// labelSlip names the slip of the reference time that explains a ratio to
// within 3 %: 12 h is 12 to 14 %, a day 23 to 30 %.
func (r *reckoner) labelSlip(ratio float64) string {
	for _, h := range []float64{12, 24, 48, 72, 168} {
		for _, sign := range []float64{1, -1} {
			f := math.Exp2(sign * h * 3600 / float64(r.HalfLife.Value))
			if math.Abs(ratio/f-1) < 0.03 {
				return fmt.Sprintf("; a reference time wrong by %.0f h would explain it: check date, am/pm and zone", h)
			}
		}
	}
	return "; check the reference date, time and zone, and the meter's setting"
}

// checkOrder looks at one order's plan and outcome.
func (r *reckoner) checkOrder(o OrderResult, draws []Draw) {
	id, entry := o.Order.ID, o.Order.Entry
	if len(draws) == 0 && o.Plan != nil {
		r.checkPlan(o)
	}
	for _, v := range r.Vials {
		for _, d := range draws {
			if d.From == v.ID && !v.Expiry.IsZero() && o.Order.At.After(v.Expiry) {
				r.find(VialExpired, Stop, d.Entry, "%s expires before order %s is to be infused", v.ID, id)
			}
		}
	}
	for _, d := range draws {
		r.checkYield(d)
	}
	if o.Rough != nil {
		r.find(DrawNotAssayed, Stop, draws[len(draws)-1].Entry,
			"the draw for order %s has not been assayed; by volume it would be about %s: read what it was drawn from", id, show(o.Rough.Activity))
	}
	if d := o.Dispensed; d != nil {
		r.checkDispensed(o, *d, entry)
	}
	if o.Delivered != nil {
		r.checkDelivered(o)
	}
}

func (r *reckoner) checkPlan(o OrderResult) {
	p, id, entry := *o.Plan, o.Order.ID, o.Order.Entry
	have := r.Book.Volume(p.From)
	if p.Draw > have {
		r.find(VialInsufficient, Stop, entry, "order %s needs %s from %s, which holds %s", id, mL(p.Exact), p.From, mL(have))
		return
	}
	if p.Draw > r.Policy.MakeupMax {
		r.find(DrawTooLarge, Warn, entry, "order %s needs %s, more than the %s the syringe may hold after make-up", id, mL(p.Exact), mL(r.Policy.MakeupMax))
	}
	if r.out.At.After(o.Order.At) {
		r.find(DrawLate, Warn, entry, "the infusion time of order %s has passed: confirm the time before drawing", id)
	}
	for _, v := range r.Vials {
		if v.ID == p.From && !v.Expiry.IsZero() && o.Order.At.After(v.Expiry) {
			r.find(VialExpired, Stop, entry, "%s expires before order %s is to be infused", v.ID, id)
		}
	}
	if p.Assayed && p.Readings == 0 {
		r.find(ReadingsCannotReach, Warn, entry,
			"no number of readings up to %d would bring order %s to %.0f %% confidence: the rounded draw or the common factors stand in the way", MostReadings, id, 100*float64(r.Policy.Confidence))
	}
}

// checkYield compares an assayed draw with what its volume would have given:
// more than three standard uncertainties apart is unusual.
func (r *reckoner) checkYield(d Draw) {
	moved, before, _ := r.bal.Moved(d.Entry)
	had := r.Book.VolumeBefore(d.Entry)
	if !r.bal.Assayed(moved) || had <= 0 {
		return
	}
	y, u := r.bal.Activity(moved, d.At)
	b, _ := r.bal.Activity(before, d.At)
	got := float64(y) / (float64(b) * float64(d.Volume/had))
	q := r.Policy.Yield
	if math.Abs(got-q.Value) > 3*math.Hypot(q.U, got*float64(u/y)) {
		r.find(DrawYieldUnusual, Warn, d.Entry,
			"the draw carried %.0f %% of what its volume would have held (expected %.0f %%): settled, badly mixed, or a slipped reading", 100*got, 100*q.Value)
	}
}

func (r *reckoner) checkDispensed(o OrderResult, d Dispensed, entry int) {
	id := o.Order.ID
	said := fmt.Sprintf("order %s: %s at infusion time is %+.1f %% from the wanted %s", id, show(d.Activity), 100*(d.Ratio-1), show(o.Order.Target()))
	switch d.Standing {
	case Beyond:
		r.find(BeyondLimit, Stop, entry, "%s, beyond the legal limit of %.0f %% from the prescribed %s", said, 100*float64(r.Policy.Limit), show(o.Order.Prescribed))
	case Outside:
		r.find(OutsideTolerance, Stop, entry, "%s, outside the tolerance of %.0f %%", said, 100*float64(r.Policy.Tolerance))
	case Unsure:
		r.find(ConfidenceLow, Warn, entry, "%s; the probability of lying inside tolerance is %.1f %%, below %.0f %%: a release needs a reason and a permitted person",
			said, 100*d.Conformance, 100*float64(r.Policy.Confidence))
	}
	if d.Basis != r.Policy.Basis {
		r.find(BasisMismatch, Stop, entry, "order %s is dispensed on the %s basis and prescribed on the %s basis: the two scales differ by 19 to 26 %% for resin spheres", id, d.Basis, r.Policy.Basis)
	}
	r.checkHeldUp(o)
}

// checkHeldUp looks for activity left in a syringe that was emptied into the
// administration vial, if it was read.
func (r *reckoner) checkHeldUp(o OrderResult) {
	for _, k := range r.Book.Containers() {
		if k.Kind != ledger.Syringe || r.Serves[k.ID] != o.Order.ID || k.ID == o.Container {
			continue
		}
		left := r.bal.Now(k.ID)
		if y, _ := r.bal.Activity(left, o.Dispensed.At); r.bal.Assayed(left) && y > o.Dispensed.Activity/50 {
			r.find(HeldUp, Warn, o.Order.Entry, "%s still holds %s after the transfer", k.ID, show(y))
		}
	}
}

// checkDelivered compares what reached the patient with the prescription. The
// limit is inclusive here: 10 CFR 35.3045 speaks of "20 percent or more".
func (r *reckoner) checkDelivered(o OrderResult) {
	d := o.Delivered
	entry := o.Order.Entry
	if res, ok := r.residual(o.Order.ID); ok {
		entry = res.Entry
	}
	off := math.Abs(d.Ratio - 1)
	said := fmt.Sprintf("order %s: delivered %s is %+.1f %% from the prescribed %s", o.Order.ID, show(d.Activity), 100*(d.Ratio-1), show(o.Order.Prescribed))
	switch {
	case r.Policy.Limit > 0 && off >= float64(r.Policy.Limit):
		r.find(DeliveredReportable, Stop, entry, "%s, at or beyond %.0f %%: report clocks may be running; record why the infusion ended", said, 100*float64(r.Policy.Limit))
	case off > float64(r.Policy.Tolerance):
		r.find(DeliveredOutside, Warn, entry, "%s, more than %.0f %%", said, 100*float64(r.Policy.Tolerance))
	}
	if d.How == ledger.ByDoseRate {
		r.find(ResidualUncertain, Note, entry, "the residual of order %s is by dose rate, %.1f %% give or take %.1f %%: spread waste and a point vial are different geometries; a second method is an activity meter on the parts",
			o.Order.ID, 100*d.Fraction, 100*d.FractionU)
	}
}

// checkTotals adds up the orders still to be drawn from each vial.
func (r *reckoner) checkTotals() {
	for _, v := range r.Vials {
		var need quantity.Volume
		var ids []string
		for _, o := range r.out.Orders {
			if o.Plan != nil && o.Plan.From == v.ID && o.Container == "" {
				need += o.Plan.Exact
				ids = append(ids, o.Order.ID)
			}
		}
		if have := r.Book.Volume(v.ID); len(ids) > 1 && need > have {
			r.find(VialInsufficient, Stop, v.Entry, "orders %s together need %s from %s, which holds %s", strings.Join(ids, ", "), mL(need), v.ID, mL(have))
		}
	}
}
