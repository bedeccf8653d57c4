package dose

import (
	"fmt"
	"math"

	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// targets in the order in which they are shown.
var targets = []Target{Tumour, Perfused, Normal, WholeNormal, Lungs}

// conventionalLungs is the mass of both lungs with their blood where the order
// states none: a convention of the trade, from memory.
const conventionalLungs = 1 * quantity.Kilogram

// perGBq gives the mean dose of each target that the method can tell, in Gy for
// each GBq prescribed.
func (o Order) perGBq() map[Target]uncertainty.Number {
	out := map[Target]uncertainty.Number{}
	kg := func(m Known[quantity.Mass], name string) uncertainty.Number { return m.number(name, quantity.Kilogram) }
	into := o.Constant.number().Scale(1 - float64(o.Residual))
	lungs := o.LungMass
	if lungs.IsZero() {
		lungs.Value = conventionalLungs
	}
	// gives a share of the activity to a mass.
	give := func(to Target, share uncertainty.Number, m Known[quantity.Mass]) {
		if m.Value > 0 {
			out[to] = into.Mul(share).Div(kg(m, "mass of "+string(to)))
		}
	}
	if o.Method == ClosedSystem {
		r := uncertainty.New(o.ClosedRatio.Value, o.ClosedRatio.Value*float64(o.ClosedRatio.U), "closed-system ratio", math.Inf(1))
		s := o.TumourLungShare.number("tumour-lung share", 1)
		one := uncertainty.Exact(1)
		lung := s.Div(one.Sub(s)) // A_L/A_T
		tumour := one.Div(one.Add(one.Div(r)).Add(lung))
		give(Tumour, tumour, o.TumourMass)
		give(Normal, tumour.Div(r), o.NormalMass)
		give(Lungs, tumour.Mul(lung), lungs)
		return out
	}
	l := o.Shunt.number()
	liver := uncertainty.Exact(1).Sub(l)
	give(Lungs, l, lungs)
	if o.Method != Partition {
		give(Perfused, liver, o.PerfusedMass)
		return out
	}
	r := uncertainty.New(o.TumourToNormal.Value, o.TumourToNormal.Value*float64(o.TumourToNormal.U), "tumour-to-normal ratio", math.Inf(1))
	mt, mn := kg(o.TumourMass, "mass of "+string(Tumour)), kg(o.NormalMass, "mass of "+string(Normal))
	// The masses cancel in part: written so that they are taken once.
	out[Normal] = into.Mul(liver).Div(r.Mul(mt).Add(mn))
	out[Tumour] = out[Normal].Mul(r)
	if m := o.WholeNormalMass; m.Value > 0 {
		out[WholeNormal] = out[Normal].Mul(mn).Div(kg(m, "mass of "+string(WholeNormal)))
	}
	return out
}

// Dose is the mean absorbed dose of one target.
type Dose struct {
	Of Target
	// Dose and its standard uncertainty; Budget says what the latter is made of.
	Dose, U quantity.AbsorbedDose
	Budget  []uncertainty.Contribution
}

// String writes the dose, with two significant figures where nobody stated an
// uncertainty: "105 ± 16 Gy", "about 35 Gy".
func (d Dose) String() string { return show(d.Dose, d.U, len(d.Budget)) }

func show(d, u quantity.AbsorbedDose, sources int) string {
	if sources < 2 { // the constant alone
		return "about " + quantity.FormatDigits(d, 2, "Gy")
	}
	return quantity.Show(d, u).String()
}

// doses are those that an activity gives.
func (o Order) doses(a uncertainty.Number) []Dose {
	var out []Dose
	per := o.perGBq()
	for _, t := range targets {
		if p, ok := per[t]; ok {
			d := p.Mul(a)
			out = append(out, Dose{t, quantity.AbsorbedDose(d.Value()), quantity.AbsorbedDose(d.U()), d.Budget()})
		}
	}
	return out
}

// unstated names the figures of the order without a stated uncertainty.
func (o Order) unstated() []string {
	var out []string
	add := func(name string, given bool, u quantity.Fraction) {
		if given && u == 0 {
			out = append(out, name)
		}
	}
	add("prescribed", !o.Activity.IsZero(), o.Activity.U)
	add("lung-shunt", o.Shunt.Given(), o.Shunt.U)
	add("tumour-to-normal", o.TumourToNormal.Value > 0, o.TumourToNormal.U)
	add("closed-system-ratio", o.ClosedRatio.Value > 0, o.ClosedRatio.U)
	add("tumour-lung-share", !o.TumourLungShare.IsZero(), o.TumourLungShare.U)
	add("tumour-mass", !o.TumourMass.IsZero(), o.TumourMass.U)
	add("normal-mass", !o.NormalMass.IsZero(), o.NormalMass.U)
	add("perfused-mass", !o.PerfusedMass.IsZero(), o.PerfusedMass.U)
	add("whole-normal-mass", !o.WholeNormalMass.IsZero(), o.WholeNormalMass.U)
	add("lung-mass", !o.LungMass.IsZero(), o.LungMass.U)
	add("delivered", !o.Delivered.IsZero(), o.Delivered.U)
	return out
}

// SurfaceOf is the body surface in square metres (Du Bois and Du Bois, 1916), in
// the form of the published activity formula.
func SurfaceOf(height quantity.Length, weight quantity.Mass) float64 {
	return 0.20247 * math.Pow(float64(height/quantity.Metre), 0.725) * math.Pow(float64(weight/quantity.Kilogram), 0.425)
}

// Formula is the activity that the surface-area method gives.
type Formula struct {
	// Surface is in square metres.
	Surface float64
	// Unreduced is without, Activity with the published Reduction for the shunt:
	// Reduction 0.2 takes a fifth away, 1 everything.
	Unreduced, Activity quantity.Activity
	Reduction           quantity.Fraction
	// Lobar tells that it is for one lobe; of the two readings of "lobar" in use
	// it is this one: tumour share of the lobe, times the lobe's share of the liver.
	Lobar bool
}

// reduction is one step of the published reductions.
type reduction struct{ over, by quantity.Fraction }

// reductions for resin and the surface-area method: "if the shunt fraction
// exceeds 10 %, 15 % or 20 %" (thesis of C. van Roekel, p. 41). Exactly 10 %
// does not exceed 10 %; a site may read it otherwise.
var reductions = []reduction{{0.10, 0.20}, {0.15, 0.40}, {0.20, 1}}

const reductionSource = "published reductions of 20 %, 40 % and 100 % where the shunt fraction exceeds 10 %, 15 % and 20 % (thesis of C. van Roekel, p. 41)"

// formula is the surface-area method; nil for another method.
func (o Order) formula() *Formula {
	if o.Method != SurfaceArea {
		return nil
	}
	f := &Formula{Surface: SurfaceOf(o.Height.Value, o.Weight.Value)}
	whole := float64(o.LiverVolume.Value)
	a := f.Surface - 0.2 + float64(o.TumourVolume.Value)/whole
	if v := float64(o.LobeVolume.Value); v > 0 {
		f.Lobar = true
		a = (f.Surface - 0.2 + float64(o.LobeTumourVolume.Value)/v) * v / whole
	}
	f.Unreduced = quantity.Activity(a) * quantity.GigaBecquerel
	for _, r := range reductions {
		if o.Shunt.Value > r.over+1e-12 {
			f.Reduction = r.by
		}
	}
	f.Activity = f.Unreduced * quantity.Activity(1-f.Reduction)
	return f
}

// String says what the formula gives.
func (f Formula) String() string {
	s := quantity.Both(f.Unreduced, 0)
	if f.Lobar {
		s += " for the lobe (tumour share of the lobe, times the lobe's share of the liver; common practice, no source)"
	}
	if f.Reduction > 0 {
		s += fmt.Sprintf(", less %.0f %% for the lung shunt: %s", 100*f.Reduction, quantity.Both(f.Activity, 0))
	}
	return s
}

// Constant is the mean dose that one gigabecquerel gives to one kilogram in
// which it decays away.
type Constant struct {
	// Value is in Gy kg/GBq, U its standard uncertainty.
	Value, U float64
	// Says names what it was worked out from.
	Says string
}

// The constants in print for Y-90, in Gy kg/GBq: from (64.041 h, 0.9267 MeV) to
// (64.2 h, 0.9367 MeV). 49.67 and 50 are both in use.
const leastPrinted, mostPrinted = 49.38, 50.04

// ConstantOf works the constant out (MIRD):
//
//	K = 1e9 · T/ln 2 · E   with T in s and E in J
//
// Its uncertainty is that of the values in print, a rectangle (JCGM 100:2008,
// 4.3.7): the evaluations disagree by more than each says of itself.
func ConstantOf(h nuclide.HalfLife, e nuclide.MeanEnergy) Constant {
	k := 1e9 * float64(h.Value) / math.Ln2 * e.Value.Joules()
	return Constant{k, k * (mostPrinted/leastPrinted - 1) / math.Sqrt(12), fmt.Sprintf("half-life %s, %s; mean energy %.4g keV per decay, %s",
		quantity.FormatDigits(h.Value, 6, "h"), h.Source, float64(e.Value), e.Source)}
}

// DefaultConstant is that of the nuclide data in use.
func DefaultConstant() Constant {
	return ConstantOf(nuclide.Y90.HalfLife(), nuclide.Y90.ElectronEnergies()[0])
}

// String gives the constant with what it was worked out from.
func (c Constant) String() string { return fmt.Sprintf("%.2f Gy kg/GBq (%s)", c.Value, c.Says) }

func (c Constant) number() uncertainty.Number {
	return uncertainty.New(c.Value, c.U, "dose constant", math.Inf(1))
}
