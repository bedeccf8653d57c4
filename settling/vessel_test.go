package settling

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// Levels that follow from solid geometry alone.
func TestLevelsFromGeometry(t *testing.T) {
	for _, row := range []struct {
		name   string
		vessel Vessel
		volume quantity.Volume
		level  float64
	}{
		{"cylinder, V/(pi r^2)", Cylinder(18), 5, 5000 / (math.Pi * 81)},
		// A cone of 12 mm bore and 9 mm height holds pi 36 9/3 = 339.29 mm3.
		{"full cone", VBottom(12, 9), 0.33929200658769764, 9},
		{"half-filled cone, h/2 holds an eighth", VBottom(12, 9), 0.33929200658769764 / 8, 4.5},
		{"cone and cylinder", VBottom(12, 9), 0.33929200658769764 + 0.36*math.Pi, 19},
		// Frustum 10 to 14 mm over 12 mm: pi 12/3 (25 + 35 + 49).
		{"tapered", Tapered(10, 14, 12), math.Pi * 4 * 109 / 1000, 12},
	} {
		s := row.vessel.fill(row.volume)
		near(t, row.name, s.level, row.level, 1e-9)
	}
}

func drawVessel(t *rapid.T) Vessel {
	switch rapid.IntRange(0, 2).Draw(t, "vessel") {
	case 0:
		return Cylinder(quantity.Length(rapid.Float64Range(8, 30).Draw(t, "bore")))
	case 1:
		return Tapered(quantity.Length(rapid.Float64Range(2, 20).Draw(t, "bottom")),
			quantity.Length(rapid.Float64Range(8, 30).Draw(t, "top")), quantity.Length(rapid.Float64Range(3, 60).Draw(t, "height")))
	default:
		return VBottom(quantity.Length(rapid.Float64Range(8, 30).Draw(t, "bore")), quantity.Length(rapid.Float64Range(3, 30).Draw(t, "cone")))
	}
}

// height inverts below, and area is the slope of below.
func TestHeightInvertsVolume(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawVessel(t).fill(quantity.Volume(rapid.Float64Range(0.5, 10).Draw(t, "mL")))
		v := s.volume * rapid.Float64Range(0.001, 0.999).Draw(t, "part")
		z := s.height(v)
		if got := s.below(z); abs(got-v) > 1e-9*s.volume {
			t.Fatalf("below(height(%v)) = %v", v, got)
		}
		d := 1e-6 * s.level
		if slope := (s.below(z+d) - s.below(z-d)) / (2 * d); abs(slope-s.area(z)) > 1e-4*s.area(z)+1e-3 {
			t.Fatalf("area %v, slope of volume %v", s.area(z), slope)
		}
	})
}
