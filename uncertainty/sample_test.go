package uncertainty

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// sampleOf makes a sample of given values, as a simulation would.
func sampleOf(y []float64) *Sample {
	k := bucketsFor(y[:min(len(y), blockSize)], len(y))
	counts := make([]int, k.n)
	k.count(y, counts)
	return newSample(y, k, counts, sumAbout(y, k.origin))
}

// Every answer against the slow way over a sorted copy, for samples of all kinds:
// spread, lumped into a few values, all equal, with far outliers.
func TestSampleAgainstSorting(t *testing.T) {
	value := rapid.OneOf(
		rapid.Float64Range(-1, 1),
		rapid.Float64Range(-1e9, 1e9),
		rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, 1e-300, -1e-300, 1e100, -1e100, 5e-324}),
	)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{2, 3, 7, 40, 100, 1000}).Draw(t, "n")
		y := rapid.SliceOfN(value, n, n).Draw(t, "y")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		s, sorted := sampleOf(y), slices.Sorted(slices.Values(y))
		m := float64(n)

		q := int(math.Floor(p*m + 0.5))
		if symmetric, err := s.Symmetric(p); q >= n || q < 1 {
			if err == nil {
				t.Fatalf("interval %v with q = %d of %d", symmetric, q, n)
			}
		} else {
			r := (n - q) / 2
			if (n-q)%2 == 1 {
				r = (n - q + 1) / 2
			}
			if want := (Interval{sorted[r-1], sorted[r+q-1]}); symmetric != want {
				t.Fatalf("symmetric %v, want %v", symmetric, want)
			}
			best := 0
			for r := range n - q {
				if sorted[r+q]-sorted[r] < sorted[best+q]-sorted[best] {
					best = r
				}
			}
			short, err := s.Shortest(p)
			if want := (Interval{sorted[best], sorted[best+q]}); err != nil || short != want {
				t.Fatalf("shortest %v, want %v", short, want)
			}
		}

		at := math.Max(0, math.Min(p*m-0.5, m-1))
		low := sorted[int(at)]
		want := low
		if int(at)+1 < n {
			want += (at - math.Floor(at)) * (sorted[int(at)+1] - low)
		}
		if got := s.Quantile(p); got != want {
			t.Fatalf("quantile %v, want %v", got, want)
		}

		lower, upper := value.Draw(t, "lower"), value.Draw(t, "upper")
		inside := 0.0
		for _, v := range sorted {
			if v >= lower && v <= upper {
				inside++
			}
		}
		if got := s.Within(lower, upper); got != inside/m {
			t.Fatalf("within %v, want %v", got, inside/m)
		}
	})
}

// The sums are taken about a middle value, so that a small spread on a large
// value keeps its digits.
func TestSampleMomentsOnALargeOffset(t *testing.T) {
	y := make([]float64, 1001)
	for i := range y {
		y[i] = 1e9 + float64(i%11) - 5 // mean 1e9, variance 10 but for the end
	}
	y = y[:990]
	s := sampleOf(y)
	near(t, "mean", s.Mean(), 1e9, 1e-6)
	alike(t, "u", s.U(), math.Sqrt(10*990.0/989), 1e-13)
}

func TestSampleRefuses(t *testing.T) {
	s := sampleOf([]float64{1, 2, 3, 4, 5})
	for _, p := range []float64{0, 1, -1, 2, math.NaN()} {
		_, err := s.Symmetric(p)
		refused(t, "symmetric", err, "bad-probability")
		_, err = s.Shortest(p)
		refused(t, "shortest", err, "bad-probability")
		if q := s.Quantile(p); !math.IsNaN(q) {
			t.Errorf("quantile %v for p = %v", q, p)
		}
	}
	_, err := s.Symmetric(0.95)
	refused(t, "five trials for 95 %", err, "too-few")
	if s.Within(math.NaN(), 3) != 0 || s.Within(3, 2) != 0 || s.Within(math.Inf(-1), math.Inf(1)) != 1 {
		t.Error("within odd limits")
	}
	if s.Trials() != 5 {
		t.Errorf("%d trials", s.Trials())
	}
}
