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
	Bore     quantity.Stated[quantity.Length] `may:"bore" label:"Inner diameter of the shipping vial"`
	Cone     quantity.Stated[quantity.Length] `may:"cone" label:"Height of the pointed floor"`
	Tip      quantity.Stated[quantity.Length] `may:"tip" label:"Needle tip above the lowest point"`
	DrawTime quantity.Stated[quantity.Span]   `may:"draw-time" label:"How long a draw takes"`
	// Within is how far the mean of a draw may depart from the mixed
	// concentration.
	Within      quantity.Stated[quantity.Fraction]    `may:"within" label:"How far a draw may depart from the mixed vial"`
	Temperature quantity.Stated[quantity.Temperature] `may:"temperature" label:"Temperature of the suspension"`
	// Spheres is the number of spheres in a vial as it comes; instead of it,
	// SphereActivity is the activity of one at the reference time of the label.
	Spheres        Number                             `may:"spheres" label:"Number of spheres in a vial as received"`
	SphereActivity quantity.Stated[quantity.Activity] `may:"sphere-activity" label:"Activity of one sphere at the reference time"`
	// Diameter and DiameterSD are the mean by number and the standard
	// deviation.
	Diameter   quantity.Stated[quantity.Length] `may:"diameter" label:"Mean diameter of the spheres"`
	DiameterSD quantity.Stated[quantity.Length] `may:"diameter-sd" label:"Standard deviation of the diameters"`
	Density    Density                          `may:"density" label:"Density of the spheres"`
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
