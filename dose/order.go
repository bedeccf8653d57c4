package dose

import (
	"fmt"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Method is how an activity was prescribed.
type Method string

// The methods.
const (
	SurfaceArea     Method = "surface-area"
	MonoCompartment Method = "mono-compartment"
	Partition       Method = "partition"
	ClosedSystem    Method = "closed-system"
)

// Target is what a dose is given to.
type Target string

// The targets. Perfused is the whole perfused volume, Normal its normal liver,
// WholeNormal all normal liver of the patient, perfused or not.
const (
	Perfused    Target = "perfused volume"
	Tumour      Target = "tumour"
	Normal      Target = "normal liver, perfused"
	WholeNormal Target = "normal liver, whole"
	Lungs       Target = "lungs"
)

// Known is a quantity as written, with its relative standard uncertainty; U is
// 0 where none was stated. The zero Known was not given.
type Known[Q quantity.Kind] struct {
	quantity.Stated[Q]
	U quantity.Fraction
}

// number makes a source of uncertainty of it, in a unit.
func (k Known[Q]) number(name string, unit Q) uncertainty.Number {
	v := float64(k.Value / unit)
	return uncertainty.New(v, v*float64(k.U), name, math.Inf(1))
}

// Ratio is a ratio of two figures of one kind; 0 was not given.
type Ratio struct {
	// Value to 1, with its relative standard uncertainty.
	Value float64
	U     quantity.Fraction
}

// Window is a range of spheres, in millions; 0 where a side is not stated.
type Window struct {
	// Least and Most are in millions of spheres.
	Least, Most float64
}

// Validate refuses a window in which no number lies.
func (w Window) Validate() *Error {
	if w.Most > 0 && w.Least > w.Most {
		return refuse("spheres-most", "out-of-range", "the order wants at most fewer spheres than at least", "check both numbers")
	}
	return nil
}

// Order is what a physician prescribed, and what the check of it rests on. What
// was not stated is the zero value.
type Order struct {
	ID string
	// At is the planned infusion time.
	At     time.Time
	Method Method
	// Activity is prescribed, or Dose to the volume To, or both.
	Activity Known[quantity.Activity]
	Dose     quantity.Stated[quantity.AbsorbedDose]
	To       Target
	Constant Constant
	// HalfLife is for vials and spheres.
	HalfLife nuclide.HalfLife
	// Residual is the share expected to stay in the delivery set.
	Residual quantity.Fraction
	Height   quantity.Stated[quantity.Length]
	Weight   quantity.Stated[quantity.Mass]
	// Volumes for the surface-area method: of the tumour, of the liver with it,
	// and for one lobe of that lobe and of the tumour in it.
	TumourVolume, LiverVolume, LobeVolume, LobeTumourVolume quantity.Stated[quantity.Volume]
	PerfusedMass, TumourMass, NormalMass                    Known[quantity.Mass]
	WholeNormalMass, LungMass                               Known[quantity.Mass]
	// TumourToNormal is r of the partition model, a ratio of concentrations.
	TumourToNormal Ratio
	Shunt          Shunt
	// ClosedRatio is A_T/A_N and TumourLungShare A_L/(A_T + A_L) of the closed
	// system.
	ClosedRatio     Ratio
	TumourLungShare Known[quantity.Fraction]
	// LungBefore is the lung dose of earlier treatments; LungMax, LungTotalMax and
	// NormalMax are the physician's own maxima.
	// ElsewhereMax, outside liver and lungs, is kept and not checked.
	LungBefore, LungMax, LungTotalMax, NormalMax, ElsewhereMax quantity.Stated[quantity.AbsorbedDose]
	// Beside are the other orders of the patient on the same day, and Earlier those of days
	// before: what they give the lungs counts in the limits of these.
	Beside, Earlier []Order
	// Spheres is the window the order states.
	Spheres Window
	Vials   []Vial
	// Delivered is known after the infusion only.
	Delivered Known[quantity.Activity]
}

// Error says why an order cannot be checked. Field is that of the file; Code is
// stable.
type Error struct{ Field, Code, Msg, Hint string }

// Error gives the sentence and the way out.
func (e *Error) Error() string { return e.Field + ": " + e.Msg + "; " + e.Hint }

func refuse(field, code, msg, hint string) *Error { return &Error{field, code, msg, hint} }

// apartMass is how far masses that should add up may be apart, as a share (common
// practice, no source).
const apartMass = 0.05

// Validate refuses an order whose figures cannot belong together, or that lacks
// what its method needs.
func (o Order) Validate() error {
	for _, check := range []func() *Error{o.foreign, o.needs, o.bodily, o.maxima, o.Spheres.Validate, o.adds, o.prescribes} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

// needed are the fields that each method rests on.
func (o Order) needed() map[string]bool {
	switch o.Method {
	case SurfaceArea:
		return map[string]bool{"height": o.Height.Value > 0, "weight": o.Weight.Value > 0, "tumour-volume": !o.TumourVolume.IsZero(), "liver-volume": o.LiverVolume.Value > 0, "lung-shunt": o.Shunt.Given()}
	case MonoCompartment:
		return map[string]bool{"perfused-mass": o.PerfusedMass.Value > 0, "lung-shunt": o.Shunt.Given()}
	case Partition:
		return map[string]bool{"tumour-mass": o.TumourMass.Value > 0, "normal-mass": o.NormalMass.Value > 0, "tumour-to-normal": o.TumourToNormal.Value > 0, "lung-shunt": o.Shunt.Given()}
	case ClosedSystem:
		return map[string]bool{"tumour-mass": o.TumourMass.Value > 0, "closed-system-ratio": o.ClosedRatio.Value > 0, "tumour-lung-share": !o.TumourLungShare.IsZero()}
	}
	return map[string]bool{"method": false}
}

func (o Order) needs() *Error {
	have := o.needed()
	for _, key := range []string{"method", "height", "weight", "tumour-volume", "liver-volume", "perfused-mass", "tumour-mass", "normal-mass", "tumour-to-normal", "closed-system-ratio", "tumour-lung-share", "lung-shunt"} {
		if ok, asked := have[key]; asked && !ok {
			above := ", above 0"
			if key == "lung-shunt" || key == "tumour-volume" || key == "tumour-lung-share" { // of these 0 is a value
				above = ""
			}
			return refuse(key, "field-missing", fmt.Sprintf("the %s method needs %s%s", o.Method, key, above), "write it, or take another method")
		}
	}
	for _, x := range []struct {
		field string
		share quantity.Fraction
	}{{"lung-shunt", o.Shunt.Value}, {"tumour-lung-share", o.TumourLungShare.Value}, {"residual", o.Residual}} {
		if x.share < 0 || x.share >= 1 {
			return refuse(x.field, "out-of-range", "a share of 100 % or more leaves nothing for the liver", "check the number and its unit")
		}
	}
	return nil
}

// bodily refuses what no body has, which a slip of the unit makes: 200 kg of tumour for
// 200 g, and a mass of nothing, which would be taken for one that is not stated. The bounds
// are wide (common practice, no source).
func (o Order) bodily() *Error {
	mass := func(m Known[quantity.Mass]) float64 { return float64(m.Value / quantity.Kilogram) }
	for _, x := range []struct {
		field, text, unit  string
		value, least, most float64
	}{
		{"height", o.Height.Text, "m", float64(o.Height.Value / quantity.Metre), 0.4, 2.8},
		{"weight", o.Weight.Text, "kg", float64(o.Weight.Value / quantity.Kilogram), 2, 500},
		{"perfused-mass", o.PerfusedMass.Text, "kg", mass(o.PerfusedMass), 0.001, 20},
		{"tumour-mass", o.TumourMass.Text, "kg", mass(o.TumourMass), 0.0001, 20},
		{"normal-mass", o.NormalMass.Text, "kg", mass(o.NormalMass), 0.001, 20},
		{"whole-normal-mass", o.WholeNormalMass.Text, "kg", mass(o.WholeNormalMass), 0.01, 20},
		{"lung-mass", o.LungMass.Text, "kg", mass(o.LungMass), 0.05, 5},
		{"liver-volume", o.LiverVolume.Text, "L", float64(o.LiverVolume.Value / quantity.Litre), 0.05, 20},
	} {
		if x.text != "" && (x.value < x.least || x.value > x.most) {
			return refuse(x.field, "out-of-range", fmt.Sprintf("%s is outside %g to %g %s, between which every body lies", x.text, x.least, x.most, x.unit), "check the number and its unit")
		}
	}
	return nil
}

// maxima refuses a maximum of the physician that allows no dose at all.
func (o Order) maxima() *Error {
	for _, x := range []struct {
		field string
		most  quantity.Stated[quantity.AbsorbedDose]
	}{{"lung-max", o.LungMax}, {"lung-total-max", o.LungTotalMax}, {"normal-max", o.NormalMax}} {
		if !x.most.IsZero() && x.most.Value <= 0 {
			return refuse(x.field, "out-of-range", "a maximum of "+x.most.Text+" allows nothing", "leave out a maximum that the order does not state")
		}
	}
	return nil
}

// foreign refuses what another method means by nearly the same word.
func (o Order) foreign() *Error {
	closed := o.Method == ClosedSystem
	switch {
	case closed && o.Shunt.Given():
		return refuse("lung-shunt", "shunt-in-closed-system", "the closed system asks for tumour-lung-share, lungs/(tumour + lungs), and a lung shunt fraction is lungs/(lungs + liver)",
			"write tumour-lung-share, or choose the partition method")
	case closed && o.TumourToNormal.Value > 0:
		return refuse("tumour-to-normal", "ratio-in-closed-system", "the closed system asks for closed-system-ratio, a ratio of two activities, and tumour-to-normal is a ratio of concentrations",
			"write closed-system-ratio, or choose the partition method")
	case o.Method != "" && !closed && (o.ClosedRatio.Value > 0 || !o.TumourLungShare.IsZero()):
		return refuse("method", "closed-system-only", "closed-system-ratio and tumour-lung-share belong to the closed system alone", "write lung-shunt and tumour-to-normal, or choose the closed-system method")
	}
	return nil
}

// adds asks that masses and volumes can be parts of one liver.
func (o Order) adds() *Error {
	t, n, p := o.TumourMass.Value, o.NormalMass.Value, o.PerfusedMass.Value
	switch {
	case t > 0 && n > 0 && p > 0 && math.Abs(float64((t+n)/p)-1) > apartMass:
		return refuse("perfused-mass", "masses-disagree", fmt.Sprintf("tumour %s and normal liver %s are %s together, and the perfused mass is %s", o.TumourMass.Text, o.NormalMass.Text, quantity.FormatDigits(t+n, 3, "kg"), o.PerfusedMass.Text),
			"normal-mass is the perfused normal liver without the tumour: check all three")
	case n > 0 && o.WholeNormalMass.Value > 0 && o.WholeNormalMass.Value < n:
		return refuse("whole-normal-mass", "masses-disagree", "the whole normal liver is less than the perfused part of it", "check both masses")
	case o.LiverVolume.Value > 0 && o.TumourVolume.Value >= o.LiverVolume.Value:
		return refuse("tumour-volume", "masses-disagree", "the tumour is as large as the liver that holds it", "liver-volume is normal liver and tumour together: check both")
	case o.LobeVolume.Value > o.LiverVolume.Value && o.LiverVolume.Value > 0:
		return refuse("lobe-volume", "masses-disagree", "the lobe is larger than the liver", "check both volumes")
	case o.LobeVolume.IsZero() != o.LobeTumourVolume.IsZero():
		return refuse("lobe-volume", "field-missing", "one lobe needs its volume and that of the tumour in it", "write lobe-volume and lobe-tumour-volume")
	case o.LobeTumourVolume.Value > o.LobeVolume.Value:
		return refuse("lobe-tumour-volume", "masses-disagree", "the tumour is larger than the lobe that holds it", "check both volumes")
	}
	return nil
}

func (o Order) prescribes() *Error {
	switch {
	case o.Activity.IsZero() && o.Dose.IsZero():
		return refuse("prescribed", "nothing-prescribed", "neither an activity nor an absorbed dose is prescribed", "write prescribed, or absorbed-dose and to")
	case !o.Activity.IsZero() && o.Activity.Value <= 0 || !o.Dose.IsZero() && o.Dose.Value <= 0:
		return refuse("prescribed", "nothing-prescribed", "what is prescribed is 0", "check the number")
	case o.Dose.IsZero() != (o.To == ""):
		return refuse("to", "dose-without-volume", "an absorbed dose says to which volume it is given", "write absorbed-dose and to together")
	}
	if _, ok := o.perGBq()[o.To]; !o.Dose.IsZero() && !ok {
		return refuse("to", "volume-unknown", fmt.Sprintf("the %s method gives no dose to the %s with what is stated", o.Method, o.To), "choose another volume, or state its mass")
	}
	return nil
}
