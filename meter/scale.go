package meter

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"vialwright/quantity"
)

// Runs is how many runs a geometry factor has before it is used (common practice, no
// source).
const Runs = 5

// Lacks is how many runs a factor still needs: up to [Runs], and until its
// uncertainty is no larger than wanted, if it shrinks with the square root of their
// number. It is 0 for a factor that can be used.
func (f Factor) Lacks(wanted quantity.Fraction) int {
	have := len(f.Each)
	need := Runs
	if wanted > 0 && f.U > wanted {
		need = max(need, int(math.Ceil(float64(have)*math.Pow(float64(f.U/wanted), 2))))
	}
	return max(0, need-have)
}

// FillFactor is a geometry factor at one fill volume, with its standard
// uncertainty.
type FillFactor struct {
	Volume   quantity.Volume
	Value, U quantity.Fraction
}

// AtFill interpolates between the two fills around v, straight (common practice, no
// source), and never outside of those that were tested:
//
//	s = (1 - q) s_1 + q s_2, q = (v - v_1)/(v_2 - v_1), u^2 = (1 - q)^2 u_1^2 + q^2 u_2^2
//
// Errors: too-few without a factor, beyond-fill outside of the fills.
func AtFill(tested []FillFactor, v quantity.Volume) (FillFactor, error) {
	if len(tested) == 0 {
		return FillFactor{}, refuse("too-few", "No fill volume was tested.", "Test the geometry at the volumes in use.")
	}
	all := slices.Clone(tested)
	slices.SortStableFunc(all, func(a, b FillFactor) int { return cmp.Compare(a.Volume, b.Volume) })
	first, last := all[0], all[len(all)-1]
	if !(v >= first.Volume && v <= last.Volume) {
		return FillFactor{}, refuse("beyond-fill", fmt.Sprintf("%s lies outside the tested fills, %s to %s.", quantity.Show(v, 0), quantity.Show(first.Volume, 0), quantity.Show(last.Volume, 0)),
			"Test the geometry at this volume; nothing is extrapolated.")
	}
	i := slices.IndexFunc(all, func(f FillFactor) bool { return f.Volume >= v })
	if all[i].Volume == v || i == 0 {
		return all[i], nil
	}
	a, b := all[i-1], all[i]
	q := quantity.Fraction((v - a.Volume) / (b.Volume - a.Volume))
	return FillFactor{v, (1-q)*a.Value + q*b.Value, quantity.Fraction(math.Hypot(float64((1-q)*a.U), float64(q*b.U)))}, nil
}

// Scale is what one reading is on the traceable scale over what it is on the
// label-matched one, with its standard uncertainty.
type Scale struct{ Ratio, U quantity.Fraction }

// ScaleOf is the ratio of two factors of one meter for one container, reading over
// activity on each scale, with their relative standard uncertainties:
//
//	ratio = f_label/f_traceable, u = ratio sqrt(u_label^2 + u_traceable^2)
//
// Errors: bad-value.
func ScaleOf(label, uLabel, traceable, uTraceable quantity.Fraction) (Scale, error) {
	r := label / traceable
	if !(label > 0) || !(traceable > 0) || !finite(float64(r)) || !(uLabel >= 0) || !(uTraceable >= 0) {
		return Scale{}, refuse("bad-value", "A factor is not above 0, or an uncertainty below 0.", "Enter reading over activity, near 1.")
	}
	return Scale{r, r * quantity.Fraction(root(uLabel, uTraceable))}, nil
}

// From is what a figure of the scale of a basis is multiplied by to be on the other
// scale, with its standard uncertainty. What is proportional to an activity, such as an
// absorbed dose, moves by the same ratio; a tolerance in percent does not move.
func (s Scale) From(basis quantity.Basis) (ratio, u quantity.Fraction) {
	if basis == quantity.TraceableBasis {
		return 1 / s.Ratio, s.U / s.Ratio / s.Ratio
	}
	return s.Ratio, s.U
}

// Low is how far the label-matched scale lies below the traceable one, of the
// traceable one.
func (s Scale) Low() quantity.Fraction { return 1 - 1/s.Ratio }
