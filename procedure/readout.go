package procedure

import (
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/identity"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// ReadOutTolerance is how far the activity that is read out at a time-out may lie from
// the one printed on the label, as a fraction of that. The label gives it in two
// units of three digits, the second worked out from the first, which rounds by
// 0.5 % at most (1.00 for 1.005). It is no measurement like that of the second
// check, so that its limit would be too wide: two doses of one patient can lie
// closer than that.
const ReadOutTolerance quantity.Fraction = 0.005

// ReadOut says whether what was read out at a time-out is what the record
// holds of the dose. It refuses with [CodeReadOut], naming all that differs: another
// patient, another second identifier, another territory, and an activity that is further
// than [ReadOutTolerance] from what is printed on the labels in force. Readings made since do not make
// a true label false: that they moved the dose is a finding of its own.
func ReadOut(t *fact.TimeOut, prep Preparation, r dispensing.Result) error {
	var differs []string
	for _, c := range otherThanExpected(prep.Expect, t) {
		what := c.What
		if what == "patient" {
			what = "identifier"
		}
		differs = append(differs, what)
	}
	read := slices.ContainsFunc(r.Orders, func(o dispensing.OrderResult) bool {
		return o.Order.ID == prep.Order && labelled(t.Activity.Value, prep.Labels, o, r.HalfLife)
	})
	if !read {
		differs = append(differs, "activity")
	}
	switch n := len(differs); n {
	case 0:
		return nil
	case 1:
		return refuse(CodeReadOut, "the "+differs[0]+" read out is not that of the order", "stop: do not give this dose; find out which of the two is wrong")
	default:
		all := strings.Join(differs[:n-1], ", the ") + " and the " + differs[n-1]
		return refuse(CodeReadOut, "the "+all+" read out are not those of the order", "stop: do not give this dose; find out which is wrong")
	}
}

// otherThanExpected are the comparisons of a time-out that refuse, of patient,
// second identifier and territory. The last two are not compared where neither the
// order nor who read out names one.
func otherThanExpected(expect identity.Item, t *fact.TimeOut) (out []identity.Check) {
	found := identity.Item{Patient: t.Patient, Second: t.SecondID, Territory: t.Territory}
	for _, c := range identity.Match(expect, found) {
		asked := c.What == "patient" || (c.What == identity.SecondIdentifier || c.What == "territory") && c.Expected+c.Found != ""
		if asked && c.Refused() {
			out = append(out, c)
		}
	}
	return out
}

// labelled tells whether an activity is the one on the labels in force; where
// the record does not say what was printed on them, that of the dose, from which
// the label was rounded: twice as far.
func labelled(read quantity.Activity, labels []Printed, o dispensing.OrderResult, halfLife quantity.Span) bool {
	known := false
	for _, l := range labels {
		if l.Void == "" && l.Figures != nil {
			known = true
			if within(read, l.Figures.Activity.Value, ReadOutTolerance) {
				return true
			}
		}
	}
	return !known && o.Dispensed != nil && within(read, planned(o, halfLife), 2*ReadOutTolerance)
}

// planned is the dose at its planned infusion, for which it was checked and
// labelled. Once the dose was given the result is for the start of that, and is
// carried to the plan:
//
//	a(planned) = a(given) · 2^(−(planned − given)/T½)
func planned(o dispensing.OrderResult, halfLife quantity.Span) quantity.Activity {
	d := o.Dispensed
	return d.Activity * quantity.Activity(nuclide.Factor(halfLife, nuclide.Elapsed(d.At, o.Order.At)))
}

// within tells whether a lies within a share of b.
func within(a, b quantity.Activity, share quantity.Fraction) bool {
	return quantity.Within(max(a-b, b-a), quantity.Activity(share)*b)
}
