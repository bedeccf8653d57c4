package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The generator is the standard library's, number for number.
func TestStreamIsThePCGOfTheStandardLibrary(t *testing.T) {
	for _, seed := range []stream{{0, 0}, {1, 2}, {math.MaxUint64, 12345}, newStream(42, 7)} {
		ours, theirs := seed, rand.NewPCG(seed.hi, seed.lo)
		for n := range 10_000 {
			if a, b := ours.uint64(), theirs.Uint64(); a != b {
				t.Fatalf("seed %v, number %d: %#x, want %#x", seed, n, a, b)
			}
		}
	}
}

// The first number of SplitMix64 from state 0 (value from memory, not seen), and
// streams that are all different.
func TestScrambleIsOneToOne(t *testing.T) {
	if got := scramble(0); got != 0xe220a8397b1dcdaf {
		t.Errorf("scramble(0) = %#x", got)
	}
	seen := map[stream]bool{}
	for seed := range uint64(300) {
		for block := range uint64(300) {
			seen[newStream(seed, block)] = true
		}
	}
	if len(seen) != 300*300 {
		t.Errorf("%d different streams, want %d", len(seen), 300*300)
	}
}

// The ziggurat closes: the layer above the last has its edge at 0 because the
// areas add up. tailFrom and layerArea are from the paper; a wrong digit in
// either would leave a gap here.
func TestZigguratCloses(t *testing.T) {
	z := ziggurat
	last := z.layer[layers-1]
	edge := last.perStep * 0x1p52
	near(t, "height of the last layer", layerArea/edge+math.Exp(-edge*edge/2), 1, 1e-9)
	// Area of the base: rectangle up to tailFrom and the tail beyond it.
	tail := math.Sqrt(2*math.Pi) * upperTail(tailFrom)
	near(t, "area of the base", tailFrom*math.Exp(-tailFrom*tailFrom/2)+tail, layerArea, 1e-13)
	near(t, "edge of the base", z.layer[0].inner, tailFrom, 0)
	if !slices.IsSortedFunc(z.layer[:], func(a, b layer) int { return int(math.Copysign(1, b.perStep-a.perStep)) }) {
		t.Error("the layers do not narrow upwards")
	}
	near(t, "innermost edge", last.inner, 0, 0)
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

// Moments of four million normals, each to 5 of its own standard errors: the
// variance of x^k is (2k-1)!! less the square of its mean.
func TestNormalMoments(t *testing.T) {
	const n = 4_000_000
	g := newStream(2024, 0)
	y := make([]float64, n)
	g.normals(y, 0, 1)
	var m [7]float64
	for _, x := range y {
		p := 1.0
		for k := range m {
			m[k] += p
			p *= x
		}
	}
	mean := []float64{1, 0, 1, 0, 3, 0, 15}
	square := []float64{1, 1, 3, 15, 105, 945, 10395}
	for k := 1; k <= 6; k++ {
		near(t, "moment", m[k]/n, mean[k], 5*math.Sqrt((square[k]-mean[k]*mean[k])/n))
	}
	if d := kolmogorov(y, phi); d > 1.95 {
		t.Errorf("Kolmogorov distance %.3f", d)
	}
}

// The tail and the seams between layers: the count beyond each point against the
// normal probability, to 5 standard errors of a count.
func TestNormalTails(t *testing.T) {
	const n = 20_000_000
	at := []float64{0.1, 0.5, 1, 2, 3, 3.5, tailFrom, 3.8, 4, 4.5, 5}
	above, below := make([]float64, len(at)), make([]float64, len(at))
	g := newStream(7, 7)
	y := make([]float64, 1000)
	for range n / len(y) {
		g.normals(y, 0, 1)
		for _, x := range y {
			for i, a := range at {
				if x > a {
					above[i]++
				} else if x < -a {
					below[i]++
				}
			}
		}
	}
	for i, a := range at {
		want := n * upperTail(a)
		near(t, "count above", above[i], want, 5*math.Sqrt(want))
		near(t, "count below", below[i], want, 5*math.Sqrt(want))
	}
}

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
