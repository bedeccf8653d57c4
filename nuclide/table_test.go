package nuclide_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"vialwright/nuclide"
	"vialwright/quantity"
)

var all = []nuclide.Nuclide{
	nuclide.Y90, nuclide.Sr90, nuclide.Cs137, nuclide.Ba137m, nuclide.Ba133, nuclide.Co57,
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.10g, want %.10g within %.2g", what, got, want, tolerance)
	}
}

func code(err error) string {
	var e *nuclide.Error
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// Half-lives typed from the evaluations a second time, in hours; 1e-12 is the
// rounding of a unit conversion.
func TestHalfLivesAsPublished(t *testing.T) {
	const year = 365.2422 * 24
	for _, c := range []struct {
		n        nuclide.Nuclide
		which    int
		hours, u float64
		named    string
	}{
		{nuclide.Y90, 0, 230550.0 / 3600, 110.0 / 3600, "DDEP"},
		{nuclide.Y90, 1, 2.6684 * 24, 0.0013 * 24, "DDEP"},
		{nuclide.Y90, 2, 64.05, 0.05, "ENSDF"},
		{nuclide.Y90, 3, 64.10, 0, "ICRP Publication 107"},
		{nuclide.Y90, 4, 64.2, 0, "EANM"},
		{nuclide.Sr90, 0, 28.80 * year, 0.07 * year, "DDEP"},
		{nuclide.Sr90, 1, 28.91 * year, 0.03 * year, "ENSDF"},
		{nuclide.Sr90, 2, 28.79 * year, 0, "ICRP Publication 107"},
		{nuclide.Cs137, 0, 30.05 * year, 0.08 * year, "DDEP"},
		{nuclide.Ba137m, 0, 2.552 / 60, 0.001 / 60, "DDEP"},
		{nuclide.Ba133, 0, 10.539 * year, 0.006 * year, "DDEP"},
		{nuclide.Co57, 0, 271.81 * 24, 0.04 * 24, "DDEP"},
	} {
		h := c.n.HalfLives()[c.which]
		near(t, string(c.n)+" half-life", h.Value.Hours()/c.hours, 1, 1e-12)
		near(t, string(c.n)+" its uncertainty", h.U.Hours(), c.u, 1e-12*c.hours)
		if !strings.Contains(h.Source, c.named) {
			t.Errorf("%s: source %q does not name %s", c.n, h.Source, c.named)
		}
		if (h.U == 0) != strings.Contains(h.Source, "no uncertainty stated") {
			t.Errorf("%s: source %q must say so exactly when no uncertainty is stated", c.n, h.Source)
		}
	}
}

// The default is the DDEP value in whole seconds; as filed, in days, it is
// 230 549.76 s and 112.32 s. The two must agree to the last digit filed.
func TestDefaultHalfLifeOfY90(t *testing.T) {
	h := nuclide.Y90.HalfLife()
	if h.Value != 230550 || h.U != 110 {
		t.Fatalf("default half-life of Y-90 is %v, standard uncertainty %v", h.Value, h.U)
	}
	filed := nuclide.Y90.HalfLives()[1]
	near(t, "in seconds and as filed in days", float64(h.Value-filed.Value), 0, 0.0001*86400/2)
	if h != nuclide.Y90.HalfLives()[0] {
		t.Error("the default is not the first of the half-lives in print")
	}
}

func TestEveryDatumHasProvenance(t *testing.T) {
	for _, n := range all {
		defaults := 0
		for _, d := range n.Data() {
			s := d.Source
			if s.Evaluation == "" || s.Edition == "" || s.Date == "" || !strings.HasPrefix(s.Known, "seen") {
				t.Errorf("%s %s: provenance %+v", n, d.Quantity, s)
			}
			if !(d.Value > 0) || !(d.U >= 0) || d.U >= d.Value {
				t.Errorf("%s %s: %v with uncertainty %v", n, d.Quantity, d.Value, d.U)
			}
			if !strings.HasSuffix(d.Published, " "+d.Unit) {
				t.Errorf("%s %s: published %q is not in %s", n, d.Quantity, d.Published, d.Unit)
			}
			if d.Default {
				defaults++
			}
		}
		if defaults < 3 {
			t.Errorf("%s has %d default figures", n, defaults)
		}
		if err := n.HalfLife().Check(); err != nil {
			t.Errorf("%s: %v", n, err)
		}
	}
}

// The level scheme of the evaluation must close: branches add up to 100 per
// 100 decays, and the decay energies differ by the level energies it gives
// (1760.72 and 2186.282 keV for Zr-90, 661.659 keV for Ba-137m).
func TestBranchesClose(t *testing.T) {
	for _, c := range []struct {
		n      nuclide.Nuclide
		levels []float64
	}{
		{nuclide.Y90, []float64{0, 1760.72, 2186.282}},
		{nuclide.Cs137, []float64{661.659, 0}},
	} {
		sum, q := 0.0, 0.0
		for i, level := range c.levels {
			sum += c.n.Find(nuclide.QuantityBetaIntensity, i+1)[0].Value
			end := c.n.Find(nuclide.QuantityBetaEndPoint, i+1)[0].Value
			if q == 0 {
				q = end + level
			}
			near(t, string(c.n)+" decay energy", end+level, q, 0.06) // end points are printed to 0.1 keV
		}
		near(t, string(c.n)+" branches", sum, 100, 1e-3)
	}
}

// AME2020 gives the decay energy of Sr-90 as 545.967 keV and of Cs-137 as
// 1175.629 keV beside the masses; 1 u = 931 494.10 keV (CODATA 2018).
func TestMassesCloseAME2020(t *testing.T) {
	const u = 931494.10
	mass := func(n nuclide.Nuclide) float64 { return n.Find(nuclide.QuantityAtomicMass, 0)[0].Value / 1e6 }
	near(t, "Sr-90 to Y-90", (mass(nuclide.Sr90)-mass(nuclide.Y90))*u, 545.967, 0.005)
	near(t, "Cs-137 to Ba-137", (mass(nuclide.Cs137)-mass(nuclide.Ba137m))*u, 1175.629, 0.005)
}

func TestParse(t *testing.T) {
	for _, n := range all {
		if got, err := nuclide.Parse(string(n)); err != nil || got != n {
			t.Errorf("Parse(%q) = %q, %v", n, got, err)
		}
	}
	for _, name := range []string{"", "Y90", "y-90", "Y-90 ", "Y-91", "Sr-90|"} {
		if _, err := nuclide.Parse(name); code(err) != nuclide.UnknownNuclide {
			t.Errorf("Parse(%q): %v", name, err)
		}
	}
}

func TestVetHalfLifeOfASite(t *testing.T) {
	site := func(value, u quantity.Span, source string) nuclide.HalfLife {
		return nuclide.HalfLife{Value: value, U: u, Source: source}
	}
	h, inf, nan := quantity.Hour, quantity.Span(math.Inf(1)), quantity.Span(math.NaN())
	for _, c := range []struct {
		name string
		h    nuclide.HalfLife
		want string
	}{
		{"physics handbook", site(64.0*h, 0.1*h, "handbook"), ""},
		{"guideline", site(64.2*h, 0, "guideline"), ""},
		{"64.60 h of a public encyclopaedia", site(64.60*h, 0, "encyclopaedia"), nuclide.FarHalfLife},
		{"days for hours", site(64.05*quantity.Day, 0, "slip"), nuclide.FarHalfLife},
		{"digit lost", site(6.405*h, 0, "slip"), nuclide.FarHalfLife},
		{"zero", site(0, 0, "x"), nuclide.InvalidHalfLife},
		{"negative", site(-64*h, 0, "x"), nuclide.InvalidHalfLife},
		{"infinite", site(inf, 0, "x"), nuclide.InvalidHalfLife},
		{"not a number", site(nan, 0, "x"), nuclide.InvalidHalfLife},
		{"negative uncertainty", site(64*h, -1, "x"), nuclide.InvalidHalfLife},
		{"uncertainty not a number", site(64*h, nan, "x"), nuclide.InvalidHalfLife},
		{"uncertainty as large as the value", site(64*h, 64*h, "x"), nuclide.InvalidHalfLife},
		{"no source", site(64*h, 0, " \t"), nuclide.InvalidHalfLife},
	} {
		if err := nuclide.Y90.Vet(c.h); code(err) != c.want {
			t.Errorf("%s: got %v, want code %q", c.name, err, c.want)
		}
	}
	for _, n := range all { // all that is in print must be acceptable, 28.91 a of Sr-90 among it
		for _, h := range n.HalfLives() {
			if err := n.Vet(h); err != nil {
				t.Errorf("%s: %v", n, err)
			}
		}
	}
}

func TestEnergyUnits(t *testing.T) {
	// 1 MeV = 1.602176634e-13 J, exact in the SI of 2019.
	near(t, "1 MeV in J", nuclide.MegaElectronVolt.Joules()/1.602176634e-13, 1, 1e-15)
	e := nuclide.Y90.ElectronEnergies()[0]
	near(t, "0.93310 MeV in keV", float64(e.Value), 933.10, 1e-9)
	if len(nuclide.Co57.ElectronEnergies()) != 0 || len(nuclide.Co57.BetaMeanEnergies(1)) != 0 {
		t.Error("Co-57 has no beta branch")
	}
}

func TestUnknownNuclidePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a nuclide outside the table has a half-life")
		}
	}()
	nuclide.Nuclide("Y-91").HalfLife()
}
