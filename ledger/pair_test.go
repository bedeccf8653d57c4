package ledger_test

import (
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// The readings that show a draw alone: those since the movement before it, and
// until the one after it.
func TestPair(t *testing.T) {
	zero := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	at := func(minutes int) time.Time { return zero.Add(time.Duration(minutes) * time.Minute) }
	b := ledger.New(zero, nuclide.HalfLife{Value: quantity.Span(64 * 3600)})
	one := b.AddFactor(ledger.Factor{Name: "one", Value: 1})
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	read := func(entry, minutes int) {
		t.Helper()
		must(b.Read(ledger.Reading{Entry: entry, Of: "S1", At: at(minutes), Net: 1e9, Relative: 0.01, Gain: one, Geometry: one, Basis: quantity.LabelBasis}))
	}
	must(b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, at(0)))
	for _, id := range []string{"Y1", "Y2"} {
		must(b.Open(ledger.Container{ID: id, Kind: ledger.Syringe}, at(0)))
	}
	must(b.Move(ledger.Movement{Entry: 1, At: at(0), To: "S1", Volume: 5, Label: 3e9, LabelU: 1e8, Reference: at(0)}))
	read(2, 1)
	read(3, 2)
	must(b.Move(ledger.Movement{Entry: 4, At: at(3), From: "S1", To: "Y1", Volume: 1}))
	must(b.Add("S1", 1, at(4)))
	read(5, 5)
	must(b.Move(ledger.Movement{Entry: 6, At: at(6), From: "S1", To: "Y2", Volume: 1}))
	read(7, 7)
	for entry, want := range map[int][2][]int{4: {{2, 3}, {5}}, 6: {{5}, {7}}} {
		before, after, ok := b.Pair(entry)
		for i, list := range [][]ledger.Reading{before, after} {
			if !ok || len(list) != len(want[i]) {
				t.Fatalf("entry %d: %v, %v", entry, before, after)
			}
			for j, r := range list {
				if r.Entry != want[i][j] {
					t.Errorf("entry %d: reading %d, want %d", entry, r.Entry, want[i][j])
				}
			}
		}
	}
	for _, entry := range []int{1, 2, 99} {
		if _, _, ok := b.Pair(entry); ok {
			t.Errorf("entry %d is no movement out of a container", entry)
		}
	}
}
