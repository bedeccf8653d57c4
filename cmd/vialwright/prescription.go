package main

import (
	"strings"

	"vialwright/dispensing"
	"vialwright/dose"
	"vialwright/quantity"
	"vialwright/rules"
)

// prescriptionCmd checks what a physician prescribed.
type prescriptionCmd struct {
	File string `arg:"" help:"The prescription file, YAML or JSON; - reads standard input."`
	JSON bool   `name:"json" help:"Print the answer as JSON, numbers unrounded."`
	// Rules is for the release of the patient.
	Rules string `placeholder:"PROFILE" help:"Hold what people near the patient get against this rule profile, us or another, or the path of a file."`
}

func (prescriptionCmd) Help() string {
	return `Checks a prescription by the published formulas: mean absorbed doses with their uncertainty, the activity by body surface area, the largest activity that each limit allows, and spheres. It is a check of what is prescribed, never a plan: the physician decides.

  vialwright prescription examples/prescription.yaml

docs/prescription.md has the fields of the file.`
}

func (c *prescriptionCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, dose.MaxBytes)
	if err != nil {
		return err
	}
	o, err := dose.Read(data, loadZone)
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	r, err := dose.Check(o)
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	profile, err := e.rules(c.Rules)
	if err != nil {
		return err
	}
	stopped := (dispensing.Result{Findings: found(r.Findings)}).Stopped()
	return e.answer(c.JSON, prescriptionOf(r), o.At.Location(), func(p *page) { p.checked(r, profile) }, stopped)
}

// found are the findings of a check as those of a case.
func found(all []dose.Finding) []dispensing.Finding {
	out := make([]dispensing.Finding, len(all))
	for i, f := range all {
		out[i] = dispensing.Finding{Code: dispensing.Code(f.Code), Severity: dispensing.Severity(f.Severity), Text: f.Text}
	}
	return out
}

func (p *page) checked(r dose.Result, profile *rules.Profile) {
	o := r.Order
	p.r.Findings = found(r.Findings)
	p.line("CHECK OF A PRESCRIPTION, never a plan: order %s, infusion %s", o.ID, p.time(o.At))
	p.findings(dispensing.Stop, "STOP")
	p.findings(dispensing.Warn, "WARNING")
	p.section("PRESCRIBED, by the " + string(o.Method) + " method")
	p.row("activity", "%s, %s", quantity.Both(r.Activity, r.U), r.From)
	if !o.Dose.IsZero() {
		p.row("absorbed dose", "%s to the %s", o.Dose.Text, o.To)
		p.row("asks for", "%s", quantity.Both(r.ForDose, r.ForDoseU))
	}
	if f := r.Formula; f != nil {
		p.row("by surface area", "%s; body surface %.2f m2 (Du Bois, 1916)", f, f.Surface)
	}
	if o.Shunt.Given() {
		p.row("lung shunt", "%s (%s)", quantity.Show(o.Shunt.Value, o.Shunt.U), o.Shunt.Method)
	}
	p.doses("MEAN ABSORBED DOSE of that activity", r.Doses)
	p.limits(r)
	p.spheres(r)
	if len(r.After) > 0 {
		p.doses("AFTER THE INFUSION of "+quantity.Both(o.Delivered.Value, o.Delivered.Value*quantity.Activity(o.Delivered.U)), r.After)
		p.row("", "%s", dose.AfterLabel)
	}
	p.nearby(r, profile)
	p.findings(dispensing.Note, "NOTE")
	p.section("RECKONED WITH")
	p.row("dose constant", "%s", o.Constant)
	if len(r.Unstated) > 0 {
		p.row("no uncertainty", "stated of %s: the ± is too small by theirs", strings.Join(r.Unstated, ", "))
	}
	for _, a := range r.Assumed {
		p.row("assumed", "%s", a)
	}
	p.closing()
}

// nearby is what others get, held against a profile where one is named, the stricter
// limit last; what the profile does not limit is said.
func (p *page) nearby(r dose.Result, profile *rules.Profile) {
	p.section("NEAR THE PATIENT, until all has decayed")
	var limits []rules.Value
	var silent []string
	if profile != nil {
		release := profile.On(r.Order.At)
		for _, k := range []rules.Key{rules.ReleaseLimit, rules.ReleaseInstructions} {
			if v, ok, why := release.Get(k); ok {
				limits = append(limits, v)
			} else {
				silent = append(silent, why)
			}
		}
	}
	for _, c := range r.Contacts {
		p.row(quantity.FormatDigits(c.Dose, 2, "mSv"), "%s", c.Who)
		for _, v := range limits {
			if v.Reached(float64(c.Dose)) {
				p.row("", "%s: %s; %s", v.Bound(), v.Key.Says(), v.Source())
			}
		}
	}
	for _, v := range limits {
		p.row("held against", "%s; %s", v.Bound(), v.Source())
	}
	for _, why := range silent {
		p.row("no limit", "%s", why)
	}
	p.row("", "%s", dose.NearbyFrom)
	u := dose.UrineOf(r.Given())
	show := func(a quantity.Activity) string { return quantity.FormatDigits(a, 2, "kBq") }
	p.row("urine, 48 h", "about %s in a litre on the first day (%s to %s), %s on the second; %s", show(u.First), show(u.Least), show(u.Most), show(u.Second), dose.UrineFrom)
}

func (p *page) doses(title string, doses []dose.Dose) {
	p.section(title)
	for _, d := range doses {
		p.row(d.String(), "%s", d.Of)
	}
}

// prescription are the rows of an order that says what it rests on.
func (p *page) prescription(o dispensing.OrderResult) {
	d := o.Dose
	if d == nil {
		return
	}
	p.row("check", "of the prescription by the %s method, never a plan: mean dose %s", d.Order.Method, doseWords(d.Doses))
	for _, l := range d.Limits {
		if l.Binding {
			p.row("", "%s at %s would be %s (%s)", l.What, quantity.FormatDigits(l.Max, 3, "Gy"), quantity.Both(l.Activity, 0), l.Source)
		}
	}
	if len(d.After) > 0 {
		p.row("", "of what was delivered: %s (%s)", doseWords(d.After), dose.AfterLabel)
	}
	for _, s := range d.Assumed {
		p.row("", "assumed: %s", s)
	}
}

func doseWords(doses []dose.Dose) string {
	words := make([]string, len(doses))
	for i, x := range doses {
		words[i] = x.String() + " to the " + string(x.Of)
	}
	return strings.Join(words, ", ")
}

func (p *page) limits(r dose.Result) {
	p.section("LIMITS, and the most activity that keeps each")
	for _, l := range r.Limits {
		binding := ""
		if l.Binding {
			binding = "; this one binds"
		}
		p.row(quantity.Show(l.Activity, 0).String(), "%s at %s (%s)%s", l.What, quantity.FormatDigits(l.Max, 3, "Gy"), l.Source, binding)
	}
	if len(r.Windows) == 0 {
		return
	}
	p.section("PUBLISHED WINDOWS; the physician decides")
	for _, w := range r.Windows {
		p.row("", "%s", w)
	}
	p.row("", "%s", dose.WindowSource)
}

func (p *page) spheres(r dose.Result) {
	if len(r.Spheres) == 0 {
		return
	}
	p.section("SPHERES at infusion time")
	for _, s := range r.Spheres {
		p.row(s.Vial.ID, "%s, at %s each", s.Spheres, quantity.FormatDigits(s.Each, 2, "Bq"))
	}
	if w := r.Order.Spheres; w != (dose.Window{}) {
		p.row("ordered", "%s", w)
	}
	p.row("", "%s", dose.SphereBasis)
}

// prescriptionOf is the answer of `prescription --json`: numbers unrounded.
func prescriptionOf(r dose.Result) object {
	o := r.Order
	absorbed := func(d dose.Dose) object { return object{{"of", d.Of}, {"dose_Gy", d.Dose}, {"u_Gy", d.U}} }
	formula := object{}
	if f := r.Formula; f != nil {
		formula = object{{"surface_m2", f.Surface}, {"unreduced_MBq", f.Unreduced.MBq()}, {"reduction", f.Reduction}, {"activity_MBq", f.Activity.MBq()}}
	}
	return object{
		{"order", o.ID},
		{"method", o.Method},
		{"dose_constant_Gy_kg_per_GBq", o.Constant.Value},
		{"dose_constant_from", o.Constant.Says},
		{"activity_MBq", r.Activity.MBq()},
		{"u_MBq", r.U.MBq()},
		{"activity_from", r.From},
		{"activity_for_absorbed_dose_MBq", ifAny(r.ForDose.MBq())},
		{"surface_area", figure(r.Formula != nil, false, formula)},
		{"lung_shunt", ifAny(o.Shunt.Value)},
		{"lung_shunt_u", ifAny(o.Shunt.U)},
		{"doses", each(r.Doses, absorbed)},
		{"doses_after_infusion", ifSome(each(r.After, absorbed))},
		{"doses_after_infusion_are", figure(len(r.After) > 0, false, dose.AfterLabel)},
		{"limits", each(r.Limits, func(l dose.Limit) object {
			return object{
				{"what", l.What},
				{"max_Gy", l.Max},
				{"source", l.Source},
				{"largest_activity_MBq", l.Activity.MBq()},
				{"dose_Gy", l.Dose},
				{"probability_beyond", l.Beyond},
				{"binding", l.Binding},
			}
		})},
		{"published_windows", ifSome(each(r.Windows, func(p dose.Printed) object { return object{{"text", p.String()}, {"inside", p.Inside}} }))},
		{"spheres", ifSome(each(r.Spheres, func(s dose.Ordered) object {
			return object{
				{"vial", s.Vial.ID},
				{"each_Bq", s.Each},
				{"nominal_million", s.Spheres.Millions},
				{"least_million", s.Spheres.Least},
				{"most_million", s.Spheres.Most},
			}
		}))},
		{"near_the_patient", each(r.Contacts, func(c dose.Contact) object { return object{{"who", c.Who}, {"dose_uSv", c.Dose}} })},
		{"uncertainty_not_stated", ifSome(r.Unstated)},
		{"assumed", ifSome(r.Assumed)},
		{"findings", each(r.Findings, func(f dose.Finding) object {
			return object{{"code", f.Code}, {"severity", f.Severity}, {"text", f.Text}}
		})},
	}
}
