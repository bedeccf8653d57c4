package fold_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/ledger"
)

// twoDays is an invented story of one vial over three days: what is left of it
// is drawn for a second patient after the meter was calibrated again and the
// site had decided otherwise.
const twoDays = `case: 2
zone: UTC
half-life: 64.0417 h
policy: {tolerance: 10 %, limit: 20 %, label-tolerance: 10 %, draw-yield: {q: 97 %, u: 4 %}, make-up: [3 mL, 5 mL], graduation: 0.1 mL}
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}}}
entries:
  - order:   {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - read:    {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - draw:    {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read:    {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.85 GBq, background: 0.2 MBq}
  - order:   {id: P2, prescribed: 0.40 GBq, at: 2027-03-07T13:30}
  - policy:  {tolerance: 5 %, limit: 15 %, label-tolerance: 6 %, draw-yield: {q: 95 %, u: 3 %}, make-up: [2 mL, 4 mL], graduation: 0.1 mL, from: 2027-03-05T00:00, reason: decided in spring}
  - meter:   {id: M1, calibration-u: 1 %, repeatability: 0.5 %, geometry: {shipping-vial: {factor: 1.02, u: 0 %, basis: label}}, from: 2027-03-06T00:00, reason: yearly}
  - read:    {of: S1, meter: M1, at: 2027-03-07T11:00, gross: 0.867 GBq, background: 0.2 MBq}
  - draw:    {from: S1, into: Y2, for: P2, at: 2027-03-07T11:10, volume: 1.3 mL}
  - read:    {of: S1, meter: M1, at: 2027-03-07T11:14, gross: 0.454 GBq, background: 0.2 MBq}
  - make-up: {of: Y2, at: 2027-03-07T11:20, volume: 1.2 mL, diluent: water for injection}
  - order:   {id: P3, prescribed: 0.20 GBq, at: 2027-03-07T15:30}
`

// TestPinnedWhenRecorded: an entry keeps what was in force when it was recorded,
// a reading rests on the calibration that held when it was taken.
func TestPinnedWhenRecorded(t *testing.T) {
	c := facttest.FoldText(t, twoDays)
	order := func(id string) dispensing.Rules {
		for _, o := range c.Orders {
			if o.ID == id {
				return *o.Rules
			}
		}
		t.Fatal(id)
		return dispensing.Rules{}
	}
	for _, x := range []struct {
		what      string
		got, want float64
	}{
		{"tolerance of an order of before", float64(order("P1").Tolerance), 0.10},
		{"tolerance of an order for later, written before", float64(order("P2").Tolerance), 0.10},
		{"tolerance of an order of after", float64(order("P3").Tolerance), 0.05},
		{"limit of an order of after", float64(order("P3").Limit), 0.15},
		{"tolerance of the label, as received", float64(c.Vials[0].Tolerance), 0.10},
		{"most after a make-up of after", float64(c.MakeUps[0].Max), 4},
		{"tolerance of what is still to be done", float64(c.Policy.Tolerance), 0.05},
	} {
		if x.got != x.want {
			t.Errorf("%s is %v, want %v", x.what, x.got, x.want)
		}
	}
	// Worked by hand: the first two readings have the factor 1, the later ones
	// 1.02; each pair is decayed to the draw's own infusion time.
	//   P1: 3.2398·2^(−2.5/64.0417) − 1.8498·2^(−2.26667/64.0417) = 1.34833 GBq
	//   P2: [0.8668·2^(−2.5/64.0417) − 0.4538·2^(−2.26667/64.0417)]/1.02 = 0.39287 GBq
	// The least-squares value lies nearby: the two pairs also say something of
	// one another through the remainder, three days apart.
	half := 64.0417
	by := func(y1, y2, k float64) float64 {
		return (y1*math.Exp2(-2.5/half) - y2*math.Exp2(-(2+16.0/60)/half)) / k
	}
	r := dispensing.Reckon(c, time.Time{})
	for i, want := range []float64{by(3.2398, 1.8498, 1), by(0.8668, 0.4538, 1.02)} {
		d := r.Orders[i].Dispensed
		if d == nil {
			t.Fatalf("%s is not known", r.Orders[i].Order.ID)
		}
		if got, u := float64(d.Activity)/1e9, float64(d.U)/1e9; math.Abs(got-want) > 0.5*u {
			t.Errorf("%s: %.5f ± %.5f GBq, by hand %.5f", r.Orders[i].Order.ID, got, u, want)
		}
	}
	// V = V_vial·A_d/(q·A_vial), with the yield of the policy at each draw: 97 %,
	// and 95 % after it was changed.
	for i, want := range []float64{
		5 * 1.30 * math.Exp2((2+20.0/60)/half) / (0.97 * 3.2398 * math.Exp2(-(10.0/60)/half)),
		2.8 * 0.40 * math.Exp2((2+20.0/60)/half) / (0.95 * 0.8668 / 1.02 * math.Exp2(-(10.0/60)/half)),
	} {
		if p := r.Orders[i].Plan; p == nil || math.Abs(float64(p.Exact)/want-1) > 0.01 {
			t.Errorf("%s: planned %+v, by hand %.4f mL", r.Orders[i].Order.ID, p, want)
		}
	}
	if _, gain, geometry, _ := c.Book.LastReading("S1"); gain.U != 0.01 || geometry.Value != 1.02 {
		t.Errorf("the last reading rests on %+v and %+v", gain, geometry)
	}
}

// TestEachSetAlone: what is read of one vial moves no figure of another, so that
// a file of two vials gives what two files of one give, to the last bit; also
// where the waste of both ends in one bin and they are read on two bases.
func TestEachSetAlone(t *testing.T) {
	head := `case: 1
zone: UTC
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 1 %, basis: label}}}
  - {id: M2, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 1 %, basis: traceable}}}
entries:
`
	of := func(n, gross, after string) string {
		return `  - order:   {id: P` + n + `, prescribed: 1.30 GBq, at: 2027-03-04T13:30}
  - receive: {vial: S` + n + `, lot: L-` + n + `, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T08:00}
  - read:    {of: S` + n + `, meter: M` + n + `, at: 2027-03-04T11:00, gross: ` + gross + ` GBq, background: 0.2 MBq}
  - draw:    {from: S` + n + `, into: Y` + n + `, for: P` + n + `, at: 2027-03-04T11:10, volume: 2.2 mL}
  - read:    {of: S` + n + `, meter: M` + n + `, at: 2027-03-04T11:1` + n + `, gross: ` + after + ` GBq, background: 0.2 MBq}
  - transfer: {from: Y` + n + `, into: A` + n + `, at: 2027-03-04T11:20}
  - discard: {from: S` + n + `, into: W1, at: 2027-03-04T11:2` + n + `, volume: 1 mL}
`
	}
	one, two := of("1", "3.24", "1.85"), of("2", "3.40", "1.90")
	both := facttest.FoldText(t, head+one+two)
	for n, text := range map[string]string{"1": one, "2": two} {
		alone := facttest.FoldText(t, head+text)
		for _, id := range []string{"S" + n, "A" + n} {
			a, ua := held(t, alone.Book, id)
			b, ub := held(t, both.Book, id)
			if a != b || ua != ub {
				t.Errorf("%s holds %v ± %v alone and %v ± %v beside another vial", id, a, ua, b, ub)
			}
		}
	}
	// A slip of one vial withholds what is in the bin, and nothing of the other vial.
	slipped := facttest.FoldText(t, head+strings.Replace(one, "3.24 GBq", "32.4 GBq", 1)+two)
	for _, k := range dispensing.Reckon(slipped, time.Time{}).Containers {
		id := k.Container.ID
		if want := strings.HasSuffix(id, "1"); (k.Withheld != "") != want {
			t.Errorf("%s is withheld for %q, want it withheld: %v", id, k.Withheld, want)
		}
	}
}

func held(tb testing.TB, book *ledger.Book, id string) (y, u float64) {
	tb.Helper()
	b, err := ledger.Reconcile(book)
	if err != nil {
		tb.Fatal(err)
	}
	v, w := b.Activity(b.Now(id), time.Date(2027, 3, 4, 13, 30, 0, 0, time.UTC))
	return float64(v), float64(w)
}
