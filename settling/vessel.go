package settling

import (
	"cmp"
	"math"

	"vialwright/quantity"
)

// Section is a frustum of a cone, the building block of a vessel.
type Section struct {
	Height      quantity.Length
	Bottom, Top quantity.Length // inner diameters
}

// Vessel is the inside of a vial that stands upright: sections from the lowest
// point upwards, the last one continued upwards at its top diameter.
type Vessel struct{ Sections []Section }

// Cylinder is a flat-bottomed vial of the given bore.
func Cylinder(bore quantity.Length) Vessel {
	return Vessel{Sections: []Section{{Height: 10, Bottom: bore, Top: bore}}}
}

// VBottom is a vial of the given bore over a cone that ends in a point.
func VBottom(bore, cone quantity.Length) Vessel {
	return Vessel{Sections: []Section{{Height: cone, Top: bore}, {Height: 10, Bottom: bore, Top: bore}}}
}

func (v Vessel) check() error {
	if len(v.Sections) == 0 {
		return &Error{"Vessel.Sections", "no vessel is given", "use Cylinder or VBottom"}
	}
	for i, s := range v.Sections {
		lowest := 1.0
		if i == 0 {
			lowest = 0 // a vessel may end in a point
		}
		if err := cmp.Or(
			bound("Vessel.Sections.Height", s.Height, 0.1, 1000, "mm", "give the inner height"),
			bound("Vessel.Sections.Bottom", s.Bottom, lowest, 200, "mm", "give the inner diameter"),
			bound("Vessel.Sections.Top", s.Top, 1, 200, "mm", "give the inner diameter"),
		); err != nil {
			return err
		}
	}
	return nil
}

// Width is the inner diameter at a height above the lowest point.
func (v Vessel) Width(z quantity.Length) quantity.Length {
	for _, c := range v.Sections {
		if z <= c.Height {
			return c.Bottom + (c.Top-c.Bottom)*z/c.Height
		}
		z -= c.Height
	}
	return v.Sections[len(v.Sections)-1].Top
}

// Below is the volume under a height: a frustum of each section, the last one cut there.
func (v Vessel) Below(z quantity.Length) quantity.Volume {
	sum := 0.0
	for _, c := range v.Sections {
		top := math.Min(float64(z), float64(c.Height))
		a := float64(c.Bottom) / 2
		b := a + (float64(c.Top)/2-a)*top/float64(c.Height)
		sum += math.Pi / 3 * top * (a*a + a*b + b*b)
		if z -= c.Height; z <= 0 {
			return quantity.Volume(sum / 1000)
		}
	}
	return quantity.Volume((sum + float64(z)*v.area(math.Inf(1))) / 1000)
}

// Level is the height up to which a volume fills the vessel: it inverts Below.
func (v Vessel) Level(volume quantity.Volume) quantity.Length {
	if volume <= 0 {
		return 0
	}
	below := func(z float64) float64 { return float64(v.Below(quantity.Length(z))) }
	lo, hi := 0.0, 1.0
	for ; below(hi) < float64(volume); hi *= 2 {
		lo = hi
	}
	return quantity.Length(newton(lo, hi, (lo+hi)/2, 1e-13, func(z float64) (miss, slope float64) {
		return below(z) - float64(volume), v.area(z) / 1000
	}))
}

// area is the horizontal cross-section in mm2 at height z.
func (v Vessel) area(z float64) float64 {
	r := float64(v.Width(quantity.Length(z))) / 2
	return math.Pi * r * r
}

// shape is a vessel with a given volume of liquid in it; lengths in mm.
type shape struct {
	Vessel
	volume float64 // mm3
	level  float64 // height of the liquid's surface
}

func (v Vessel) fill(volume quantity.Volume) shape {
	return shape{v, 1000 * float64(volume), float64(v.Level(volume))}
}

// below is the volume in mm3 under height z.
func (s *shape) below(z float64) float64 { return 1000 * float64(s.Below(quantity.Length(z))) }

// height is that of a volume in mm3.
func (s *shape) height(volume float64) float64 {
	return float64(s.Level(quantity.Volume(volume / 1000)))
}
