package uncertainty

import "testing"

// BenchmarkLinearChain is the delivered-activity chain by linear propagation, term by term.
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
