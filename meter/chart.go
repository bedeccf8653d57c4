package meter

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Band is a centre line with control limits.
type Band[Q ~float64] struct{ Lower, Centre, Upper Q }

// Outside tells whether x lies beyond a limit.
func (b Band[Q]) Outside(x Q) bool { return x < b.Lower || x > b.Upper }

// Chart is a chart of individuals and their moving ranges.
type Chart[Q ~float64] struct {
	// Values has limits at three Sigma, Ranges an upper limit.
	Values, Ranges Band[Q]
	// Sigma is the standard deviation from the mean moving range.
	Sigma Q
	// Moving is the moving range of each value but the first: Moving[i] is
	// that of value i+1.
	Moving []Q
}

// Individuals draws the limits from the first base values; [Judge] holds values against them:
//
//	mean -+ 3 mean MR/d2(2), ranges up to D4(2) mean MR
//
// Errors: too-few for fewer than three values or base outside 3 to their number,
// bad-value, no-spread where the base values are all the same.
func Individuals[Q ~float64](values []Q, base int) (Chart[Q], error) {
	if err := checkValues(values); err != nil {
		return Chart[Q]{}, err
	}
	if base < 3 || base > len(values) {
		return Chart[Q]{}, refuse("too-few", fmt.Sprintf("Limits cannot be drawn from %d of %d values.", base, len(values)), "Take three or more, better twenty.")
	}
	var c Chart[Q]
	var total, moved float64
	for i, v := range values {
		if i < base {
			total += float64(v) / float64(base)
		}
		if i == 0 {
			continue
		}
		c.Moving = append(c.Moving, Q(math.Abs(float64(v-values[i-1]))))
		if i < base {
			moved += float64(c.Moving[i-1]) / float64(base-1)
		}
	}
	if !(moved > 0) {
		return Chart[Q]{}, refuse("no-spread", "The values that limits are drawn from are all the same.", "Record them with more digits.")
	}
	// For groups of two R = |x1 - x2|, a folded normal of variance 2 sigma^2:
	d2 := 2 / math.Sqrt(math.Pi)
	d4 := 1 + 3*math.Sqrt(2-d2*d2)/d2
	sigma := moved / d2
	c.Sigma = Q(sigma)
	c.Values = Band[Q]{Q(total - 3*sigma), Q(total), Q(total + 3*sigma)}
	c.Ranges = Band[Q]{0, Q(moved), Q(d4 * moved)}
	return c, nil
}

// Ranges draws the limits of the ranges of groups of n values, such as of the readings of
// each test: D3 mean R, mean R, D4 mean R. Errors: too-few for fewer than two groups,
// bad-group for n outside 2 to 100, bad-value, no-spread.
func Ranges[Q ~float64](n int, ranges []Q) (Band[Q], error) {
	if len(ranges) < 2 {
		return Band[Q]{}, refuse("too-few", "A chart of ranges needs two groups or more.", "Collect twenty, as is usual.")
	}
	f, err := factorsFor(n)
	if err != nil {
		return Band[Q]{}, err
	}
	if err := checkValues(ranges); err != nil {
		return Band[Q]{}, err
	}
	mean := 0.0
	for _, r := range ranges {
		mean += float64(r) / float64(len(ranges))
	}
	if !(mean > 0) {
		return Band[Q]{}, refuse("no-spread", "The values of every group are all the same.", "Record them with more digits.")
	}
	return Band[Q]{Q(f.D3 * mean), Q(mean), Q(f.D4 * mean)}, nil
}

// Smoothed is one point of an EWMA chart.
type Smoothed[Q ~float64] struct {
	Value Q
	Band  Band[Q]
	Out   bool
}

// EWMA gives the exponentially weighted moving average with the exact limits of
// every time, see the package comment. lambda lies in (0, 1], width L is above 0;
// lambda 0.2 with L 2.9 is usual. Errors: bad-value, bad-limits.
func EWMA[Q ~float64](values []Q, centre, sigma Q, lambda, width float64) ([]Smoothed[Q], error) {
	if err := checkChart(values, centre, sigma); err != nil {
		return nil, err
	}
	if !(lambda > 0 && lambda <= 1) || !(width > 0) || !finite(width) {
		return nil, refuse("bad-limits", "The weight of an EWMA is not in 0 to 1, or its width not above 0.", "A weight of 0.2 with a width of 2.9 is usual.")
	}
	z := float64(centre)
	out := make([]Smoothed[Q], len(values))
	for i, v := range values {
		z = lambda*float64(v) + (1-lambda)*z
		grown := -math.Expm1(2 * float64(i+1) * math.Log1p(-lambda)) // 1 - (1-lambda)^2i
		half := Q(width * float64(sigma) * math.Sqrt(lambda/(2-lambda)*grown))
		b := Band[Q]{centre - half, centre, centre + half}
		out[i] = Smoothed[Q]{Q(z), b, b.Outside(Q(z))}
	}
	return out, nil
}

// largest value a chart takes: beyond it sums and squares would overflow.
const largest = 1e140

func checkValues[Q ~float64](values []Q) error {
	for i, v := range values {
		if !(math.Abs(float64(v)) <= largest) {
			return refuse("bad-value", fmt.Sprintf("Value %d of the chart is not a finite number.", i+1), "Leave it out or correct it.")
		}
	}
	return nil
}

func checkChart[Q ~float64](values []Q, centre, sigma Q) error {
	if !(math.Abs(float64(centre)) <= largest) || !(sigma > 0 && float64(sigma) <= largest) {
		return refuse("bad-limits", "A chart needs a finite centre and a standard deviation above 0.", "Draw them from values that are in control.")
	}
	return checkValues(values)
}

// factors are the constants of control charts for groups of normal values: ranges lie from
// D3 to D4 of their mean.
type factors struct{ D3, D4 float64 }

const largestGroup = 100

// factorsFor works the constants out; an *Error with code bad-group unless
// 2 <= n <= 100. They are right to 1e-8.
//
//	d2 = E[R]/sigma = int P(R > r) dr   d2^2 + d3^2 = int 2 r P(R > r) dr
//	P(R <= r) = n int phi(x) (Phi(x + r) - Phi(x))^(n-1) dx
//	D3 = 1 - 3 d3/d2, not below 0   D4 = 1 + 3 d3/d2
//
// (L. H. C. Tippett, Biometrika 17 (1925) 364-387).
func factorsFor(n int) (factors, error) {
	if n < 2 || n > largestGroup {
		return factors{}, refuse("bad-group", fmt.Sprintf("There are no chart constants for groups of %d.", n), "A group has 2 to 100 values.")
	}
	d2, d3 := rangeMoments(n)
	return factors{D3: math.Max(0, 1-3*d3/d2), D4: 1 + 3*d3/d2}, nil
}

// rangeMoments gives mean and standard deviation of the range of n standard normal
// values, by Gauss-Legendre quadrature over r to 14 and over x to +-9. The steep
// side of large groups needs the many points over x: with 128 that of 100 is 1.5e-8 off.
func rangeMoments(n int) (mean, sd float64) {
	var r, wr [64]float64
	var x, wx [192]float64
	quad.Legendre{}.FixedLocations(r[:], wr[:], 0, 14)
	quad.Legendre{}.FixedLocations(x[:], wx[:], -9, 9)
	cdf := func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
	var first, second float64
	for i, r := range r {
		above := 1.0 // P(R > r)
		for j, x := range x {
			phi := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
			above -= wx[j] * float64(n) * phi * math.Pow(cdf(x+r)-cdf(x), float64(n-1))
		}
		first += wr[i] * above
		second += wr[i] * 2 * r * above
	}
	return first, math.Sqrt(second - first*first)
}

// Rule names what is unusual about the newest values of a chart.
type Rule string

// The rules, after Westgard et al. (1981), in their order, with the authors'
// signs. The first only asks for a look, the others say that something changed.
const (
	BeyondTwo     Rule = "beyond-two"      // one beyond 2 sigma (1 2s): a look
	BeyondThree   Rule = "beyond-three"    // one beyond 3 sigma (1 3s)
	PairBeyondTwo Rule = "pair-beyond-two" // two in a row beyond 2 sigma on one side (2 2s)
	OppositePair  Rule = "opposite-pair"   // two in a row beyond 2 sigma on opposite sides (R 4s)
	FourBeyondOne Rule = "four-beyond-one" // four in a row beyond 1 sigma on one side (4 1s)
	TenOnOneSide  Rule = "ten-on-one-side" // ten in a row on one side of the centre (10 x)
)

// Warning tells a rule that only asks for a look.
func (r Rule) Warning() bool { return r == BeyondTwo }

// Mark is a rule that a value fulfils, together with those before it.
type Mark struct {
	Index int // of the value, from 0
	Rule  Rule
}

// Judge applies every rule to every value, by value, then in the order of the
// rules. The authors look at the other rules only after a value beyond two sigma;
// here all are looked at always, which finds slow drifts too. A value on a line is
// not beyond it. Errors: bad-value, bad-limits.
func Judge[Q ~float64](values []Q, centre, sigma Q) ([]Mark, error) {
	if err := checkChart(values, centre, sigma); err != nil {
		return nil, err
	}
	z := make([]float64, len(values))
	for i, v := range values {
		z[i] = float64(v-centre) / float64(sigma)
	}
	var marks []Mark
	for i := range z {
		for _, r := range []struct {
			rule Rule
			met  bool
		}{
			{BeyondTwo, math.Abs(z[i]) > 2},
			{BeyondThree, math.Abs(z[i]) > 3},
			{PairBeyondTwo, oneSide(z[:i+1], 2, 2)},
			{OppositePair, i > 0 && math.Min(z[i], z[i-1]) < -2 && math.Max(z[i], z[i-1]) > 2},
			{FourBeyondOne, oneSide(z[:i+1], 4, 1)},
			{TenOnOneSide, oneSide(z[:i+1], 10, 0)},
		} {
			if r.met {
				marks = append(marks, Mark{i, r.rule})
			}
		}
	}
	return marks, nil
}

// oneSide tells whether the last n all lie beyond the line on the same side.
func oneSide(z []float64, n int, line float64) bool {
	if len(z) < n {
		return false
	}
	up, down := true, true
	for _, x := range z[len(z)-n:] {
		up = up && x > line
		down = down && x < -line
	}
	return up || down
}
