package uncertainty

import (
	"math"
	"slices"
	"testing"
)

// Tolerances by hand from the definition; the 0.0754 of JCGM 101:2008 9.3 among
// them.
func TestTolerance(t *testing.T) {
	for _, c := range []struct {
		u      float64
		digits int
		want   float64
	}{
		{0.0754, 2, 0.0005},
		{0.0754, 1, 0.005},
		{2, 2, 0.05},
		{2, 1, 0.5},
		{10.15, 2, 0.5},
		{36, 2, 0.5},
		{36, 1, 5},
		{0.0996, 2, 0.005},
		{0.0994, 2, 0.0005},
		{0.96, 1, 0.5},
		{1000, 2, 50},
		{1e-5, 1, 5e-6},
		{0, 2, 0},
	} {
		alike(t, "tolerance", Tolerance(c.u, c.digits), c.want, 1e-14)
	}
}

// The outcome is as good as it claims: mean and u of the sum of four normals lie
// within the tolerance of their exact values (the chance of a miss is that of 2
// standard deviations, the seeds are fixed), the interval's ends within it too. The
// shortest interval is held to its length: where it lies stays noisy.
func TestAdaptReachesItsTolerance(t *testing.T) {
	for _, shortest := range []bool{false, true} {
		a := must(Adapt(four, fourOf(Normal{0, 1}), Adaptive{P: 0.95, Digits: 2, Shortest: shortest, Seed: 2, Workers: 2}))(t)
		near(t, "tolerance", a.Tolerance, 0.05, 1e-15)
		near(t, "mean", a.Mean(), 0, a.Tolerance)
		near(t, "u", a.U(), 2, a.Tolerance)
		near(t, "length", a.Interval.High-a.Interval.Low, 2*3.92, 2*a.Tolerance)
		if !shortest {
			near(t, "low", a.Interval.Low, -3.92, a.Tolerance)
			near(t, "high", a.Interval.High, 3.92, a.Tolerance)
		}
		if a.Trials() < 20_000 || a.Trials()%10_000 != 0 {
			t.Errorf("%d trials", a.Trials())
		}
	}
}

// Batches are one after the other the trials of a single long simulation's blocks,
// and workers change nothing here either.
func TestAdaptIgnoresItsWorkers(t *testing.T) {
	want := Adaptive{P: 0.99, Digits: 2, Seed: 8, Workers: 1}
	one := must(Adapt(chain, chainInputs, want))(t)
	want.Workers = 3
	three := must(Adapt(chain, chainInputs, want))(t)
	if !slices.Equal(one.values, three.values) || one.Interval != three.Interval || one.U() != three.U() {
		t.Error("three workers, another result")
	}
	sorted := slices.Sorted(slices.Values(one.values))
	for i := 1; i < len(sorted); i++ {
		if sorted[i] == sorted[i-1] {
			t.Fatal("two trials alike: a batch repeats another's stream")
		}
	}
	if i := must(one.Symmetric(0.99))(t); i != one.Interval {
		t.Errorf("interval %v, want %v", one.Interval, i)
	}
}

// The pooled u of the batches is the u of all their trials.
func TestAdaptPoolsItsBatches(t *testing.T) {
	s, e := prepare(four, fourOf(Rectangular{0, 1}))
	if e != nil {
		t.Fatal(e)
	}
	a := adaptation{want: Adaptive{P: 0.9, Digits: 1}, blocks: 40}
	for range 5 {
		if err := a.batch(s, 10_000); err != nil {
			t.Fatal(err)
		}
	}
	alike(t, "pooled u", a.pooledU(), sampleOf(a.values).U(), 1e-12)
}

func TestAdaptRefuses(t *testing.T) {
	normal := []Input{Normal{0, 1}}
	for _, p := range []float64{0, 1, math.NaN()} {
		_, err := Adapt(identity, normal, Adaptive{P: p, Digits: 1})
		refused(t, "p", err, "bad-probability")
	}
	_, err := Adapt(identity, []Input{Normal{0, -1}}, Adaptive{P: 0.9, Digits: 1})
	refused(t, "input", err, "bad-distribution")
	_, err = Adapt(identity, normal, Adaptive{P: 0.95, Digits: 2, MaxTrials: 19_999})
	refused(t, "one batch", err, "not-stable")
	_, err = Adapt(identity, []Input{StudentT{0, 1, 2.01}}, Adaptive{P: 0.99, Digits: 2, MaxTrials: 100_000})
	refused(t, "u that hardly exists", err, "not-stable")
	_, err = Adapt(Each(func([]float64) float64 { return math.NaN() }), normal, Adaptive{P: 0.95, Digits: 2})
	refused(t, "NaN", err, "not-finite")
}
