package ledger_test

import (
	"fmt"
	"testing"

	"vialwright/ledger"
	"vialwright/nuclide"
)

// yearTwin is a ledger of 1,000 containers and 5,000 readings: 250 vials of
// three draws each, every vessel read five times over, on three meters.
func yearTwin() *twin {
	w := newTwin(1, 3, nuclide.HalfLife{Value: halfLife})
	for i := range 250 {
		id := fmt.Sprint("S", i)
		w.open(id, ledger.ShippingVial)
		w.move("", id, 3e9, 5)
		for d := range 3 {
			for range 5 {
				w.read(id, w.rng.IntN(3))
			}
			y := fmt.Sprint("Y", i, "-", d)
			w.open(y, ledger.Syringe)
			w.move(id, y, 7e8, 1)
		}
		for range 5 {
			w.read(id, w.rng.IntN(3))
		}
	}
	return w
}

func BenchmarkReconcileYear(b *testing.B) {
	w := yearTwin()
	for b.Loop() {
		if _, err := ledger.Reconcile(w.book); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(w.rows)), "readings")
}

// BenchmarkDenseRound is one Gauss-Newton round of the same year with a dense
// general-purpose solver; Reconcile takes several.
func BenchmarkDenseRound(b *testing.B) {
	if testing.Short() {
		b.Skip("a dense round takes many seconds")
	}
	w := yearTwin()
	for b.Loop() {
		w.denseRound(b)
	}
}
