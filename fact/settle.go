package fact

import (
	"strings"

	"vialwright/quantity"
)

// Settling is what a site has measured or decided for the clock that tells how
// a vial settles; any field may be absent.
type Settling struct {
	// Bore is the inner diameter of the shipping vial, Cone the height of a
	// pointed floor, absent for a flat one, Tip the height of the needle tip
	// above the lowest point.
	Bore, Cone, Tip quantity.Stated[quantity.Length]
	// DrawTime is how long a draw takes, from the first drop to the last.
	DrawTime quantity.Stated[quantity.Span]
	// Within is how far the mean of a draw may depart from the mixed
	// concentration.
	Within      quantity.Stated[quantity.Fraction]
	Temperature quantity.Stated[quantity.Temperature]
	// Spheres is the number of spheres in a vial as it comes; instead of it,
	// SphereActivity is the activity of one at the reference time of the label.
	Spheres        Number
	SphereActivity quantity.Stated[quantity.Activity]
	// Diameter and DiameterSD are the mean by number and the standard
	// deviation.
	Diameter, DiameterSD quantity.Stated[quantity.Length]
	Density              Density
}

func (s *Settling) fields(f []Slot) []Slot {
	return append(f,
		Slot{"bore", may, amount(&s.Bore), "Inner diameter of the shipping vial"},
		Slot{"cone", may, amount(&s.Cone), "Height of the pointed floor"},
		Slot{"tip", may, amount(&s.Tip), "Needle tip above the lowest point"},
		Slot{"draw-time", may, amount(&s.DrawTime), "How long a draw takes"},
		Slot{"within", may, amount(&s.Within), "How far a draw may depart from the mixed vial"},
		Slot{"temperature", may, amount(&s.Temperature), "Temperature of the suspension"},
		Slot{"spheres", may, number{&s.Spheres}, "Number of spheres in a vial as received"},
		Slot{"sphere-activity", may, amount(&s.SphereActivity), "Activity of one sphere at the reference time"},
		Slot{"diameter", may, amount(&s.Diameter), "Mean diameter of the spheres"},
		Slot{"diameter-sd", may, amount(&s.DiameterSD), "Standard deviation of the diameters"},
		Slot{"density", may, density{&s.Density}, "Density of the spheres"},
	)
}

// Density is a density as it was written: a plain decimal number and the unit.
type Density struct {
	Value float64 // g/cm3
	Text  string
}

const perCm3 = " g/cm3"

type density struct{ p *Density }

func (d density) Given() bool { return d.p.Text != "" }
func (density) Want() string  { return "a density such as 1.6 g/cm3" }

func (d density) Read(text string, _ How) *Refusal {
	digits, unit := strings.CutSuffix(text, perCm3)
	n := new(Number)
	if !unit || (number{n}).Read(digits, How{}) != nil {
		return &Refusal{Code: "bad-density", Msg: Quote(text) + " is no density", Hint: "write one like 1.6 g/cm3"}
	}
	*d.p = Density{n.Value, text}
	return nil
}

func (d density) Write() (string, *Refusal) {
	back := new(Density)
	if p := (density{back}).Read(d.p.Text, How{}); p != nil {
		return "", p
	}
	if *back != *d.p {
		return "", &Refusal{Code: "inconsistent", Msg: Quote(d.p.Text) + " and its value disagree", Hint: "make it from its text"}
	}
	return d.p.Text, nil
}
