package dose

import (
	"fmt"
	"strings"

	"vialwright/quantity"
)

// Line is one thing that a check says: what it is of, and the words.
type Line struct{ Name, Value string }

// CheckTitle says what the lines of a check are.
const CheckTitle = "Check of the prescription, never a plan"

// Lines are the check as it is shown and printed, without what was delivered: the
// method, the doses, the limits with the one that binds, the published windows, the
// spheres, and what it was worked out with.
func (r Result) Lines() (out []Line) {
	add := func(name, value string) { out = append(out, Line{name, value}) }
	o := r.Order
	add("Method", strings.ReplaceAll(string(o.Method), "-", " "))
	if r.ForDose > 0 && !o.Activity.IsZero() {
		add("Prescribed dose", o.Dose.Text+" to the "+string(o.To)+", which asks for "+quantity.Both(r.ForDose, 0))
	}
	if r.Formula != nil {
		add("By surface area", fmt.Sprintf("%s; body surface %.2f m2 (Du Bois, 1916)", r.Formula, r.Formula.Surface))
	}
	if o.Shunt.Given() {
		add("Lung shunt", quantity.Show(o.Shunt.Value, o.Shunt.U).String()+" ("+o.Shunt.Method+")")
	}
	for _, x := range r.Doses {
		add("Mean dose, "+string(x.Of), x.String())
	}
	for _, l := range r.Limits {
		binds := ""
		if l.Binding {
			binds = "; this one binds"
		}
		add("Upper limit for "+l.What, quantity.AtMost(l.Activity)+", at "+l.max()+" ("+l.Source+")"+binds)
	}
	for _, w := range r.Windows {
		add("Published window", w.String())
	}
	if len(r.Windows) > 0 {
		add("Source of the windows", WindowSource+"; the physician decides")
	}
	for _, s := range r.Spheres {
		add("Spheres from "+s.Vial.ID, s.Spheres.String()+", at "+quantity.FormatDigits(s.Each, 2, "Bq")+" each")
	}
	if o.Spheres != (Window{}) {
		add("Spheres ordered", o.Spheres.String())
	}
	if len(r.Spheres) > 0 {
		add("Basis of the spheres", SphereBasis)
	}
	add("Dose constant", o.Constant.String())
	if len(r.Unstated) > 0 {
		add("No uncertainty stated of", strings.Join(r.Unstated, ", "))
	}
	for _, s := range r.Assumed {
		add("Assumed", s)
	}
	return out
}

// AfterLines are the doses of what was delivered, each with what they are.
func (r Result) AfterLines() (out []Line) {
	for _, x := range r.After {
		out = append(out, Line{"After the infusion, " + string(x.Of), x.String() + "; " + AfterLabel})
	}
	return out
}
