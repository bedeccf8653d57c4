package meter

import "math"

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
