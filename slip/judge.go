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

// priors are the chances, for one entry, of each slip before anything is known
// of it; one kind is shared evenly among its ways. No published count of slips
// per entry of microsphere books was found: the sizes are common practice, no
// source. Where a report tells of the kind it is named in docs/theory/slips.md.
var priors = map[Part]map[Kind]float64{
	TheReading: {
		PointMoved: 3e-4, Swapped: 2e-4, Misread: 3e-4, OtherUnit: 3e-4, GrossForNet: 3e-4,
		OtherContainer: 3e-4, WrongHour: 1e-4, WrongDay: 1e-4, Unknown: 5e-5,
	},
	TheLabel:  {PointMoved: 1e-3, Swapped: 1e-3, Misread: 2e-3, OtherUnit: 1e-3, WrongHour: 2e-3, WrongDay: 2e-3},
	TheVolume: {PointMoved: 8e-4, Swapped: 8e-4, Misread: 8e-4},
	TheMove:   {NothingMoved: 1e-3, MovedTwice: 1e-3, OtherSource: 5e-4, OtherTarget: 5e-4},
}

// anySlip is the chance that a reading slipped at all, for two at once.
const anySlip = 1.5e-3

// logUniform is the density of an activity of which nothing is known but that
// it lies between 1 MBq and 100 GBq, spread evenly over its logarithm.
func logUniform(y float64) float64 { return -math.Log(max(y, 1e6)) - math.Log(math.Log(1e5)) }

// A reading in oddOnes of a hundred scatters odd times as far as the meter's
// repeatability says (common practice, no source).
const (
	oddOnes = 0.02
	odd     = 3
)
