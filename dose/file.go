package dose

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"vialwright/form"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// MaxBytes is the length a prescription file can have at most.
const MaxBytes = 1 << 16

// Zones loads a time zone by its IANA name.
type Zones func(name string) (*time.Location, error)

// Prescribable are the targets that an absorbed dose can be prescribed to, by the
// word of a file.
var Prescribable = map[string]Target{
	"perfused-volume": Perfused, "tumour": Tumour, "normal-liver": Normal, "whole-normal-liver": WholeNormal,
}

// Read reads a prescription file; docs/prescription.md has its fields. The
// error is a *form.Error, also where the figures cannot belong together.
func Read(data []byte, zones Zones) (Order, error) {
	f, err := form.Open(data, MaxBytes)
	if err != nil {
		return Order{}, err
	}
	f.Word("prescription", form.Must, "1")
	f.Zone(f.ReadZone(zones))
	o := Order{ID: f.Text("id", form.Must), At: f.Time("at", form.Must), HalfLife: HalfLifeIn(f)}
	o.Constant = constant(f, o.HalfLife)
	readPrescribed(f, &o)
	readBody(f, &o)
	readShunt(f, &o)
	readRest(f, &o)
	if err := f.Done(); err != nil {
		return Order{}, err
	}
	var bad *Error
	if err := o.Validate(); errors.As(err, &bad) {
		f.Fail(bad.Field, bad.Code, bad.Msg, bad.Hint, "method")
	}
	return o, f.Done()
}

// known reads a quantity and its relative standard uncertainty, in NAME-u.
func known[Q quantity.Kind](f *form.Fields, key string) Known[Q] {
	return Known[Q]{form.Amount[Q](f, key, form.May), form.Amount[quantity.Fraction](f, key+"-u", form.May).Value}
}

func ratio(f *form.Fields, key string) Ratio {
	return Ratio{f.Count(key, form.May, "to 1"), form.Amount[quantity.Fraction](f, key+"-u", form.May).Value}
}

// HalfLifeIn reads the half-life of Y-90: the evaluated one where the file sets none.
func HalfLifeIn(f *form.Fields) nuclide.HalfLife {
	h := nuclide.Y90.HalfLife()
	if s := form.Amount[quantity.Span](f, "half-life", form.May); !s.IsZero() {
		h = nuclide.HalfLife{Value: s.Value, Source: "set in the file"}
		if err := nuclide.Y90.Vet(h); err != nil {
			f.Fail("half-life", "half-life-far", err.Error(), "leave it out for the evaluated one")
		}
	}
	return h
}

// constant reads a constant of the site's own, such as that of its planning
// program, or works it out.
func constant(f *form.Fields, h nuclide.HalfLife) Constant {
	c := ConstantOf(h, nuclide.Y90.ElectronEnergies()[0])
	s := f.Text("dose-constant", form.May)
	if s == "" {
		return c
	}
	digits, ok := strings.CutSuffix(s, " Gy kg/GBq")
	v, err := strconv.ParseFloat(digits, 64)
	if !ok || err != nil || !(v > 0.98*leastPrinted && v < 1.02*mostPrinted) {
		f.Fail("dose-constant", "constant-far", strconv.Quote(s)+" is no dose constant of Y-90", "write it as 49.67 Gy kg/GBq; those in print lie from 49.38 to 50.04")
		return c
	}
	return Constant{Value: v, U: c.U, Says: "set in the file; the nuclide data in use give " + c.String()}
}

func readPrescribed(f *form.Fields, o *Order) {
	o.Method = Method(f.Word("method", form.Must, string(SurfaceArea), string(MonoCompartment), string(Partition), string(ClosedSystem)))
	o.Activity = known[quantity.Activity](f, "prescribed")
	o.Dose = form.Amount[quantity.AbsorbedDose](f, "absorbed-dose", form.May)
	o.To = Prescribable[f.Word("to", form.May, "perfused-volume", "tumour", "normal-liver", "whole-normal-liver")]
	o.Residual = form.Amount[quantity.Fraction](f, "residual", form.May).Value
}

func readBody(f *form.Fields, o *Order) {
	o.Height = form.Amount[quantity.Length](f, "height", form.May)
	o.Weight = form.Amount[quantity.Mass](f, "weight", form.May)
	o.TumourVolume = form.Amount[quantity.Volume](f, "tumour-volume", form.May)
	o.LiverVolume = form.Amount[quantity.Volume](f, "liver-volume", form.May)
	o.LobeVolume = form.Amount[quantity.Volume](f, "lobe-volume", form.May)
	o.LobeTumourVolume = form.Amount[quantity.Volume](f, "lobe-tumour-volume", form.May)
	o.PerfusedMass = known[quantity.Mass](f, "perfused-mass")
	o.TumourMass = known[quantity.Mass](f, "tumour-mass")
	o.NormalMass = known[quantity.Mass](f, "normal-mass")
	o.WholeNormalMass = known[quantity.Mass](f, "whole-normal-mass")
	o.LungMass = known[quantity.Mass](f, "lung-mass")
	o.TumourToNormal = ratio(f, "tumour-to-normal")
	o.ClosedRatio = ratio(f, "closed-system-ratio")
	o.TumourLungShare = known[quantity.Fraction](f, "tumour-lung-share")
}

// readShunt reads a fraction that was entered, or counts.
func readShunt(f *form.Fields, o *Order) {
	entered := known[quantity.Fraction](f, "lung-shunt")
	method := f.Text("lung-shunt-method", form.May)
	if !entered.IsZero() {
		if method == "" {
			f.Fail("lung-shunt-method", "field-missing", "lung-shunt is entered without saying how it was found", "write lung-shunt-method, such as planar geometric mean")
		}
		o.Shunt = Shunt{Value: entered.Value, U: entered.Value * entered.U, Method: method}
	}
	g := f.Group("lung-shunt-counts", form.May)
	if g == nil {
		return
	}
	if !entered.IsZero() {
		f.Fail("lung-shunt", "two-shunts", "a fraction is entered, and counts as well", "keep one of the two")
	}
	c := Counts{Lungs: view(g, "lungs"), Liver: view(g, "liver")}
	if g.Has("background") {
		b := view(g, "background")
		c.Background = &b
	} else {
		g.Group("background", form.May)
	}
	s, bad := ShuntOf(c)
	if bad != nil {
		g.Fail(bad.Field, bad.Code, bad.Msg, bad.Hint)
	}
	o.Shunt = s
}

func view(g *form.Fields, key string) View {
	v := g.Group(key, form.Must)
	if v == nil {
		return View{}
	}
	return View{v.Count("anterior", form.Must, "counts"), v.Count("posterior", form.Must, "counts"), v.Count("area", form.May, "px")}
}

// WindowIn reads the window of an order. At most none is refused, since it would be read
// as no limit.
func WindowIn(f *form.Fields) Window {
	limited := f.Has("spheres-most")
	w := Window{f.Count("spheres-least", form.May, "million"), f.Count("spheres-most", form.May, "million")}
	if limited && w.Most == 0 {
		f.Fail("spheres-most", "out-of-range", "a limit of nothing allows no dose", "leave it out where there is no limit")
	}
	return w
}

func readRest(f *form.Fields, o *Order) {
	o.LungBefore = form.Amount[quantity.AbsorbedDose](f, "lung-dose-before", form.May)
	o.LungMax = form.Amount[quantity.AbsorbedDose](f, "lung-max", form.May)
	o.LungTotalMax = form.Amount[quantity.AbsorbedDose](f, "lung-total-max", form.May)
	o.NormalMax = form.Amount[quantity.AbsorbedDose](f, "normal-max", form.May)
	o.ElsewhereMax = form.Amount[quantity.AbsorbedDose](f, "elsewhere-max", form.May)
	o.Spheres = WindowIn(f)
	for _, g := range f.Groups("vials", form.May) {
		o.Vials = append(o.Vials, Vial{g.Text("id", form.Must), g.Time("reference", form.Must)})
	}
	o.Delivered = known[quantity.Activity](f, "delivered")
}
