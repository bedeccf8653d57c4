package ledger_test

import (
	"math"
	"slices"
	"testing"

	"vialwright/ledger"
	"vialwright/quantity"
)

// What each reading brings adds up to every balance of 200 random books, and
// its random variance with the common part is the balance's own.
func TestPartsAddUp(t *testing.T) {
	for seed := range uint64(200) {
		w := randomTwin(seed)
		bal, err := ledger.Reconcile(w.book)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for _, id := range w.names {
			held := bal.Now(id)
			sum, variance := 0.0, 0.0
			for _, p := range bal.Parts(held) {
				grow := 1 / (p.Factor * decayFactor(p.At.Sub(w.epoch).Seconds()))
				sum += p.Weight * float64(p.Net) * grow
				variance += math.Pow(p.Weight*float64(p.U)*grow, 2)
			}
			y, u := bal.Activity(held, w.epoch)
			if math.Abs(sum-float64(y)) > 1e-8*math.Abs(float64(y))+10 {
				t.Errorf("seed %d %s: the parts give %.12g Bq, the fit %.12g", seed, id, sum, float64(y))
			}
			if got := math.Hypot(math.Sqrt(variance), float64(bal.Common(held, w.epoch))); math.Abs(got-float64(u)) > 1e-6*float64(u)+1 {
				t.Errorf("seed %d %s: u %.9g Bq from the parts, %.9g from the fit", seed, id, got, float64(u))
			}
		}
	}
}

// One reading before and one after a draw bring all of it: plus and minus one.
func TestPartsOfADraw(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	first := b.at("S1", 10, 3e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 12)
	b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2, At: b.when(12)})
	second := b.at("S1", 13, 1.8e9, quantity.LabelBasis, b.vial)
	third := b.at("S1", 13, 1.8e9, quantity.LabelBasis, b.vial)
	parts := b.reconcile().Parts(b.reconcile().Now("Y1"))
	want := map[int]float64{first: 1, second: -0.5, third: -0.5}
	if len(parts) != len(want) {
		t.Fatalf("%+v", parts)
	}
	for _, p := range parts {
		near(t, "weight", p.Weight, want[p.Entry], 1e-9)
	}
}

// How a balance is known is said of each one: a label is not a dose rate.
func TestEstimates(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.open("Y1", ledger.Syringe, 12)
	b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2, At: b.when(12)})
	b.receive("A1", 1e9)
	b.at("A1", 20, 1e9, quantity.LabelBasis, b.vial)
	b.open("P1", ledger.Territory, 20)
	b.mv(ledger.Movement{From: "A1", To: "P1", Volume: 5, At: b.when(21), Measured: ledger.Share{Value: 0.96, U: 0.01}})
	bal := b.reconcile()
	for id, want := range map[string][]ledger.Estimate{
		"S1": {ledger.ByVolume, ledger.ByLabel}, "Y1": {ledger.ByVolume, ledger.ByLabel}, "A1": {ledger.ByDoseRate}, "P1": {ledger.ByDoseRate},
	} {
		if got := bal.Estimates(bal.Now(id)); !slices.Equal(got, want) {
			t.Errorf("%s is known by %q, want %q", id, got, want)
		}
	}
	label := bal.Parts(bal.Now("S1"))
	if len(label) != 2 || label[0].By != ledger.ByLabel || label[1].By != ledger.ByVolume {
		t.Errorf("%+v", label)
	}
}
