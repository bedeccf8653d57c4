package slip_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/slip"
)

// slipped are books with a slip of every kind, ten of each.
func slipped(t testing.TB) (out []slip.Books) {
	for i, r := range rows {
		for seed, n := uint64(1000*i), 0; n < 10; seed++ {
			w := honest(seed)
			if _, ok := r.put(w, rand.New(rand.NewPCG(seed, 77))); !ok {
				continue
			}
			b, err := w.books()
			if err != nil {
				continue
			}
			if _, err := ledger.Reconcile(b.Book); err == nil { // else a reckoning ends early
				out, n = append(out, b), n+1
			}
		}
	}
	return out
}

// BenchmarkFind prints how many reckonings of the same books the analysis of
// slipped ones costs; the aim is 20.
func BenchmarkFind(b *testing.B) {
	books := slipped(b)
	var reckon, find time.Duration
	for b.Loop() {
		start := time.Now()
		for _, x := range books {
			if _, err := ledger.Reconcile(x.Book); err != nil {
				b.Fatal(err)
			}
		}
		between := time.Now()
		for _, x := range books {
			slip.Find(x)
		}
		reckon, find = reckon+between.Sub(start), find+time.Since(between)
	}
	b.ReportMetric(float64(find)/float64(reckon), "reckonings")
}
