package meter

import (
	"math"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Transfer is one run of a geometry test, all read by one meter.
type Transfer struct {
	// Before and After are readings of the container of reference geometry that
	// the activity came from. After.Net is 0 where nothing stayed, or where the
	// activity is the same and only its container or volume changed.
	Before, After Reading
	// In is the reading in the geometry tested.
	In Reading
}

// Factor is a geometry factor s_g: what the meter reads in the geometry over what
// it reads of the same activity in the reference geometry.
type Factor struct {
	// Value and its standard uncertainty U.
	Value, U quantity.Fraction
	// Each is the factor of every run.
	Each []quantity.Fraction
}

// Geometry gives the factor from one run or more, with the larger of two uncertainties:
// from the repeatability of the readings and from the scatter of the runs (JCGM 100:2008
// G.3.2). Errors: too-few without a run, nothing-moved, and those of Constancy.
func Geometry(runs []Transfer, h nuclide.HalfLife) (Factor, error) {
	if len(runs) == 0 {
		return Factor{}, refuse("too-few", "A geometry test needs a run.", "Move a known activity and read both containers.")
	}
	var f Factor
	var values, each []float64
	for _, run := range runs {
		s, u, err := run.factor(h)
		if err != nil {
			return Factor{}, err
		}
		values, each = append(values, s), append(each, u)
		f.Each = append(f.Each, quantity.Fraction(s))
	}
	mean, u := average(values, each)
	if !finite(mean) || !finite(u) {
		return Factor{}, refuse("bad-reading", "The runs give no finite factor.", "Check units and times.")
	}
	f.Value, f.U = quantity.Fraction(mean), quantity.Fraction(u)
	return f, nil
}

// factor gives s_g of one run and its standard uncertainty:
//
//	s = I/(B - A)   u(s)^2 = s^2 (u_I^2 + (B^2 u_B^2 + A^2 u_A^2)/(B - A)^2)
//
// with B and A taken to the time of I (JCGM 100:2008 5.1.2).
func (t Transfer) factor(h nuclide.HalfLife) (s, u float64, err error) {
	if err := checkReadings(h, t.Before, t.In); err != nil {
		return 0, 0, err
	}
	b, err := h.Carry(t.Before.Net, t.Before.At, t.In.At)
	if err != nil {
		return 0, 0, err
	}
	var a quantity.Activity
	if t.After.Net != 0 {
		if err := t.After.check(); err != nil {
			return 0, 0, err
		}
		if a, err = h.Carry(t.After.Net, t.After.At, t.In.At); err != nil {
			return 0, 0, err
		}
	}
	moved := float64(b - a)
	s = float64(t.In.Net) / moved
	if !(moved > 0) || !finite(s) {
		return 0, 0, refuse("nothing-moved", "No activity left the first container between the two readings of it.", "Check which reading is which, and their times.")
	}
	read := root(quantity.Fraction(float64(b)*float64(t.Before.U)/moved), quantity.Fraction(float64(a)*float64(t.After.U)/moved))
	return s, s * math.Hypot(float64(t.In.U), read), nil
}
