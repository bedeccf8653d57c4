package ledger_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"vialwright/ledger"
	"vialwright/quantity"
)

// own is a reading that is not in the books, of a true net activity.
func (b *bench) own(id string, minute int, net float64, gain, geometry ledger.FactorID, basis quantity.Basis) ledger.Reading {
	return ledger.Reading{Of: id, At: b.when(minute), Net: quantity.Activity(net), Relative: b.rel, Background: 2e3, Floor: 1e5, Gain: gain, Geometry: geometry, Basis: basis}
}

// TestSecondByHand: one reading before, one after and an own one, all at the
// epoch, reckoned by hand as in the package comment:
//
//	A = 3.24 − 1.87 = 1.37, A_c = 3.24 − 1.84 = 1.40 GBq, difference 0.03 GBq
//	u² = (0.008·1.87)² + (0.008·1.87)² + 0.02²·0.03²
//	   = 2·0.01496² + 0.0006² → u = 0.021165 GBq
//
// (the own reading has the repeatability of what the books expect of it).
func TestSecondByHand(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	before := b.at("S1", 420, 3.24e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 420)
	draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2.2, At: b.when(420)})
	b.at("S1", 420, 1.87e9, quantity.LabelBasis, b.vial)
	bal := b.reconcile()
	dose, _, _ := bal.Moved(draw)
	s, ok := bal.Second(dose, b.own("S1", 420, 1.84e9, b.gain, b.vial, quantity.LabelBasis), b.when(420))
	if !ok || len(s.Shared) != 1 || s.Shared[0] != before {
		t.Fatalf("%v, shared %v", ok, s.Shared)
	}
	near(t, "second", s.Value.MBq(), 1400, 1e-6)
	near(t, "first", s.First.MBq(), 1370, 1e-6)
	near(t, "difference", s.Difference.MBq(), 30, 1e-6)
	near(t, "its u", s.DifferenceU.MBq(), 21.165, 0.01)
	// Without what is shared it would be far too wide: hypot(u, u).
	if apart := math.Hypot(s.ValueU.MBq(), s.FirstU.MBq()); apart < 2*s.DifferenceU.MBq() {
		t.Errorf("independent of one another %v MBq, together %v", apart, s.DifferenceU.MBq())
	}
	// The syringe holds the dose; at the vial's basis only.
	if s, ok := bal.Second(dose, b.own("Y1", 420, 1.37e9, b.gain, b.second, quantity.LabelBasis), b.when(420)); !ok || s.Shared != nil || math.Abs(s.Difference.MBq()) > 1e-6 {
		t.Errorf("by the syringe: %v %+v", ok, s)
	}
	for name, r := range map[string]ledger.Reading{
		"another basis":       b.own("S1", 420, 1.84e9, b.gain, b.vial, quantity.TraceableBasis),
		"before the draw":     b.own("S1", 419, 3.24e9, b.gain, b.vial, quantity.LabelBasis),
		"no such vessel":      b.own("S9", 420, 1.84e9, b.gain, b.vial, quantity.LabelBasis),
		"nothing was in it":   b.own("Y1", 419, 1e6, b.gain, b.second, quantity.LabelBasis),
		"an emptied syringes": b.own("", 420, 1e6, b.gain, b.second, quantity.LabelBasis),
	} {
		if got, ok := bal.Second(dose, r, b.when(420)); ok {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestSecondAfterAnotherDraw: once something else left the vial, its remainder
// says nothing of the first dose alone.
func TestSecondAfterAnotherDraw(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.at("S1", 420, 3.24e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 421)
	b.open("Y2", ledger.Syringe, 421)
	draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 1.2, At: b.when(421)})
	b.at("S1", 422, 2.4e9, quantity.LabelBasis, b.vial)
	b.mv(ledger.Movement{From: "S1", To: "Y2", Volume: 1.2, At: b.when(423)})
	bal := b.reconcile()
	dose, _, _ := bal.Moved(draw)
	if got := bal.ByRemainder(dose, "S1", b.when(424)); got != nil {
		t.Errorf("by %v", got)
	}
	if got := bal.ByRemainder(dose, "S1", b.when(422)); len(got) != 1 {
		t.Errorf("before it, by %v", got)
	}
}

// TestSecondOfOneSet: another set whose factors have the same error changes
// nothing of a second figure, and a dose of two sets has none.
func TestSecondOfOneSet(t *testing.T) {
	find := func(other bool) (s ledger.Second) {
		b := newBench(t)
		gain := func() ledger.FactorID {
			return b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02, Same: "M1"})
		}
		story := func(vial, syringe string, gain ledger.FactorID) ledger.Amount {
			b.receive(vial, 3e9)
			b.gain = gain
			b.at(vial, 420, 3.24e9, quantity.LabelBasis, b.vial)
			b.open(syringe, ledger.Syringe, 420)
			draw := b.mv(ledger.Movement{From: vial, To: syringe, Volume: 2.2, At: b.when(420)})
			b.at(vial, 420, 1.87e9, quantity.LabelBasis, b.vial)
			dose, _, _ := b.reconcile().Moved(draw)
			return dose
		}
		g := gain()
		dose := story("S1", "Y1", g)
		own := b.own("S1", 420, 1.84e9, g, b.vial, quantity.LabelBasis)
		if other {
			both := dose.Plus(story("S2", "Y2", gain()))
			if s, ok := b.reconcile().Second(both, own, b.when(420)); ok {
				t.Errorf("a dose of two sets by the vial of one: %+v", s)
			}
		}
		s, ok := b.reconcile().Second(dose, own, b.when(420))
		if !ok {
			t.Fatal("no second figure")
		}
		return s
	}
	alone, beside := find(false), find(true)
	for name, x := range map[string][2]quantity.Activity{
		"second": {alone.ValueU, beside.ValueU}, "first": {alone.FirstU, beside.FirstU}, "difference": {alone.DifferenceU, beside.DifferenceU},
	} {
		near(t, name+" u", x[1].MBq(), x[0].MBq(), 1e-6)
	}
}

// TestSecondMonteCarlo draws what happened and what was read, reconciles each,
// and compares the scatter of the difference with what Second says of it
// (propagation of distributions, JCGM 101:2008): 4000 trials know a standard
// deviation to 1/√8000 = 1.1 %; 5 % is allowed.
func TestSecondMonteCarlo(t *testing.T) {
	const trials = 4000
	for name, story := range map[string]struct {
		// of is what the checker reads, another tells with a meter of their own.
		of      string
		another bool
	}{"remainder": {"S1", false}, "remainder by another meter": {"S1", true}, "syringe": {"Y1", false}} {
		t.Run(name, func(t *testing.T) {
			rnd := rand.New(rand.NewPCG(7, 11))
			var sum, squares, said float64
			for range trials {
				b := newBench(t)
				other := b.AddFactor(ledger.Factor{Name: "M2 calibration", Value: 1, U: 0.015})
				k, s, k2 := 1+0.02*rnd.NormFloat64(), 1+0.01*rnd.NormFloat64(), 1+0.015*rnd.NormFloat64()
				read := func(x, factors float64) float64 { return x * factors * (1 + b.rel*rnd.NormFloat64()) }
				b.receive("S1", 3e9)
				b.at("S1", 420, read(3.2e9, k), quantity.LabelBasis, b.vial)
				b.at("S1", 420, read(3.2e9, k), quantity.LabelBasis, b.vial)
				b.open("Y1", ledger.Syringe, 420)
				draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2.2, At: b.when(420)})
				b.at("S1", 421, read(1.9e9, k), quantity.LabelBasis, b.vial)
				b.at("Y1", 421, read(1.3e9, k*s), quantity.LabelBasis, b.second)
				d := decayFactor(b.when(425).Sub(b.when(420)).Seconds())
				own := b.own("S1", 425, read(1.9e9*d, k), b.gain, b.vial, quantity.LabelBasis)
				switch {
				case story.another:
					own = b.own("S1", 425, read(1.9e9*d, k2), other, b.vial, quantity.LabelBasis)
				case story.of == "Y1":
					own = b.own("Y1", 425, read(1.3e9*d, k*s), b.gain, b.second, quantity.LabelBasis)
				}
				bal := b.reconcile()
				dose, _, _ := bal.Moved(draw)
				got, ok := bal.Second(dose, own, b.when(420))
				if !ok {
					t.Fatal("no second figure")
				}
				sum += got.Difference.MBq()
				squares += got.Difference.MBq() * got.Difference.MBq()
				said += got.DifferenceU.MBq() * got.DifferenceU.MBq()
			}
			mean := sum / trials
			scatter, u := math.Sqrt(squares/trials-mean*mean), math.Sqrt(said/trials)
			if math.Abs(scatter/u-1) > 0.05 {
				t.Errorf("the difference scatters by %.3f MBq and its u is %.3f", scatter, u)
			}
			if math.Abs(mean) > 5*u/math.Sqrt(trials) {
				t.Errorf("the difference is %.3f MBq in the mean, u %.3f", mean, u)
			}
		})
	}
}
