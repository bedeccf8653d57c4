package uncertainty

import (
	"runtime"
	"testing"
)

// BenchmarkDeliveredChainMillionTrials is a million trials of the ten-input chain
// with mean, standard uncertainty and 95 % symmetric interval, on all cores.
func BenchmarkDeliveredChainMillionTrials(b *testing.B) {
	const trials = 1_000_000
	for b.Loop() {
		s, err := Simulate(chain, chainInputs, Run{Trials: trials, Seed: 1, Workers: runtime.GOMAXPROCS(0)})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.Symmetric(0.95); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/trials, "ns/trial")
}

func BenchmarkShortestOfMillion(b *testing.B) {
	s, err := Simulate(chain, chainInputs, Run{Trials: 1_000_000, Seed: 1, Workers: 2})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := s.Shortest(0.95); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLinearChain is the same chain by linear propagation, term by term.
func BenchmarkLinearChain(b *testing.B) {
	x := chainNumbers()
	for b.Loop() {
		_ = linearChain(x).U()
	}
}

func BenchmarkConformance(b *testing.B) {
	for b.Loop() {
		_, _ = Conformance(2.80, 0.09, Limits{2.7, 3.3})
	}
}
