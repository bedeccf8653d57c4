package picture

import (
	"math"

	"vialwright/quantity"
	"vialwright/settling"
)

// Lengths in mm, volumes in mL (1 mL = 1000 mm³).

// vial is the shape of one, from the inside floor upwards.
type vial struct {
	inside settling.Vessel
	// brim is the height of the lower face of the stopper.
	brim float64
	// foot is the thickness of the floor; outer the radius of the body.
	foot, outer float64
	// shoulder and neck are where the body ends and the neck begins; throat is
	// the radius of the neck outside.
	shoulder, neck, throat float64
	// The cap spans lip to top, with its radius.
	lip, top, cap float64
}

// The vials, of proportions of our own.
var (
	shipping = vial{
		inside: stack(frustum{1.5, 18.6, 21.6}, frustum{25, 21.6, 21.6}, frustum{5, 21.6, 11}, frustum{4, 11, 11}),
		brim:   32, foot: 1.6, outer: 12,
		shoulder: 26.5, neck: 31.5, throat: 6.8,
		lip: 33.5, top: 38.5, cap: 9,
	}
	pointed = vial{
		inside: stack(frustum{7, 2.4, 18.4}, frustum{20.5, 18.4, 18.4}, frustum{4.5, 18.4, 11}, frustum{4, 11, 11}),
		brim:   32.5, foot: 1.6, outer: 10.4,
		shoulder: 27.5, neck: 32, throat: 6.8,
		lip: 33.5, top: 38.5, cap: 9,
	}
)

// vialHeight is from under the foot to the top of the cap of a vial.
const vialHeight = 38.5 + 1.6

// frustum is the height of a piece of the inside, and its diameters at the bottom and at the top.
type frustum [3]quantity.Length

func stack(pieces ...frustum) (inside settling.Vessel) {
	for _, f := range pieces {
		inside.Sections = append(inside.Sections, settling.Section{Height: f[0], Bottom: f[1], Top: f[2]})
	}
	return inside
}

func (v vial) radius(z float64) float64 { return float64(v.inside.Width(quantity.Length(z))) / 2 }

func (v vial) below(z float64) float64 { return float64(v.inside.Below(quantity.Length(z))) }

// level is the height of a volume, the brim at most.
func (v vial) level(volume float64) float64 {
	return math.Min(v.brim, float64(v.inside.Level(quantity.Volume(volume))))
}

// The syringe lies with its nozzle to the left; lengths run from the front end
// of the barrel's inside.
const (
	bore         = 12.5
	barrelWall   = 1.0
	nozzleLength = 8.0
	nozzleRadius = 2.2
	flangeAt     = 49.0
	flangeWidth  = 2.2
	flangeRadius = 8.8
	stopper      = 6.0  // length of the plunger's stopper
	rodLength    = 49.0 // from stopper to thumb rest
	rodRadius    = 3.2
	restWidth    = 2.2
	restRadius   = 7.5
	// nominal is the end of the printed scale; the plunger can go a little
	// further before the stopper leaves the barrel.
	nominal = 5.0
	most    = 5.25
)

// along is how far a volume reaches along the barrel:
//
//	x = V/(π d²/4)
func along(volume float64) float64 {
	return math.Min(volume, most) * 1000 / (math.Pi * bore * bore / 4)
}
