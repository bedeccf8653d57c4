package ledger_test

import (
	"math"
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

const halfLife = quantity.Span(64.0417 * 3600)

func clock(t *testing.T, s string) time.Time {
	t.Helper()
	v, err := time.Parse(time.RFC3339, "2027-03-04T"+s+":00-01:00")
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// oneDraw is a vial read, drawn from and read again on one meter.
func oneDraw(t *testing.T) (*ledger.Book, *ledger.Balances) {
	t.Helper()
	b := ledger.New(clock(t, "18:00"), halfLife)
	gain := b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02})
	geom := b.AddFactor(ledger.Factor{Name: "M1 shipping-vial", Value: 1})
	must(t, b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, time.Time{}))
	must(t, b.Move(ledger.Movement{Entry: 2, To: "S1", Volume: 5, Label: 3e9, LabelU: 1.7e8, Reference: clock(t, "18:00"), At: clock(t, "08:00")}))
	read := func(entry int, at string, net quantity.Activity) {
		must(t, b.Read(ledger.Reading{Entry: entry, Of: "S1", At: clock(t, at), Net: net, Relative: 0.008, Background: 1600, Floor: 2.9e6, Gain: gain, Geometry: geom, Basis: ledger.Label}))
	}
	read(3, "11:00", 3239.8e6)
	must(t, b.Open(ledger.Container{ID: "Y1", Kind: ledger.Syringe}, clock(t, "11:10")))
	must(t, b.Move(ledger.Movement{Entry: 4, From: "S1", To: "Y1", Volume: 2.2, At: clock(t, "11:10")}))
	read(5, "11:14", 1849.8e6)
	bal, err := ledger.Reconcile(b)
	must(t, err)
	return b, bal
}

func TestOneDrawHandCheck(t *testing.T) {
	_, bal := oneDraw(t)
	got, u := bal.Activity(bal.Now("Y1"), clock(t, "13:30"))
	if math.Abs(got.MBq()-1348.340) > 0.0005 || math.Abs(u.MBq()-39.650) > 0.0005 {
		t.Errorf("drawn %.4f ± %.4f MBq, want 1348.340 ± 39.650", got.MBq(), u.MBq())
	}
	x, _, _ := bal.Moved(2)
	if a, _ := bal.Activity(x, clock(t, "18:00")); math.Abs(a.MBq()-3003.409) > 0.0005 {
		t.Errorf("received %.4f MBq at the epoch, want 3003.409", a.MBq())
	}
}
