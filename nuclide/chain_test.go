package nuclide_test

import (
	"testing"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// D9: 1 GBq Y-90 with 20 kBq Sr-90 (28.80 a) in it, the Y-90 half-life
// 64.05 h; the waste settles on its impurity and never reaches background.
// Another program gave five digits.
func TestD9StrontiumInYttrium(t *testing.T) {
	p := nuclide.Pair{Parent: 28.80 * quantity.Year, Daughter: hours(ensdf2020), Branch: 1}
	for _, c := range []struct {
		days quantity.Span
		want float64
	}{{10, 7.4495e7}, {30, 4.3306e5}, {40, 5.0718e4}, {60, 2.0097e4}, {90, 1.9887e4}} {
		got := p.Grow(20*quantity.KiloBecquerel, quantity.GigaBecquerel, c.days*quantity.Day)
		near(t, "Bq of Y-90", float64(got)/c.want, 1, 3e-5)
	}
}

// In equilibrium the activity of Ba-137m is the branch of Cs-137 times
// T(Cs)/(T(Cs) - T(Ba)), a factor 1 to 2e-7; it is reached in half an hour.
func TestBarium137mFollowsCaesium(t *testing.T) {
	cs, ba := nuclide.Cs137.HalfLife().Value, nuclide.Ba137m.HalfLife().Value
	branch := quantity.Fraction(0.9436)
	p := nuclide.Pair{Parent: cs, Daughter: ba, Branch: branch}
	left := nuclide.Factor(cs, 2*quantity.Hour)
	want := 1e6 * left * float64(branch) * float64(cs/(cs-ba))
	near(t, "Ba-137m after 2 h", float64(p.Grow(1e6, 0, 2*quantity.Hour))/want, 1, 1e-13)
	// the photon of the pair is the branch times the isomer's own intensity:
	// 0.9436 x 90.07 = 84.99 per 100 decays, as the evaluation prints it
	isomer := nuclide.Ba137m.Find(nuclide.QuantityPhotonIntensity, 1)[0].Value
	pair := nuclide.Cs137.Find(nuclide.QuantityPhotonIntensity, 1)[0].Value
	near(t, "661.7 keV per 100 decays", 0.9436*isomer, pair, 5e-3)
}

// As two half-lives close in on each other nothing jumps.
func TestPairIsSmoothAtEqualHalfLives(t *testing.T) {
	equal := float64(nuclide.Pair{Parent: 1, Daughter: 1, Branch: 1}.Grow(1, 0, 3))
	for e := 1e-2; e > 1e-16; e /= 3 {
		for _, s := range []float64{e, -e} {
			p := nuclide.Pair{Parent: quantity.Span(1 + s), Daughter: 1, Branch: 1}
			// d ln A/d ln T(parent) is of order 1 here
			near(t, "near equal", float64(p.Grow(1, 0, 3))/equal, 1, 2*e+1e-15)
		}
	}
}
