package nuclide_test

import (
	"testing"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

func BenchmarkFactor(b *testing.B) {
	t, sum := quantity.Span(0), 0.0
	for b.Loop() {
		sum += nuclide.Factor(230550, t)
		t += 1.25
	}
	_ = sum
}

func BenchmarkCarry(b *testing.B) {
	h := nuclide.Y90.HalfLife()
	to := start.Add(10 * time.Hour)
	for b.Loop() {
		if _, err := h.Carry(3e9, start, to); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHalfLife(b *testing.B) {
	for b.Loop() {
		nuclide.Y90.HalfLife()
	}
}

func BenchmarkPair(b *testing.B) {
	p := nuclide.Pair{Parent: 908.8e6, Daughter: 230550, Branch: 1}
	for b.Loop() {
		p.Grow(2e4, 1e9, 864000)
	}
}

func BenchmarkNewSpectrum(b *testing.B) {
	for b.Loop() {
		spectrum(b, 40, 90, 2278.7, nuclide.FirstForbiddenUnique)
	}
}

func BenchmarkCumulative(b *testing.B) {
	s := spectrum(b, 40, 90, 2278.7, nuclide.FirstForbiddenUnique)
	for b.Loop() {
		s.Cumulative(1000)
	}
}
