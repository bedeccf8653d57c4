package fold

import (
	"cmp"
	"strconv"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/settling"
)

// Where the inputs of the model come from that nobody gave.
const (
	measure = "an assumption, no source: measure yours"
	noted   = "published tables of resin spheres"
)

// clockSettings takes what the site set for the clock, and assumes the rest.
func (f *folder) clockSettings(p *fact.Policy) *fact.Refusal {
	x := cmp.Or(p.Settling, &fact.Settling{})
	out := dispensing.Settling{Model: settling.Default(), PerSphere: x.SphereActivity.Value}
	m := &out.Model
	take := func(name string, given bool, value, source string, set func()) {
		if given {
			set()
			return
		}
		out.Assumed = append(out.Assumed, dispensing.Assumed{Setting: name, Value: value, Source: source})
	}
	bore := quantity.Length(18)
	take("bore", !x.Bore.IsZero(), "18 mm", measure, func() { bore = x.Bore.Value })
	take("tip", !x.Tip.IsZero(), "5 mm", measure, func() { m.Tip = x.Tip.Value })
	take("draw-time", !x.DrawTime.IsZero(), "10 s", measure, func() { m.Draw.Span = x.DrawTime.Value })
	take("within", !x.Within.IsZero(), "5 %", usual, func() { m.Tolerance = x.Within.Value })
	take("temperature", !x.Temperature.IsZero(), "20 C", usual, func() { m.Temperature = x.Temperature.Value })
	take("spheres", x.Spheres.Text != "" || !x.SphereActivity.IsZero(), "60000000", noted, func() {
		if x.Spheres.Text != "" {
			m.Count = x.Spheres.Value
		}
	})
	take("diameter", !x.Diameter.IsZero(), "32.5 um", noted, func() { m.Sizes.Mean = x.Diameter.Value })
	take("diameter-sd", !x.DiameterSD.IsZero(), "5 um", measure, func() { m.Sizes.SD = x.DiameterSD.Value })
	take("density", x.Density.Text != "", "1.6 g/cm3", noted, func() { m.Density = settling.Density(x.Density.Value) })
	m.Vessel = settling.Cylinder(bore)
	if !x.Cone.IsZero() {
		m.Vessel = settling.VBottom(bore, x.Cone.Value)
	}
	f.out.Settling = out
	if p.Settling == nil {
		return nil
	}
	return checkSettling(x, m)
}

// checkSettling refuses, in this order, both a number of spheres and the activity of
// one, a sphere without activity, a diameter that no batch has, and what the model cannot be asked. The draw
// is left aside: it is that of a vial at hand.
func checkSettling(x *fact.Settling, m *settling.Case) *fact.Refusal {
	at := func(field, code, msg, hint string) *fact.Refusal {
		return fact.AtTop("policy.settling."+field, code, msg, hint)
	}
	switch {
	case x.Spheres.Text != "" && !x.SphereActivity.IsZero():
		return at("sphere-activity", "both-given", "the number of spheres and the activity of one sphere are both given", "give one of the two; the other follows from it")
	case !x.SphereActivity.IsZero() && x.SphereActivity.Value < leastSphere:
		return at("sphere-activity", "out-of-range", x.SphereActivity.Text+" is no activity of a sphere", "some tens of Bq are usual")
	case !x.Diameter.IsZero() && (m.Sizes.Mean <= m.Sizes.Min || m.Sizes.Mean >= m.Sizes.Max):
		return at("diameter", "out-of-range", x.Diameter.Text+" does not lie between 20 um and 60 um", "give the mean by number")
	}
	asked := *m
	asked.Draw.Volume = 0
	if err := settling.Check(asked); err != nil {
		e, _ := err.(*settling.Error) // the package gives no other error
		return at(settlingField(e.Input), "out-of-range", e.Msg, e.Hint)
	}
	return nil
}

// leastSphere is far below what a sphere of any batch carries.
const leastSphere = 1e-3 * quantity.Becquerel

// settlingField is the field that an input of the model was given in; the bore stands for the vessel.
func settlingField(input string) string {
	if strings.HasPrefix(input, "Sizes") {
		return "diameter"
	}
	known := map[string]string{"Temperature": "temperature", "Count": "spheres", "Density": "density", "Tolerance": "within", "Tip": "tip", "Draw.Span": "draw-time"}
	return cmp.Or(known[input], "bore")
}

// clockSaid refuses what a clock cannot have said of a draw: a share of the
// mixed concentration without the time of the last resuspension, or of nothing.
func clockSaid(x *fact.Draw, s *step) *fact.Refusal {
	switch {
	case x.Agitated.IsZero() && (!x.Trusted.IsZero() || !x.OfMixed.IsZero()):
		return s.refuse("agitated", "agitated-missing", "write agitated: and when it was last resuspended, or leave trusted: and of-mixed: out",
			"the settling clock is quoted without the time of resuspension")
	case x.Trusted.Value > quantity.Day:
		return s.refuse("trusted", "out-of-range", "check the number and its unit", "no vial stays mixed for %s", x.Trusted.Text)
	case x.OfMixed.Value > mostOfMixed:
		return s.refuse("of-mixed", "out-of-range", "check the number; 100 % is the mixed concentration",
			"%s is more than a packed bed holds", strconv.Quote(x.OfMixed.Text))
	}
	return nil
}

// mostOfMixed: a thin suspension of one part in ten thousand, packed.
const mostOfMixed quantity.Fraction = 1e4
