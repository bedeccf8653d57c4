package dose

import (
	"fmt"
	"math"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Code names a finding for ever.
type Code string

// The findings of a check.
const (
	PrescriptionDiffers Code = "prescription-differs"
	TwoFigures          Code = "two-figures"
	LungLimit           Code = "lung-limit"
	NormalLimit         Code = "normal-limit"
	ShuntReduction      Code = "shunt-reduction"
	Boundary            Code = "boundary"
	SphereWindow        Code = "sphere-window"
)

// Severity is "stop", "warn" or "note".
type Severity string

// The severities.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

// Finding is something a person should know.
type Finding struct {
	Code     Code
	Severity Severity
	Text     string
}

// Ordered is the spheres of the activity from one vial at the infusion time.
type Ordered struct {
	Vial    Vial
	Each    quantity.Activity
	Spheres Spheres
}

// Result is the check of a prescription.
type Result struct {
	Order Order
	// Activity is the one checked, From says where it comes from.
	Activity, U quantity.Activity
	From        string
	Doses       []Dose
	Formula     *Formula
	// ForDose is the activity that the prescribed absorbed dose asks for; 0 where
	// none is prescribed.
	ForDose quantity.Activity
	Limits  []Limit
	Windows []Printed
	Spheres []Ordered
	// After are the doses of what was delivered, which AfterLabel always goes with.
	After    []Dose
	Contacts []Contact
	// Unstated names the figures without a stated uncertainty, Assumed what
	// nobody stated at all and a value was taken for.
	Unstated, Assumed []string
	Findings          []Finding
}

// AfterLabel says what the doses after the infusion are.
const AfterLabel = "mean, by the planning masses; not an image-based dose"

// Check checks a prescription. The error is an [*Error].
func Check(o Order) (Result, error) {
	if err := o.Validate(); err != nil {
		return Result{}, err
	}
	r := Result{Order: o, Formula: o.formula(), Unstated: o.unstated()}
	per := o.perGBq()
	a := o.Activity.number("activity", quantity.GigaBecquerel)
	r.From = "prescribed"
	if p, ok := per[o.To]; ok && !o.Dose.IsZero() {
		want := uncertainty.Exact(float64(o.Dose.Value)).Div(p)
		r.ForDose, _ = gigabecquerel(want)
		if o.Activity.IsZero() {
			// The activity that is made up is this one; what is uncertain of the
			// dose is in the dose.
			a, r.From = uncertainty.Exact(want.Value()), "worked out from the prescribed absorbed dose"
		}
	}
	r.Activity, r.U = gigabecquerel(a)
	r.Doses, r.Limits = o.doses(a), o.limits(a)
	r.Windows = o.windows(r.Doses)
	r.Spheres = r.spheres()
	if !o.Delivered.IsZero() {
		gone := o
		gone.Residual = 0 // what was delivered has left the delivery set
		r.After = gone.doses(o.Delivered.number("delivered activity", quantity.GigaBecquerel))
	}
	r.Contacts = Contacts(r.Given(), o.HalfLife.Value)
	if o.LungMass.IsZero() {
		r.Assumed = append(r.Assumed, "lung-mass 1 kg (both lungs with their blood: a convention, from memory)")
	}
	switch {
	case !o.LungBefore.IsZero():
	case o.LungTotalMax.IsZero():
		r.Assumed = append(r.Assumed, "no lung dose of earlier treatments is stated, so no total is checked")
	default:
		r.Assumed = append(r.Assumed, "no lung dose of earlier treatments is stated, so the total is that of this treatment alone")
	}
	if !o.ElsewhereMax.IsZero() {
		r.Assumed = append(r.Assumed, "the maximum elsewhere of "+o.ElsewhereMax.Text+" is not checked: no planning mass says what goes there")
	}
	r.find()
	return r, nil
}

// CheckSpheres holds the spheres of an order against its window alone. It is for an
// order that does not say what its activity rests on, so that no dose follows.
func CheckSpheres(o Order) Result {
	r := Result{Order: o, Activity: o.Activity.Value, From: "prescribed"}
	r.Spheres = r.spheres()
	for _, s := range r.Spheres {
		r.findSpheres(s)
	}
	return r
}

// spheres are those of the order from each vial, at the infusion.
func (r *Result) spheres() (all []Ordered) {
	o := r.Order
	for _, v := range o.Vials {
		all = append(all, Ordered{v, PerSphere(o.HalfLife.Value, v.Reference, o.At), SpheresIn(r.Activity, o.HalfLife.Value, v.Reference, o.At)})
	}
	return all
}

// Given is the activity that the patient carries: what was delivered, or before
// that what is prescribed.
func (r Result) Given() quantity.Activity {
	if !r.Order.Delivered.IsZero() {
		return r.Order.Delivered.Value
	}
	return r.Activity
}

func gigabecquerel(n uncertainty.Number) (a, u quantity.Activity) {
	return quantity.Activity(n.Value()) * quantity.GigaBecquerel, quantity.Activity(n.U()) * quantity.GigaBecquerel
}

// How far two activities may be apart before it is asked about, and from where
// it is a stop, as factors (common practice, no source: published constants lie
// 1.3 % apart, and a factor of 1.8 is beyond what a physician takes off on
// purpose).
const (
	askApart  = 1.10
	stopApart = 1.8
)

func apart(a, b quantity.Activity) quantity.Fraction {
	if a <= 0 || b <= 0 {
		return quantity.Fraction(math.Inf(1))
	}
	return quantity.Fraction(max(a/b, b/a))
}

func (r *Result) add(c Code, s Severity, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{c, s, fmt.Sprintf(format, args...)})
}

func (r *Result) find() {
	o := r.Order
	if r.ForDose > 0 && !o.Activity.IsZero() && quantity.Beyond(apart(r.Activity, r.ForDose), askApart) {
		r.add(TwoFigures, Stop, "the order says %s and %s to the %s, which by %s is %s: %.1f times that; ask the physician which of the two is meant, and for a revised order",
			o.Activity.Text, o.Dose.Text, o.To, o.Method, quantity.Both(r.ForDose, 0), float64(r.Activity/r.ForDose))
	}
	r.findFormula()
	for _, l := range r.Limits {
		r.findLimit(l)
	}
	if _, told := o.perGBq()[Normal]; !told && !o.NormalMax.IsZero() {
		r.add(NormalLimit, Warn, "normal liver: the maximum of %s (%s) is not checked, since the %s method gives no dose of normal liver; the physician decides", o.NormalMax.Text, ownSource, o.Method)
	}
	for _, s := range r.Spheres {
		r.findSpheres(s)
	}
}

// findFormula compares with the surface-area method and speaks of its steps.
func (r *Result) findFormula() {
	f, o := r.Formula, r.Order
	if f == nil {
		return
	}
	if x := apart(r.Activity, f.Activity); quantity.Beyond(x, askApart) {
		s := Warn
		if quantity.Beyond(x, stopApart) {
			s = Stop
		}
		r.add(PrescriptionDiffers, s, "%s is prescribed, and by body surface area it would be %s: ask the physician whether that is meant", quantity.Both(r.Activity, 0), f)
	}
	if f.Reduction > 0 {
		s := Warn
		if f.Reduction == 1 {
			s = Stop
		}
		r.add(ShuntReduction, s, "the lung shunt fraction is %s: %s; the physician decides", quantity.Show(o.Shunt.Value, o.Shunt.U), reductionSource)
	}
	for _, step := range reductions {
		off := math.Abs(float64(o.Shunt.Value - step.over))
		if off > 2*float64(o.Shunt.U) && off > 0.0005 {
			continue
		}
		side := "not above"
		if o.Shunt.Value > step.over+1e-12 {
			side = "above"
		}
		r.add(Boundary, Warn, "the lung shunt fraction %s lies at the step of %.0f %%, and was taken as %s it, since the published word is \"exceeds\"; beyond the step %.0f %% is taken off: the physician decides which side it is on",
			quantity.Show(o.Shunt.Value, o.Shunt.U), 100*float64(step.over), side, 100*float64(step.by))
	}
}

// askBeyond is the probability of being beyond a limit from which it is said.
const askBeyond = 0.05

func (r *Result) findLimit(l Limit) {
	code := LungLimit
	if l.Of != Lungs {
		code = NormalLimit
	}
	d, before := show(l.Dose, l.U, l.sources), ""
	if l.Before > 0 {
		before = ", " + quantity.FormatDigits(l.Before, 2, "Gy") + " of it before"
	}
	allowed := "it allows nothing more"
	if l.Activity > 0 {
		allowed = "it allows at most " + quantity.AtMost(l.Activity)
	}
	allowed += "; ask the physician whether that is meant"
	switch {
	case quantity.Beyond(l.Dose, l.Max):
		s := Warn
		if l.Own {
			s = Stop
		}
		over := float64(l.Dose/l.Max) - 1
		r.add(code, s, "%s: %s%s is more than %s (%s), by %.*f %%; %s", l.What, d, before, l.max(), l.Source, quantity.Decimals(over, 0, 0), 100*over, allowed)
	case l.Beyond > askBeyond:
		r.add(code, Warn, "%s: %s%s is close to %s (%s): the probability of being beyond it is %.0f %%; %s", l.What, d, before, l.max(), l.Source, 100*float64(l.Beyond), allowed)
	}
}

func (r *Result) findSpheres(s Ordered) {
	w := r.Order.Spheres
	if w == (Window{}) {
		return
	}
	switch nominal, all := w.within(s.Spheres); {
	case !nominal:
		r.add(SphereWindow, Warn, "%s from %s at infusion time is %s, and the order wants %s: another vial, or another time, or the physician's word", quantity.Both(r.Activity, 0), s.Vial.ID, s.Spheres, w)
	case !all:
		r.add(SphereWindow, Note, "%s from %s at infusion time is %s; the order wants %s, which the published spread reaches beyond", quantity.Both(r.Activity, 0), s.Vial.ID, s.Spheres, w)
	}
}
