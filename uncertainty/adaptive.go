package uncertainty

import (
	"math"
	"slices"
	"strconv"
)

// Adaptive says how well the outcome of a simulation must be known.
type Adaptive struct {
	P         float64 // coverage probability, 0.95 say
	Digits    int     // meaningful digits of the standard uncertainty, 1 or 2
	Shortest  bool    // watch the shortest interval, not the symmetric one; its place stays noisy
	MaxTrials int     // stop here; 0 stands for ten million
	Seed      uint64  // as in [Run]
	Workers   int     // as in [Run]
}

// Adapted is the outcome of the adaptive procedure.
type Adapted struct {
	*Sample
	Interval  Interval // coverage interval for the probability asked
	Tolerance float64  // numerical tolerance that mean, u and both ends keep
}

// Adapt runs batches of M = max(100/(1-p), 10000) trials until the mean, the
// standard uncertainty and both ends of the coverage interval are known to the
// numerical tolerance of u: twice the standard deviation of the batches' averages
// is no more than it (JCGM 101:2008 7.9.4). All batches together are the outcome.
//
// Errors: bad-probability, bad-distribution, not-finite, not-stable. It panics
// unless Digits is 1 or 2.
func Adapt(model Model, inputs []Input, want Adaptive) (*Adapted, error) {
	if !probability(want.P) {
		return nil, badProbability()
	}
	s, err := prepare(model, inputs)
	if err != nil {
		return nil, err
	}
	limit := want.MaxTrials
	if limit == 0 {
		limit = 10_000_000
	}
	m := int(math.Max(math.Ceil(100/(1-want.P)), 10_000))
	a := adaptation{want: want, blocks: uint64((m + blockSize - 1) / blockSize)}
	for h := 1; h*m <= limit; h++ {
		if err := a.batch(s, m); err != nil {
			return nil, err
		}
		if done, delta := a.stable(); done {
			return a.outcome(delta)
		}
	}
	return nil, refuse("not-stable", "The result was not stable after "+strconv.Itoa(limit)+" trials.",
		"Ask for one digit instead of two, allow more trials, or simulate a fixed number of trials.")
}

// adaptation holds what the batches gave so far.
type adaptation struct {
	want    Adaptive
	blocks  uint64 // in a batch
	values  []float64
	results [4][]float64 // mean, u, low and high of each batch
}

func (a *adaptation) batch(s *simulation, m int) error {
	h := uint64(len(a.results[0]))
	sample, err := s.run(Run{Trials: m, Seed: a.want.Seed, Workers: a.want.Workers}, h*a.blocks)
	if err != nil {
		return err
	}
	i, err := a.interval(sample)
	if err != nil {
		return err
	}
	a.values = append(a.values, sample.values...)
	for k, v := range [...]float64{sample.mean, sample.u, i.Low, i.High} {
		a.results[k] = append(a.results[k], v)
	}
	return nil
}

func (a *adaptation) interval(s *Sample) (Interval, error) {
	if a.want.Shortest {
		return s.Shortest(a.want.P)
	}
	return s.Symmetric(a.want.P)
}

// stable is step k) of 7.9.4: the standard deviation of the average of h batches,
// s^2 = sum (x_r - x)^2 / (h (h-1)), against the tolerance of u from all trials.
func (a *adaptation) stable() (ok bool, delta float64) {
	if len(a.results[0]) < 2 {
		return false, 0
	}
	delta = Tolerance(a.pooledU(), a.want.Digits)
	for _, x := range a.results {
		if 2*TypeA(x, "batch").U() > delta {
			return false, delta
		}
	}
	return true, delta
}

// pooledU is u from all trials so far, out of the means and variances of batches
// of equal size: (M-1) sum u_r^2 + M sum (mean_r - mean)^2 over h M - 1.
func (a *adaptation) pooledU() float64 {
	h, m := float64(len(a.results[0])), float64(len(a.values)/len(a.results[0]))
	total := 0.0
	for _, x := range a.results[0] {
		total += x
	}
	squares := 0.0
	for r, x := range a.results[0] {
		d := x - total/h
		squares += (m-1)*a.results[1][r]*a.results[1][r] + m*d*d
	}
	return math.Sqrt(squares / (h*m - 1))
}

func (a *adaptation) outcome(delta float64) (*Adapted, error) {
	k := bucketsFor(a.values[:blockSize], len(a.values))
	counts := make([]int, k.n)
	k.count(a.values, counts)
	s := newSample(a.values, k, counts, sumAbout(a.values, k.origin))
	i, err := a.interval(s)
	if err != nil {
		return nil, err
	}
	return &Adapted{Sample: s, Interval: i, Tolerance: delta}, nil
}

// Tolerance is the numerical tolerance of a standard uncertainty u > 0 of which
// 1 or 2 digits are meaningful: with u = c 10^l, c a whole number of so many
// digits, half of 10^l (JCGM 101:2008 7.9.2). 0.0754 has a tolerance of 0.0005
// with two digits and of 0.005 with one. 0 for u = 0. It panics for other
// numbers of digits.
func Tolerance(u float64, digits int) float64 {
	if digits < 1 || digits > 2 {
		panic("uncertainty: one or two digits of a standard uncertainty are meaningful")
	}
	if u == 0 || !finite(u) {
		return u
	}
	// The decimal form rounds 0.0996 to 0.10 and counts its digits exactly.
	text := strconv.FormatFloat(u, 'e', digits-1, 64)
	at := slices.Index([]byte(text), 'e')
	exponent, _ := strconv.Atoi(text[at+1:])
	return 0.5 * math.Pow10(exponent-(digits-1))
}

// Validation compares a linear result with a simulated one.
type Validation struct {
	DLow, DHigh float64 // |difference| of the ends of the two coverage intervals
	Tolerance   float64 // of the simulated standard uncertainty
	Valid       bool    // both differences are within tolerance
}

// Validate says whether the linear coverage interval may be used, now and for
// similar measurements: whether both its ends agree with those of the simulated
// interval, of the same probability, to the tolerance of the simulated u with so
// many digits (JCGM 101:2008 8.1). Let the simulation itself be good to a fifth of
// that tolerance (8.2): a fixed million trials or more, or one digit more.
func Validate(linear, simulated Interval, u float64, digits int) Validation {
	v := Validation{
		DLow:      math.Abs(linear.Low - simulated.Low),
		DHigh:     math.Abs(linear.High - simulated.High),
		Tolerance: Tolerance(u, digits),
	}
	v.Valid = v.DLow <= v.Tolerance && v.DHigh <= v.Tolerance
	return v
}
