package fold

import (
	"errors"

	"vialwright/dose"
	"vialwright/fact"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// known puts a quantity and its relative uncertainty together.
func known[Q quantity.Kind](q quantity.Stated[Q], u quantity.Stated[quantity.Fraction]) dose.Known[Q] {
	return dose.Known[Q]{Stated: q, U: u.Value}
}

// dosimetry is what a prescription rests on, checked for what cannot belong
// together; nil where the order does not say. One that wants a number of spheres and
// says nothing else has no method.
func (f *folder) dosimetry(s *step, x *fact.Order) (*dose.Order, *fact.Refusal) {
	d := x.Dosimetry
	none, spheres := quantity.Stated[quantity.Fraction]{}, dose.Window{Least: x.SpheresLeast.Value, Most: x.SpheresMost.Value}
	if bad := spheres.Validate(); bad != nil { // of an order without dosimetry too
		return nil, s.refuse(bad.Field, bad.Code, bad.Hint, "%s", bad.Msg)
	}
	switch {
	case d == nil && spheres == dose.Window{}:
		return nil, nil
	case d == nil:
		return &dose.Order{ID: x.ID, At: x.At, HalfLife: f.out.HalfLife, Activity: known(x.Prescribed, none), Spheres: spheres}, nil
	}
	o := &dose.Order{
		ID: x.ID, At: x.At, Method: dose.Method(d.Method), HalfLife: f.out.HalfLife,
		Constant: dose.ConstantOf(f.out.HalfLife, nuclide.Y90.ElectronEnergies()[0]),
		Activity: known(x.Prescribed, d.PrescribedU), Dose: d.AbsorbedDose, To: dose.Prescribable[string(d.To)],
		Height: d.Height, Weight: d.Weight,
		TumourVolume: d.TumourVolume, LiverVolume: d.LiverVolume, LobeVolume: d.LobeVolume, LobeTumourVolume: d.LobeTumourVolume,
		PerfusedMass: known(d.PerfusedMass, d.PerfusedMassU), TumourMass: known(d.TumourMass, d.TumourMassU), NormalMass: known(d.NormalMass, d.NormalMassU),
		WholeNormalMass: known(d.WholeNormalMass, none), LungMass: known(d.Lungs, none),
		TumourToNormal:  dose.Ratio{Value: d.TumourToNormal.Value, U: d.TumourToNormalU.Value},
		ClosedRatio:     dose.Ratio{Value: d.ClosedRatio.Value, U: d.ClosedRatioU.Value},
		TumourLungShare: known(d.TumourLungShare, d.TumourLungShareU),
		LungBefore:      d.LungBefore, LungMax: d.LungMax, LungTotalMax: d.LungTotalMax, NormalMax: d.NormalMax, ElsewhereMax: d.ElsewhereMax,
		Spheres: spheres,
	}
	switch {
	case d.ShuntCounts != nil && !d.Shunt.IsZero():
		return nil, s.refuse("dosimetry.lung-shunt", "two-shunts", "keep one of the two", "a lung shunt fraction is entered, and counts as well")
	case d.ShuntCounts != nil:
		c := dose.Counts{Lungs: view(d.ShuntCounts.Lungs), Liver: view(d.ShuntCounts.Liver)}
		if b := d.ShuntCounts.Background; b != nil {
			back := view(b)
			c.Background = &back
		}
		var bad *dose.Error
		if o.Shunt, bad = dose.ShuntOf(c); bad != nil {
			return nil, s.refuse("dosimetry.lung-shunt-counts."+bad.Field, bad.Code, bad.Hint, "%s", bad.Msg)
		}
	case !d.Shunt.IsZero():
		if d.ShuntMethod == "" {
			return nil, s.refuse("dosimetry.lung-shunt-method", "field-missing", "write how it was found, such as planar geometric mean", "a lung shunt fraction of %s does not say how it was found", d.Shunt.Text)
		}
		o.Shunt = dose.Shunt{Value: d.Shunt.Value, U: d.Shunt.Value * d.ShuntU.Value, Method: d.ShuntMethod}
	}
	var bad *dose.Error
	if err := o.Validate(); errors.As(err, &bad) {
		return nil, s.refuse("dosimetry."+bad.Field, bad.Code, bad.Hint, "%s", bad.Msg)
	}
	return o, nil
}

func view(c *fact.Counts) dose.View {
	return dose.View{Anterior: c.Anterior.Value, Posterior: c.Posterior.Value, Pixels: c.Area.Value}
}

// saysOf is a yes or a no, nil where nobody wrote which.
func saysOf(c fact.Clause) *bool {
	if c == "" {
		return nil
	}
	says := c == fact.Says
	return &says
}
