package fold_test

import (
	"math"
	"testing"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/quantity"
	"vialwright/settling"
)

// TestSettlingIsTakenOver: what the site sets reaches the model, and nothing
// that is set is said to be assumed.
func TestSettlingIsTakenOver(t *testing.T) {
	c := facttest.Fold(t, facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts)
	m := c.Settling.Model
	const um = quantity.Micrometre
	near(t, "bore", float64(m.Vessel.Sections[1].Top), 18.2, 1e-12)
	near(t, "cone", float64(m.Vessel.Sections[0].Height), 2, 1e-12)
	near(t, "tip", float64(m.Tip), 4.5, 1e-12)
	near(t, "draw time", float64(m.Draw.Span), 12, 1e-12)
	near(t, "within", float64(m.Tolerance), 0.05, 1e-12)
	near(t, "temperature", float64(m.Temperature), 21.5, 1e-12)
	near(t, "spheres", m.Count, 55e6, 1e-12)
	near(t, "diameter", float64(m.Sizes.Mean/um), 32, 1e-12)
	near(t, "density", float64(m.Density), 1.6, 1e-12)
	if len(c.Settling.Assumed) != 0 {
		t.Errorf("assumed although given: %v", c.Settling.Assumed)
	}
	if d := c.Draws[0]; d.Agitated.IsZero() {
		t.Error("the draw has lost when its vial was shaken")
	}
}

// TestSettlingIsAssumed: without settings each is named, with the value that
// the model then has.
func TestSettlingIsAssumed(t *testing.T) {
	c := facttest.Fold(t, []fact.Fact{&fact.Site{Zone: "UTC"}})
	want := map[string]string{
		"bore": "18 mm", "tip": "5 mm", "draw-time": "10 s", "within": "5 %", "temperature": "20 C",
		"spheres": "60000000", "diameter": "32.5 um", "diameter-sd": "5 um", "density": "1.6 g/cm3",
	}
	for _, a := range c.Settling.Assumed {
		if want[a.Setting] != a.Value || a.Source == "" {
			t.Errorf("assumed %+v", a)
		}
		delete(want, a.Setting)
	}
	if len(want) > 0 {
		t.Errorf("not said to be assumed: %v", want)
	}
	d, m := settling.Default(), c.Settling.Model
	if m.Count != d.Count || m.Tip != d.Tip || m.Density != d.Density || m.Sizes != d.Sizes || m.Temperature != 20 || m.Tolerance != 0.05 || m.Vessel.Sections[0].Top != 18 {
		t.Errorf("the model has %+v", m)
	}
}

// TestSpheresOfAVialAtHand: by hand, 60e6 spheres in 3 GBq of which 1.2 GBq
// are left are 24e6; with 50 Bq to the sphere 1.2e9/50 are 24e6 too.
func TestSpheresOfAVialAtHand(t *testing.T) {
	v := dispensing.VialResult{Measured: 3e9, Remaining: 1.2e9, RemainingVolume: 2.0}
	for name, s := range map[string]dispensing.Settling{
		"by number":   {Model: settling.Default()},
		"by activity": {Model: settling.Default(), PerSphere: 50},
	} {
		c := s.Of(v, 0.7)
		if math.Abs(c.Count-24e6) > 1 || c.Volume != 2.0 || c.Draw.Volume != 0.7 {
			t.Errorf("%s: %v spheres in %v mL, %v mL drawn", name, c.Count, c.Volume, c.Draw.Volume)
		}
	}
}
