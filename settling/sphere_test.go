package settling

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// Resin spheres, 1600 kg/m3, in water of 998.207 kg/m3 and 1.0016 mPa s: Stokes
// and Schiller-Naumann velocities worked out independently to the digits given.
func TestTerminalSchillerNaumannTable(t *testing.T) {
	water := Fluid{Density: 0.998207, Viscosity: 1.0016}
	for _, row := range []struct{ um, stokes, velocity, reynolds, seconds float64 }{
		{20, 0.1309, 0.1306, 0.0026, 153.1},
		{30, 0.2946, 0.2929, 0.0088, 68.3},
		{32, 0.3352, 0.3330, 0.0106, 60.1},
		{32.5, 0.3458, 0.3434, 0.0111, 58.2},
		{40, 0.5237, 0.5183, 0.0207, 38.6},
		{60, 1.1784, 1.1510, 0.0688, 17.4},
	} {
		f, err := Terminal(quantity.Length(row.um)*quantity.Micrometre, 1.6, water)
		if err != nil {
			t.Fatal(err)
		}
		// Half a digit of the table: 5e-5 mm/s, 5e-5 in Re, 0.05 s over 20 mm.
		if v := float64(f.Velocity); abs(v-row.velocity) > 6e-5 {
			t.Errorf("%g um: %.5f mm/s, want %.4f", row.um, v, row.velocity)
		}
		if abs(f.Reynolds-row.reynolds) > 6e-5 {
			t.Errorf("%g um: Re %.5f, want %.4f", row.um, f.Reynolds, row.reynolds)
		}
		if s := 20 / float64(f.Velocity); abs(s-row.seconds) > 0.06 {
			t.Errorf("%g um: 20 mm in %.2f s, want %.1f", row.um, s, row.seconds)
		}
		// v = v_Stokes / (C_D Re/24), the definition of the drag excess.
		if v := float64(f.Velocity) * excess(f.Reynolds); abs(v-row.stokes) > 6e-5 {
			t.Errorf("%g um: Stokes %.5f mm/s, want %.4f", row.um, v, row.stokes)
		}
	}
}

// At its terminal velocity the weight of a sphere less its buoyancy is the
// drag; Re is recomputed from the velocity.
func TestTerminalBalancesForces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		um := rapid.Float64Range(1, 600).Draw(t, "um")
		rho := rapid.Float64Range(1.01, 8).Draw(t, "g/cm3")
		mu := rapid.Float64Range(0.3, 100).Draw(t, "mPa s")
		f, err := Terminal(quantity.Length(um)*1e-3, Density(rho), Fluid{1, Viscosity(mu)})
		if err != nil {
			if f != (Fall{}) {
				t.Fatal("a result beside an error")
			}
			return
		}
		d, v := um*1e-6, float64(f.Velocity)*1e-3
		if re := 1000 * v * d / (mu * 1e-3); abs(re-f.Reynolds) > 1e-9*re {
			t.Fatalf("Re %v, from velocity %v", f.Reynolds, re)
		}
		weight := math.Pi / 6 * d * d * d * (rho - 1) * 1000 * StandardGravity
		force := 24 / f.Reynolds * excess(f.Reynolds) * math.Pi / 4 * d * d * 1000 * v * v / 2
		if abs(force-weight) > 1e-9*weight {
			t.Fatalf("drag %v, weight %v", force, weight)
		}
	})
}

// Re goes as d^3, and Schiller-Naumann departs from Stokes by 0.15 Re^0.687:
// a 1 um sphere falls within 1e-3 of (rho_p - rho_f) g d^2 / 18 mu.
func TestTerminalMeetsStokesForSmallSpheres(t *testing.T) {
	f, err := Terminal(1*quantity.Micrometre, 1.6, Fluid{1, 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mm/s", float64(f.Velocity), 600*StandardGravity*1e-12/18/1e-3*1e3, 1e-3)
}

func TestTerminalRefusals(t *testing.T) {
	water := Fluid{1, 1}
	for name, c := range map[string]struct {
		d     quantity.Length
		rho   Density
		f     Fluid
		input string
	}{
		"no diameter":     {0, 1.6, water, "Diameter"},
		"diameter NaN":    {quantity.Length(math.NaN()), 1.6, water, "Diameter"},
		"floats":          {0.03, 0.9, water, "Density"},
		"hovers":          {0.03, 1, water, "Density"},
		"no viscosity":    {0.03, 1.6, Fluid{1, 0}, "Fluid"},
		"beyond the drag": {20, 8, water, "Diameter"},
	} {
		var e *Error
		if _, err := Terminal(c.d, c.rho, c.f); !errors.As(err, &e) || e.Input != c.input {
			t.Errorf("%s: %v, want a refusal of %s", name, err, c.input)
		}
	}
}
