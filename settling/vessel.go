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
		return &Error{CodeMissing, "Vessel.Sections", "no vessel is given", "use Cylinder or VBottom"}
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

// shape is a vessel with a given volume of liquid in it; lengths in mm.
type shape struct {
	sections []Section
	volume   float64 // mm3
	level    float64 // height of the liquid's surface
}

func (v Vessel) fill(volume quantity.Volume) shape {
	s := shape{sections: v.Sections, volume: 1000 * float64(volume)}
	s.level = s.height(s.volume)
	return s
}

// area is the horizontal cross-section in mm2 at height z.
func (s *shape) area(z float64) float64 {
	for _, c := range s.sections {
		if h := float64(c.Height); z <= h {
			r := (float64(c.Bottom) + (float64(c.Top)-float64(c.Bottom))*z/h) / 2
			return math.Pi * r * r
		}
		z -= float64(c.Height)
	}
	r := float64(s.sections[len(s.sections)-1].Top) / 2
	return math.Pi * r * r
}

// below is the volume in mm3 under height z.
func (s *shape) below(z float64) float64 {
	sum := 0.0
	for _, c := range s.sections {
		h := float64(c.Height)
		top := math.Min(z, h)
		a := float64(c.Bottom) / 2
		b := a + (float64(c.Top)/2-a)*top/h
		sum += math.Pi / 3 * top * (a*a + a*b + b*b) // frustum
		if z -= h; z <= 0 {
			return sum
		}
	}
	return sum + z*s.area(math.Inf(1))
}

// height inverts below by Newton steps kept inside a bracket.
func (s *shape) height(volume float64) float64 {
	if volume <= 0 {
		return 0
	}
	lo, hi := 0.0, 1.0
	for ; s.below(hi) < volume; hi *= 2 {
		lo = hi
	}
	z := (lo + hi) / 2
	for range 100 {
		miss := s.below(z) - volume
		if miss > 0 {
			hi = z
		} else {
			lo = z
		}
		next := z - miss/s.area(z)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-z) < 1e-13*hi {
			return next
		}
		z = next
	}
	return z
}
