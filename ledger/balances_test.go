package ledger_test

import (
	"math"
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
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
	b := ledger.New(clock(t, "18:00"), nuclide.HalfLife{Value: halfLife})
	gain := b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02})
	geom := b.AddFactor(ledger.Factor{Name: "M1 shipping-vial", Value: 1})
	must(t, b.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, time.Time{}))
	must(t, b.Move(ledger.Movement{Entry: 2, To: "S1", Volume: 5, Label: 3e9, LabelU: 1.7e8, Reference: clock(t, "18:00"), At: clock(t, "08:00")}))
	read := func(entry int, at string, net quantity.Activity) {
		must(t, b.Read(ledger.Reading{Entry: entry, Of: "S1", At: clock(t, at), Net: net, Relative: 0.008, Background: 1600, Floor: 2.9e6, Gain: gain, Geometry: geom, Basis: quantity.LabelBasis}))
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

// TestOneErrorInManySets: what comes from two vials into one item is as uncertain
// as the meter that read both, since the error of its calibration is one, whether
// the two are fitted together or apart. By hand (JCGM 100:2008 5.2.2):
//
//	u² = (A1² + A2²)·0.008² + (A1 + A2)²·0.02²
//
// A sum that takes the two for independent would give 77 MBq instead of 102.
func TestOneErrorInManySets(t *testing.T) {
	sum := func(gains func(*ledger.Book) [2]ledger.FactorID) (u, common, cov float64) {
		b := ledger.New(clock(t, "12:00"), nuclide.HalfLife{Value: halfLife})
		k := gains(b)
		geom := b.AddFactor(ledger.Factor{Name: "M1 shipping-vial", Value: 1})
		must(t, b.Open(ledger.Container{ID: "W1", Kind: ledger.WasteItem}, clock(t, "12:00")))
		for i, net := range []quantity.Activity{3e9, 2e9} {
			id := []string{"S1", "S2"}[i]
			must(t, b.Open(ledger.Container{ID: id, Kind: ledger.ShippingVial}, time.Time{}))
			must(t, b.Move(ledger.Movement{Entry: 1, To: id, Volume: 5, Label: net, LabelU: net / 17, Reference: clock(t, "12:00"), At: clock(t, "08:00")}))
			must(t, b.Read(ledger.Reading{Entry: 2, Of: id, At: clock(t, "12:00"), Net: net, Relative: 0.008, Gain: k[i], Geometry: geom, Basis: quantity.LabelBasis}))
		}
		bal, err := ledger.Reconcile(b)
		must(t, err)
		s1, s2 := bal.Now("S1"), bal.Now("S2")
		both := s1.Plus(s2)
		_, v := bal.Activity(both, clock(t, "12:00"))
		return float64(v), float64(bal.Common(both, clock(t, "12:00"))), bal.Covariance(s1, clock(t, "12:00"), s2, clock(t, "12:00"))
	}
	factor := func(name, same string) ledger.Factor {
		return ledger.Factor{Name: name, Value: 1, U: 0.02, Same: same}
	}
	for _, x := range []struct {
		name  string
		gains func(b *ledger.Book) [2]ledger.FactorID
		with  float64 // how far the two errors are one
	}{
		{"fitted together", func(b *ledger.Book) [2]ledger.FactorID {
			k := b.AddFactor(factor("k", ""))
			return [2]ledger.FactorID{k, k}
		}, 1},
		{"fitted apart, one error", func(b *ledger.Book) [2]ledger.FactorID {
			return [2]ledger.FactorID{b.AddFactor(factor("k of S1", "M1")), b.AddFactor(factor("k of S2", "M1"))}
		}, 1},
		{"two meters", func(b *ledger.Book) [2]ledger.FactorID {
			return [2]ledger.FactorID{b.AddFactor(factor("k of S1", "M1")), b.AddFactor(factor("k of S2", "M2"))}
		}, 0},
	} {
		u, common, cov := sum(x.gains)
		wantCov := x.with * 3e9 * 2e9 * 0.02 * 0.02
		wantCommon := math.Sqrt((9e18+4e18)*0.02*0.02 + 2*wantCov)
		want := math.Hypot(wantCommon, 0.008*math.Sqrt(9e18+4e18))
		if math.Abs(u/want-1) > 1e-6 || math.Abs(common/wantCommon-1) > 1e-6 || math.Abs(cov-wantCov) > 1e-6*3e9*2e9*4e-4 {
			t.Errorf("%s: u = %g of which common %g, covariance %g; by hand %g, %g, %g", x.name, u, common, cov, want, wantCommon, wantCov)
		}
	}
}
