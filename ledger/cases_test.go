package ledger_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// bench is a book with one meter, for short stories.
type bench struct {
	*ledger.Book
	t                  testing.TB
	gain, vial, second ledger.FactorID
	entry              int
	rel                float64
}

func newBench(t testing.TB) *bench {
	b := ledger.New(time.Date(2027, 3, 4, 19, 0, 0, 0, time.UTC), nuclide.HalfLife{Value: halfLife})
	return &bench{
		Book: b, t: t, rel: 0.008,
		gain:   b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02}),
		vial:   b.AddFactor(ledger.Factor{Name: "M1 vial", Value: 1, U: 0}),
		second: b.AddFactor(ledger.Factor{Name: "M1 second", Value: 1, U: 0.01}),
	}
}

func (b *bench) when(minute int) time.Time {
	return time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC).Add(time.Duration(minute) * time.Minute)
}

func (b *bench) open(id string, k ledger.Kind, minute int) {
	b.t.Helper()
	if err := b.Open(ledger.Container{ID: id, Kind: k}, b.when(minute)); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) receive(id string, activity quantity.Activity) {
	b.t.Helper()
	b.open(id, ledger.ShippingVial, 0)
	b.mv(ledger.Movement{To: id, Volume: 5, At: b.when(0), Label: activity, LabelU: activity / 17, Reference: time.Date(2027, 3, 4, 19, 0, 0, 0, time.UTC)})
}

func (b *bench) mv(m ledger.Movement) int {
	b.t.Helper()
	b.entry++
	m.Entry = b.entry
	if err := b.Move(m); err != nil {
		b.t.Fatal(err)
	}
	return b.entry
}

// at reads true epoch activity x off a perfect meter at a minute.
func (b *bench) at(id string, minute int, x float64, basis quantity.Basis, geometry ledger.FactorID) int {
	b.t.Helper()
	b.entry++
	d := decayFactor(b.when(minute).Sub(b.when(420)).Seconds())
	err := b.Read(ledger.Reading{Entry: b.entry, Of: id, At: b.when(minute), Net: quantity.Activity(x * d), Relative: b.rel, Background: 2e3, Floor: 1e5, Gain: b.gain, Geometry: geometry, Basis: basis})
	if err != nil {
		b.t.Fatal(err)
	}
	return b.entry
}

func (b *bench) reconcile() *ledger.Balances {
	b.t.Helper()
	bal, err := ledger.Reconcile(b.Book)
	if err != nil {
		b.t.Fatal(err)
	}
	return bal
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// TestSubtractionAssayS1 is the subtraction example: 3.12 and 1.52 GBq, 2 %
// common and 0.3 % random each, give 1.600 ± 0.03365 GBq. Treating the common
// factor as independent in the two readings would give 0.0701.
func TestSubtractionAssayS1(t *testing.T) {
	b := newBench(t)
	b.rel = 0.003
	b.receive("S1", 3e9)
	b.at("S1", 420, 3.12e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 420)
	draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2.5, At: b.when(420)})
	b.at("S1", 420, 1.52e9, quantity.LabelBasis, b.vial)
	bal := b.reconcile()
	moved, _, _ := bal.Moved(draw)
	y, u := bal.Activity(moved, b.when(420))
	near(t, "draw", y.MBq(), 1600, 1e-6)
	near(t, "u", u.MBq(), 33.65, 0.005)
	near(t, "common part", bal.Common(moved, b.when(420)).MBq(), 32, 0.005)
	wrong := math.Hypot(0.02*3120, 0.02*1520)
	wrong = math.Hypot(wrong, math.Hypot(0.003*3120, 0.003*1520))
	near(t, "independent treatment", wrong, 70.1, 0.1)
}

// TestPeelle: two readings of one activity with a common factor keep their
// weighted mean; they do not both come out above the estimate.
func TestPeelle(t *testing.T) {
	b := newBench(t)
	b.rel = 0.1
	b.receive("S1", 1.2e9)
	b.at("S1", 420, 1.5e9, quantity.LabelBasis, b.vial)
	b.at("S1", 420, 1.0e9, quantity.LabelBasis, b.vial)
	y, _ := b.reconcile().Activity(b.reconcile().Now("S1"), b.when(420))
	near(t, "estimate lies between the readings", y.MBq(), 1250, 1)
}

func TestOnePatientFromTwoVials(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 1e9)
	b.receive("S2", 2e9)
	b.at("S1", 10, 1e9, quantity.LabelBasis, b.vial)
	b.at("S2", 11, 2e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 12)
	b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 4, At: b.when(12)})
	b.mv(ledger.Movement{From: "S2", To: "Y1", Volume: 1, At: b.when(13)})
	b.at("S1", 14, 0.2e9, quantity.LabelBasis, b.vial)
	b.at("S2", 15, 1.6e9, quantity.LabelBasis, b.vial)
	bal := b.reconcile()
	if !bal.Assayed(bal.Now("Y1")) {
		t.Error("both draws are read, so the syringe is assayed")
	}
	y, u := bal.Activity(bal.Now("Y1"), b.when(420))
	near(t, "syringe", y.MBq(), 1200, 1e-6)
	// 0.8 %: four readings; 2 % on the sum, since the meter is one.
	want := math.Hypot(0.02*1200, 0.008*math.Sqrt(1000*1000+200*200+2000*2000+1600*1600))
	near(t, "u", u.MBq(), want, 0.01)
}

func TestReturnIsDeterminedOnlyTogether(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.at("S1", 10, 3e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 12)
	draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 3, At: b.when(12)})
	b.mv(ledger.Movement{From: "Y1", To: "S1", Volume: 0.5, At: b.when(13)})
	b.at("S1", 14, 1.4e9, quantity.LabelBasis, b.vial)
	bal := b.reconcile()
	moved, _, _ := bal.Moved(draw)
	if bal.Assayed(moved) || bal.Known(draw) != ledger.ByVolume {
		t.Error("the draw alone is not determined before the return was read")
	}
	if !bal.Assayed(bal.Now("Y1")) {
		t.Error("what is left in the syringe is determined by the two readings")
	}
	y, _ := bal.Activity(bal.Now("Y1"), b.when(420))
	near(t, "syringe", y.MBq(), 1600, 1e-6)
}

func TestHoldUpIsFoundByReadingTheEmptiedSyringe(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.at("S1", 10, 3e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 12)
	b.open("A1", ledger.AdministrationVial, 12)
	b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2, At: b.when(12)})
	b.at("S1", 13, 1.8e9, quantity.LabelBasis, b.vial)
	b.mv(ledger.Movement{From: "Y1", To: "A1", Whole: true, At: b.when(14)})
	y, _ := b.reconcile().Activity(b.reconcile().Now("A1"), b.when(420))
	near(t, "unread, everything is in the vial", y.MBq(), 1200, 1e-6)
	b.at("Y1", 15, 0.03e9, quantity.LabelBasis, b.vial)
	bal := b.reconcile()
	y, _ = bal.Activity(bal.Now("A1"), b.when(420))
	near(t, "less the hold-up", y.MBq(), 1170, 1e-6)
}

func TestBasesAreNeverMixed(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.at("S1", 10, 3e9, quantity.LabelBasis, b.vial)
	b.open("Y1", ledger.Syringe, 12)
	draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2, At: b.when(12)})
	aside := b.at("S1", 13, 2.3e9, quantity.TraceableBasis, b.second)
	bal := b.reconcile()
	moved, _, _ := bal.Moved(draw)
	if bal.Assayed(moved) {
		t.Error("a traceable reading was subtracted from a label-matched one")
	}
	got := bal.SetAside()
	if len(got) != 1 || got[0].Entry != aside || got[0].Is != quantity.TraceableBasis || bal.Basis("Y1") != quantity.LabelBasis {
		t.Errorf("set aside %+v, basis %q", got, bal.Basis("Y1"))
	}
}

// TestTheOthersPredict: a 2.40 typed 2.04 among replicates. By hand: the others
// give the mean of 2.41, 2.39 and 2.40, each ± 0.8 %, so 2.40 ± 0.8 %/√3; the
// meter's factor is common to all and cancels, and the label, ± 5.8 % with the
// meter's ± 2 % between, moves neither by 0.1 % (JCGM 100:2008, 4.2.3 and H.5).
func TestTheOthersPredict(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 2.4e9)
	for _, y := range []float64{2.41e9, 2.39e9, 2.04e9, 2.40e9} {
		b.at("S1", 0, y, quantity.LabelBasis, b.vial)
	}
	for _, e := range b.Evidence() {
		fit := e.Fit(nil)
		for i, d := range e.Data() {
			if d.Entry != 4 || d.Kind != ledger.ReadingDatum {
				continue
			}
			p := fit.Predict(i)
			near(t, "expected from the others", p.Value/d.Value, 2.40/2.04, 0.0012)
			loose := make([]float64, len(e.Data()))
			for k := range loose {
				loose[k] = 1
			}
			loose[i] = 1e6
			q := e.Fit(loose).Predict(i)
			near(t, "the fit without it", q.Value/p.Value, 1, 1e-9)
			near(t, "and its uncertainty", q.U/p.U, 1, 1e-6)
			near(t, "the readings' own scatter", p.U/p.Value, 0.008/math.Sqrt(3), 0.0003)
			return
		}
	}
	t.Error("entry 4 is no datum")
}

func TestUnreadVialStandsOnItsLabel(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	bal := b.reconcile()
	y, u := bal.Activity(bal.Now("S1"), b.when(420))
	near(t, "label", y.MBq(), 3000, 1e-6)
	near(t, "u", u.MBq(), 3000.0/17, 1e-6)
	if bal.Assayed(bal.Now("S1")) || bal.Known(1) != ledger.ByLabel {
		t.Error("a label passes for an assay")
	}
}

func TestMeasuredShareGivesTheDelivered(t *testing.T) {
	b := newBench(t)
	b.receive("A1", 1e9)
	b.at("A1", 10, 1e9, quantity.LabelBasis, b.vial)
	b.open("P1", ledger.Territory, 20)
	inf := b.mv(ledger.Movement{From: "A1", To: "P1", Volume: 5, At: b.when(20), Measured: ledger.Share{Value: 0.96, U: 0.01}})
	bal := b.reconcile()
	moved, _, _ := bal.Moved(inf)
	y, u := bal.Activity(moved, b.when(420))
	near(t, "delivered", y.MBq(), 960, 1e-6)
	near(t, "u", u.MBq(), math.Sqrt(960*960*(0.02*0.02+0.008*0.008)+10*10), 0.01)
	if bal.Known(inf) != ledger.ByDoseRate {
		t.Errorf("known %q", bal.Known(inf))
	}
}

// TestConservation: whatever moves where, the containers hold together what
// was received, at every instant, to rounding.
func TestConservation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := randomTwin(rapid.Uint64Range(1000, 1e6).Draw(t, "seed"))
		bal, err := ledger.Reconcile(w.book)
		if err != nil {
			t.Fatal(err)
		}
		at := w.epoch.Add(time.Duration(rapid.IntRange(-700, 700).Draw(t, "minute")) * time.Minute)
		var all, came ledger.Amount
		for _, id := range w.names {
			all = all.Plus(bal.Now(id))
		}
		for entry := range w.entry {
			moved, before, ok := bal.Moved(entry + 1)
			if from, _ := bal.Activity(before, at); ok && from == 0 {
				came = came.Plus(moved)
			}
		}
		a, u := bal.Activity(all, at)
		c, v := bal.Activity(came, at)
		diff, _ := bal.Activity(all.Minus(came), at)
		if diff != 0 || a != c || u != v {
			t.Errorf("containers %v ± %v, received %v ± %v", a, u, c, v)
		}
	})
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name, code, field, text string
		do                      func(b *bench) error
	}{
		{"same id", "duplicate-id", "id", "already in use", func(b *bench) error { return b.Open(ledger.Container{ID: "S1"}, b.when(1)) }},
		{"unknown source", "unknown-container", "from", "no container is called S9", func(b *bench) error { return b.Move(ledger.Movement{From: "S9", To: "Y1", Volume: 1, At: b.when(2)}) }},
		{"unknown target", "unknown-container", "into", "no container is called Y9", func(b *bench) error { return b.Move(ledger.Movement{From: "S1", To: "Y9", Volume: 1, At: b.when(2)}) }},
		{"into itself", "same-container", "into", "into itself", func(b *bench) error { return b.Move(ledger.Movement{From: "S1", To: "S1", Volume: 1, At: b.when(2)}) }},
		{"from nothing", "empty-container", "from", "nothing is in Y1", func(b *bench) error { return b.Move(ledger.Movement{From: "Y1", To: "S1", Volume: 1, At: b.when(2)}) }},
		{"too much", "overdrawn", "volume", "5.1 mL cannot leave S1, which holds 5 mL", func(b *bench) error { return b.Move(ledger.Movement{From: "S1", To: "Y1", Volume: 5.1, At: b.when(2)}) }},
		{"too early", "before-receipt", "at", "before S1 came in at", func(b *bench) error { return b.Move(ledger.Movement{From: "S1", To: "Y1", Volume: 1, At: b.when(-1)}) }},
		{"reading of nothing", "empty-container", "of", "nothing has come into Y1", func(b *bench) error { return b.Read(ledger.Reading{Of: "Y1", At: b.when(2)}) }},
		{"reading of no one", "unknown-container", "of", "no container is called Z", func(b *bench) error { return b.Read(ledger.Reading{Of: "Z", At: b.when(2)}) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.receive("S1", 3e9)
			b.open("Y1", ledger.Syringe, 1)
			before := b.Volume("S1")
			var r *ledger.Refusal
			if err := c.do(b); !errors.As(err, &r) {
				t.Fatalf("accepted: %v", err)
			}
			if r.Code != c.code || r.Field != c.field || !strings.Contains(r.Msg, c.text) || r.Hint == "" {
				t.Errorf("%+v", r)
			}
			if b.Volume("S1") != before {
				t.Error("a refused movement changed the books")
			}
		})
	}
}

func TestVolumesFollowTheClock(t *testing.T) {
	b := newBench(t)
	b.receive("S1", 3e9)
	b.open("Y1", ledger.Syringe, 12)
	b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2.2, At: b.when(12)})
	if err := b.Add("Y1", 1.3, b.when(13)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		id     string
		minute int
		want   quantity.Volume
	}{{"S1", 11, 5}, {"S1", 12, 2.8}, {"Y1", 11, 0}, {"Y1", 12, 2.2}, {"Y1", 13, 3.5}} {
		if got := b.VolumeAt(c.id, b.when(c.minute)); got != c.want {
			t.Errorf("%s at minute %d: %v mL, want %v", c.id, c.minute, got, c.want)
		}
	}
	for entry, want := range map[int]quantity.Volume{1: 5, 2: 2.8} {
		if got, into := b.VolumeWhen("S1", b.when(12), entry), b.VolumeWhen("Y1", b.when(12), entry); got != want || math.Abs(float64(got+into)-5) > 1e-9 {
			t.Errorf("after entry %d: %v mL and %v mL, want %v of 5", entry, got, into, want)
		}
	}
	if got := b.VolumeBefore(2); got != 5 {
		t.Errorf("before the draw %v mL", got)
	}
}
