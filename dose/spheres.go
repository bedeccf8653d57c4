package dose

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Vial is a shipping vial in hand or on offer. Expiry and volume play no part.
type Vial struct {
	ID        string
	Reference time.Time
}

// A sphere of resin has nominally 50 Bq at the reference time of its vial, and 3
// GBq are 40 to 80 million spheres, so nominally 60 (PMC6095426, table 3; World J
// Gastroenterol 7:738, table 1; PMC8583383, table 4).
const (
	perSphere   = 50 * quantity.Becquerel
	leastOf     = 40.0 / 60
	mostOf      = 80.0 / 60
	SphereBasis = "nominally 50 Bq a sphere at the reference time of the vial; 40 to 80 million in 3 GBq, so the number may be a third less or more"
)

// PerSphere is the nominal activity of one sphere at a time:
//
//	a(t) = 50 Bq · 2^((t_ref - t)/T)
func PerSphere(halfLife quantity.Span, reference, at time.Time) quantity.Activity {
	return perSphere * quantity.Activity(nuclide.Factor(halfLife, nuclide.Elapsed(reference, at)))
}

// Spheres are those of an activity out of a vial.
type Spheres struct {
	// Millions is the nominal number, Least and Most its published spread, all in
	// millions.
	Millions, Least, Most float64
}

// SpheresIn gives the spheres of an activity at a time out of a vial with that
// reference time.
func SpheresIn(a quantity.Activity, halfLife quantity.Span, reference, at time.Time) Spheres {
	n := float64(a/PerSphere(halfLife, reference, at)) / 1e6
	return Spheres{n, n * leastOf, n * mostOf}
}

// String writes the number with its spread: "26 million (17 to 35)".
func (s Spheres) String() string {
	return fmt.Sprintf("%s million (%s to %s)", two(s.Millions), two(s.Least), two(s.Most))
}

// two writes a number to two significant digits.
func two(x float64) string {
	if x < 10 {
		return fmt.Sprintf("%.1f", x)
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	return fmt.Sprintf("%.0f", math.Round(x/step)*step)
}

// String writes the window: "15 to 40 million".
func (w Window) String() string {
	switch {
	case w.Least == 0:
		return fmt.Sprintf("at most %g million", w.Most)
	case w.Most == 0:
		return fmt.Sprintf("at least %g million", w.Least)
	}
	return fmt.Sprintf("%g to %g million", w.Least, w.Most)
}

// within tells how a number lies to the window: the nominal one inside, and all
// of its spread inside.
func (w Window) within(s Spheres) (nominal, all bool) {
	most := cmp.Or(w.Most, math.Inf(1))
	return s.Millions >= w.Least && s.Millions <= most, s.Least >= w.Least && s.Most <= most
}
