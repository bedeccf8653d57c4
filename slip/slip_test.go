package slip_test

import (
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/slip"
)

// TestAMeterDoesNotMistype: a reading that a connected meter sent has no digit
// or unit that could slip, so that none is proposed for it.
func TestAMeterDoesNotMistype(t *testing.T) {
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	for _, sent := range []bool{false, true} {
		b := ledger.New(at, nuclide.HalfLife{Value: halfLife})
		gain := b.AddFactor(ledger.Factor{Name: "calibration", Value: 1, U: 0.02})
		vial := b.AddFactor(ledger.Factor{Name: "vial", Value: 1})
		must(t, b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, at))
		must(t, b.Move(ledger.Movement{Entry: 1, To: "S1", At: at, Volume: 5, Label: 3.2e9, LabelU: 0.18e9, Reference: at}))
		typed := map[int]slip.Typed{}
		for i, gross := range []quantity.Activity{3.24e9, 3.25e9, 0.325e9} {
			must(t, b.Read(ledger.Reading{Entry: i + 2, Of: "S1", At: at, Net: gross, Relative: 0.008, Floor: 3e5, Gain: gain, Geometry: vial, Basis: quantity.LabelBasis}))
			typed[i+2] = slip.Typed{Gross: gross, Activity: quantity.FormatDigits(gross, 3, "GBq")}
			if sent {
				typed[i+2] = slip.Typed{Gross: gross}
			}
		}
		s := slip.Find(slip.Books{Book: b, Typed: typed})[0]
		if s.Outcome != slip.Named || s.Explanations[0].Entry != 4 {
			t.Fatalf("%+v", s)
		}
		want := slip.PointMoved
		if sent {
			want = slip.Unknown
		}
		if got := s.Explanations[0].Kind; got != want {
			t.Errorf("sent by a meter: %v, found %q, want %q", sent, got, want)
		}
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
