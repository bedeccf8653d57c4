package main

import (
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
	p.section("PRESCRIBED")
	p.named("Activity", quantity.Both(r.Activity, r.U)+", "+r.From)
	if len(r.After) > 0 {
		p.named("Delivered", quantity.Both(o.Delivered.Value, o.Delivered.Value*quantity.Activity(o.Delivered.U)))
	}
	for _, l := range append(r.Lines(), r.AfterLines()...) {
		p.named(l.Name, l.Value)
	}
	p.nearby(r, profile)
	p.findings(dispensing.Note, "NOTE")
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
