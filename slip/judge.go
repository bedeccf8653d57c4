package slip

import (
	"cmp"
	"math"
	"slices"

	"vialwright/ledger"
)

// pairs weighs two slips at once: two readings of which nothing is known.
func (s *search) pairs() {
	var suspects []int
	for i, d := range s.data {
		if d.Kind != ledger.ReadingDatum {
			continue
		}
		if _, best := s.leave(i); gate(best, anySlip) {
			suspects = append(suspects, i)
		}
	}
	for k, i := range suspects {
		for _, j := range suspects[:k] {
			prior := 2*math.Log(anySlip) + logUniform(s.data[i].Value) + logUniform(s.data[j].Value)
			for _, w := range s.ways {
				s.pair = plus(s.pair, prior+w.log-w.fit.Pair(i, j))
			}
		}
	}
}

// even are the odds from which a slip is taken for real, and doubtful those
// from which it is spoken of.
const (
	even     = 0.5
	doubtful = 1.0 / Close
)

// judge turns the odds into probabilities and says what they mean.
func (s *search) judge(out *Set) {
	all := s.pair
	for _, x := range s.found {
		all = plus(all, x.Odds)
	}
	all = plus(all, 0) // all honest
	for _, x := range s.found {
		if x.Odds = math.Exp(x.Odds - all); x.Odds >= kept {
			out.Explanations = append(out.Explanations, x)
		}
	}
	slices.SortStableFunc(out.Explanations, func(a, b Explanation) int { return cmp.Compare(b.Odds, a.Odds) })
	out.Honest, out.MoreThanOne = math.Exp(-all), math.Exp(s.pair-all)
	s.expect(out)
	switch one := 1 - out.Honest - out.MoreThanOne; {
	case out.Honest > 1-doubtful:
	case out.Honest > even:
		out.Outcome = Doubt
	case out.MoreThanOne > one:
		out.Outcome = Several
	case s.alone(all):
		out.Outcome = Named
	default:
		out.Outcome = Undecided
	}
}

// alone says whether one entry stands so far above the others that it is named.
func (s *search) alone(all float64) bool {
	byEntry := map[int]float64{}
	for _, x := range s.found {
		byEntry[x.Entry] += math.Exp(x.Odds - all)
	}
	var first, second float64
	for _, p := range byEntry {
		switch {
		case p > first:
			first, second = p, first
		case p > second:
			second = p
		}
	}
	return first >= Close*max(second, math.Exp(-all))
}

// expect keeps, for each datum, what the others say of it in the likeliest way.
func (s *search) expect(out *Set) {
	for i, d := range s.data {
		rest, _ := s.leave(i)
		top := rest[0]
		if _, ok := out.Expect[d.Entry]; !ok || d.Kind == ledger.ReadingDatum {
			out.Expect[d.Entry] = Expected{top.pred.Value, top.pred.U}
		}
	}
}
