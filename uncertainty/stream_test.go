package uncertainty

import (
	"math"
	"slices"
	"testing"
)

// The first number of SplitMix64 from state 0 (value from memory, not seen), and
// streams that are all different.
func TestScrambleIsOneToOne(t *testing.T) {
	if got := scramble(0); got != 0xe220a8397b1dcdaf {
		t.Errorf("scramble(0) = %#x", got)
	}
	seen := map[uint64]bool{}
	for seed := range uint64(300) {
		for block := range uint64(300) {
			seen[newStream(seed, block).Uint64()] = true
		}
	}
	if len(seen) != 300*300 {
		t.Errorf("%d different streams, want %d", len(seen), 300*300)
	}
}

// kolmogorov is sqrt(n) times the greatest distance between the sample and the
// distribution. 1.95 is passed by chance once in a thousand; the seeds are fixed.
func kolmogorov(y []float64, cdf func(float64) float64) float64 {
	y = slices.Clone(y)
	slices.Sort(y)
	n, d := float64(len(y)), 0.0
	for i, v := range y {
		f := cdf(v)
		d = math.Max(d, math.Max(f-float64(i)/n, float64(i+1)/n-f))
	}
	return d * math.Sqrt(n)
}

func phi(x float64) float64 { return upperTail(-x) }

// Neighbouring draws, and neighbouring blocks, know nothing of each other: the
// correlation of n pairs is 0 to 5/sqrt(n), for the values and for their squares.
func TestNormalsAreIndependent(t *testing.T) {
	const n = 1_000_000
	y, z := make([]float64, n+1), make([]float64, n+1)
	for b := 0; b < n; b += blockSize {
		g, h := newStream(1, uint64(b)), newStream(1, uint64(b)+1)
		end := min(b+blockSize, n+1)
		g.normals(y[b:end], 0, 1)
		h.normals(z[b:end], 0, 1)
	}
	var lag, across, lag2, across2 float64
	for i := range n {
		lag += y[i] * y[i+1]
		across += y[i] * z[i]
		lag2 += (y[i]*y[i] - 1) * (y[i+1]*y[i+1] - 1) / 2
		across2 += (y[i]*y[i] - 1) * (z[i]*z[i] - 1) / 2
	}
	for _, r := range []float64{lag, across, lag2, across2} {
		near(t, "correlation", r/n, 0, 5/math.Sqrt(n))
	}
}
