package settling

import (
	"cmp"
	"math"

	"vialwright/quantity"
)

// Orientation says how gravity meets the vessel.
type Orientation int

// Orientations. A vial stands Upright; the others are for a syringe.
const (
	Upright    Orientation = iota
	NeedleUp               // outlet at the top of the liquid
	NeedleDown             // outlet at the lowest point
	Horizontal             // barrel lying on its side, full of liquid
)

// Section is a frustum of a cone, the building block of a vessel.
type Section struct {
	Height      quantity.Length
	Bottom, Top quantity.Length // inner diameters
}

// Vessel is the inside of a vial or a syringe: sections from the lowest point
// upwards, the last one continued upwards at its top diameter. A Horizontal
// vessel has one section, its barrel; it lies full, so the liquid volume sets
// the length filled.
type Vessel struct {
	Sections    []Section
	Orientation Orientation
}

// Cylinder is a flat-bottomed vial of the given bore.
func Cylinder(bore quantity.Length) Vessel {
	return Vessel{Sections: []Section{{Height: 10, Bottom: bore, Top: bore}}}
}

// VBottom is a vial of the given bore over a cone that ends in a point.
func VBottom(bore, cone quantity.Length) Vessel {
	return Vessel{Sections: []Section{{Height: cone, Top: bore}, {Height: 10, Bottom: bore, Top: bore}}}
}

func (v Vessel) check() error {
	if err := cmp.Or(
		when(len(v.Sections) == 0, CodeMissing, "Vessel.Sections", "no vessel is given", "use Cylinder or VBottom"),
		when(v.Orientation < Upright || v.Orientation > Horizontal, CodeDomain, "Vessel.Orientation", "no such orientation", "use Upright, NeedleUp, NeedleDown or Horizontal"),
	); err != nil {
		return err
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
	return when(v.Orientation != Upright && (len(v.Sections) != 1 || v.Sections[0].Bottom != v.Sections[0].Top),
		CodeConflict, "Vessel.Orientation", "only a plain cylinder can be turned", "use Cylinder")
}

// shape is a vessel with a given volume of liquid in it; lengths in mm.
type shape struct {
	sections []Section
	radius   float64 // of a lying barrel; 0 for all others
	length   float64 // of a lying barrel
	volume   float64 // mm3
	level    float64 // height of the liquid's surface
}

func (v Vessel) fill(volume quantity.Volume) shape {
	s := shape{sections: v.Sections, volume: 1000 * float64(volume)}
	if v.Orientation == Horizontal {
		s.radius = float64(v.Sections[0].Top) / 2
		s.length = s.volume / (math.Pi * s.radius * s.radius)
		s.level = 2 * s.radius
		return s
	}
	s.level = s.height(s.volume)
	return s
}

// area is the horizontal cross-section in mm2 at height z.
func (s *shape) area(z float64) float64 {
	if s.radius > 0 { // a chord of the barrel times its length
		z = math.Min(math.Max(z, 0), 2*s.radius)
		return 2 * s.length * math.Sqrt(z*(2*s.radius-z))
	}
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
	if s.radius > 0 { // circular segment times length
		r := s.radius
		z = math.Min(math.Max(z, 0), 2*r)
		return s.length * (r*r*math.Acos((r-z)/r) - (r-z)*math.Sqrt(z*(2*r-z)))
	}
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
	lo, hi := 0.0, 2*s.radius
	if volume <= 0 {
		return 0
	}
	if s.radius == 0 {
		for hi = 1; s.below(hi) < volume; hi *= 2 {
			lo = hi
		}
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
