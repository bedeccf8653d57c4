package picture

import "math"

// Lengths in mm, volumes in mL (1 mL = 1000 mm³).

// frustum is a piece of the inside of a vial: its height, and its radius at
// the bottom and at the top.
type frustum struct{ height, bottom, top float64 }

// vial is the shape of one, from the inside floor upwards.
type vial struct {
	inside []frustum
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
		inside: []frustum{{1.5, 9.3, 10.8}, {25, 10.8, 10.8}, {5, 10.8, 5.5}, {4, 5.5, 5.5}},
		brim:   32, foot: 1.6, outer: 12,
		shoulder: 26.5, neck: 31.5, throat: 6.8,
		lip: 33.5, top: 38.5, cap: 9,
	}
	pointed = vial{
		inside: []frustum{{7, 1.2, 9.2}, {20.5, 9.2, 9.2}, {4.5, 9.2, 5.5}, {4, 5.5, 5.5}},
		brim:   32.5, foot: 1.6, outer: 10.4,
		shoulder: 27.5, neck: 32, throat: 6.8,
		lip: 33.5, top: 38.5, cap: 9,
	}
)

// vialHeight is from under the foot to the top of the cap of a vial.
const vialHeight = 38.5 + 1.6

func (v vial) radius(z float64) float64 {
	for _, f := range v.inside {
		if z <= f.height {
			return f.bottom + (f.top-f.bottom)*z/f.height
		}
		z -= f.height
	}
	return v.inside[len(v.inside)-1].top
}

// below is the volume under a height:
//
//	V = Σ πh/3·(a² + ab + b²) over the frustums, the last one cut at z
func (v vial) below(z float64) float64 {
	sum := 0.0
	for _, f := range v.inside {
		h := math.Min(z, f.height)
		if h <= 0 {
			break
		}
		a, b := f.bottom, f.bottom+(f.top-f.bottom)*h/f.height
		sum += math.Pi * h / 3 * (a*a + a*b + b*b)
		z -= f.height
	}
	return sum / 1000
}

// level is the height of a volume, the brim at most. below rises with z, so
// halving finds it; 50 halvings of 32 mm leave less than 1e-13 mm.
func (v vial) level(volume float64) float64 {
	if volume <= 0 {
		return 0
	}
	if volume >= v.below(v.brim) {
		return v.brim
	}
	low, high := 0.0, v.brim
	for range 50 {
		if mid := (low + high) / 2; v.below(mid) < volume {
			low = mid
		} else {
			high = mid
		}
	}
	return high
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
