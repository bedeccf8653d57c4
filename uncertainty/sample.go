package uncertainty

import (
	"math"
	"slices"
)

// Sample is the outcome of a simulation: M values that stand for the
// distribution of the output quantity (JCGM 101:2008 7.5). It never changes and
// is safe for concurrent use.
//
// The values are not sorted. They are counted into buckets, so that an interval
// needs to sort only the buckets its ends fall in.
type Sample struct {
	values  []float64
	mean, u float64
	buckets buckets
	before  []int // before[b] is the number of values in the buckets below b
}

// newSample closes the sums: with d = y - origin,
// mean = origin + sum d / M, u^2 = (sum d^2 - (sum d)^2 / M) / (M-1)
// (JCGM 101:2008 7.6, eqs. (16), (17)).
func newSample(values []float64, k buckets, counts []int, all sums) *Sample {
	m := float64(len(values))
	s := &Sample{values: values, buckets: k, before: make([]int, k.n+1)}
	s.mean = k.origin + all.d/m
	s.u = math.Sqrt(math.Max(0, all.d2-all.d*all.d/m) / (m - 1))
	for b, n := range counts {
		s.before[b+1] = s.before[b] + n
	}
	return s
}

// Trials is the number of trials M.
func (s *Sample) Trials() int { return len(s.values) }

// Mean is the best estimate of the output, the average of all trials.
func (s *Sample) Mean() float64 { return s.mean }

// U is the standard uncertainty of the output, the standard deviation of all
// trials.
func (s *Sample) U() float64 { return s.u }

// Quantile is the value below which the output lies with probability 0 < p < 1:
// linear between the points (y_(r), (r - 1/2)/M), r = 1 ... M (JCGM 101:2008
// 7.5.1 and D), and the least or greatest value beyond them. NaN for a p out of
// range.
func (s *Sample) Quantile(p float64) float64 {
	if !probability(p) {
		return math.NaN()
	}
	m := len(s.values)
	at := math.Max(0, math.Min(p*float64(m)-0.5, float64(m-1)))
	r := int(at)
	y := s.ranks(r, min(r+2, m))
	if len(y) == 1 {
		return y[0]
	}
	return y[0] + (at-float64(r))*(y[1]-y[0])
}

// Symmetric is the probabilistically symmetric coverage interval for coverage
// probability p: as much probability below as above (JCGM 101:2008 7.7.2).
// Errors: bad-probability; too-few where p leaves no trial outside.
func (s *Sample) Symmetric(p float64) (Interval, error) {
	q, err := s.inside(p)
	if err != nil {
		return Interval{}, err
	}
	r := (len(s.values) - q + 1) / 2 // (M-q)/2 where that is whole, else (M-q+1)/2
	return Interval{s.ranks(r-1, r)[0], s.ranks(r+q-1, r+q)[0]}, nil
}

// Shortest is the shortest coverage interval for coverage probability p, the
// lowest such interval where several are equally short (JCGM 101:2008 7.7.3).
// Its ends are noisier than those of [Sample.Symmetric]. Errors as there.
func (s *Sample) Shortest(p float64) (Interval, error) {
	q, err := s.inside(p)
	if err != nil {
		return Interval{}, err
	}
	m := len(s.values)
	low, high := s.ranks(0, m-q), s.ranks(q, m)
	best := 0
	for r := range low {
		if high[r]-low[r] < high[best]-low[best] {
			best = r
		}
	}
	return Interval{low[best], high[best]}, nil
}

// Within is the probability that the output lies between two limits, both
// included; either may be infinite. It is the fraction of trials, and so known to
// sqrt(p(1-p)/M). NaN limits give 0.
func (s *Sample) Within(lower, upper float64) float64 {
	n := 0
	for _, y := range s.values {
		if lower <= y && y <= upper {
			n++
		}
	}
	return float64(n) / float64(len(s.values))
}

// inside is q, the number of trials an interval holds: p M to the nearest whole
// number (JCGM 101:2008 7.7.1).
func (s *Sample) inside(p float64) (int, error) {
	if !probability(p) {
		return 0, badProbability()
	}
	m := len(s.values)
	q := int(p*float64(m) + 0.5)
	if q >= m || q < 1 {
		return 0, refuse("too-few", "There are too few trials for an interval with that probability.",
			"Run at least 100/(1-p) trials.")
	}
	return q, nil
}

func badProbability() *Error {
	return refuse("bad-probability", "A probability must lie between 0 and 1.", "95 % is 0.95.")
}

// ranks gives the order statistics y_(from+1) ... y_(to), in order.
func (s *Sample) ranks(from, to int) []float64 {
	first := s.bucketOf(from)
	last := s.bucketOf(to - 1)
	base := s.before[first]
	next := slices.Clone(s.before[first : last+1])
	y := make([]float64, s.before[last+1]-base)
	for _, v := range s.values {
		if b := s.buckets.of(v); b >= first && b <= last {
			y[next[b-first]-base] = v
			next[b-first]++
		}
	}
	for b := first; b <= last; b++ {
		slices.Sort(y[s.before[b]-base : s.before[b+1]-base])
	}
	return y[from-base : to-base]
}

// bucketOf is the bucket that holds rank r, counted from 0.
func (s *Sample) bucketOf(r int) int {
	b, _ := slices.BinarySearch(s.before, r+1)
	return b - 1
}

// buckets are equal steps of value, the first and the last open to infinity.
// Where they lie decides only how fast an answer is found, never which.
type buckets struct {
	n      int
	low    float64
	perY   float64 // buckets per unit of the value
	origin float64 // a value from the middle of the distribution
}

// bucketsFor spreads about one bucket for 64 trials over the middle 90 % of a
// first block and as much again and a half on either side of its median: nearly
// all of a distribution without long tails, and the dense part of one with.
func bucketsFor(block []float64, trials int) buckets {
	y := slices.Clone(block)
	slices.Sort(y)
	at := func(p float64) float64 { return y[int(p*float64(len(y)-1)+0.5)] }
	low, middle, high := at(0.05), at(0.5), at(0.95)
	k := buckets{n: max(16, min(trials/64, 1<<14)), origin: middle}
	k.low = low - 1.5*(middle-low)
	k.perY = float64(k.n) / (high + 1.5*(high-middle) - k.low)
	return k
}

// of never decreases with y, which is all that order needs: a step too small or
// too large, or no step at all, ends in the first or the last bucket.
func (k *buckets) of(y float64) int {
	at := (y - k.low) * k.perY
	if !(at > 0) {
		return 0
	}
	if at >= float64(k.n-1) {
		return k.n - 1
	}
	return int(at)
}

func (k *buckets) count(y []float64, counts []int) {
	for _, v := range y {
		counts[k.of(v)]++
	}
}
