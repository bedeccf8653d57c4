package state_test

import (
	"math"
	"slices"
	"strconv"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fold"
)

// atTime moves the clock of the invented laboratory.
func (s *site) atTime(text string) *site {
	s.tb.Helper()
	t, err := time.Parse("2006-01-02T15:04", text)
	if err != nil {
		s.tb.Fatal(err)
	}
	s.now = t
	return s
}

// reckoned is what the group of an order comes to now.
func (s *site) reckoned(order string) (dispensing.Case, dispensing.Result, dispensing.OrderResult) {
	s.tb.Helper()
	c, err := fold.Records(s.books.Records(s.books.Groups(order), order), time.LoadLocation)
	if err != nil {
		s.tb.Fatal(err)
	}
	r := dispensing.Reckon(c, s.now)
	for _, o := range r.Orders {
		if o.Order.ID == order {
			return c, r, o
		}
	}
	s.tb.Fatalf("no order %s", order)
	return c, r, dispensing.OrderResult{}
}

func (s *site) day1() {
	for _, x := range [][2]string{
		{"2027-03-01T07:10", "receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:10}"},
		{"2027-03-01T07:11", "receive: {vial: S2, lot: L-2, labelled: 4.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:11}"},
		{"2027-03-01T07:12", "order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-01T13:30}"},
		{"2027-03-01T08:00", "read: {of: S1, meter: M1, at: 2027-03-01T08:00, gross: 3.34 GBq, background: 0.2 MBq}"},
		{"2027-03-01T08:05", "read: {of: S2, meter: M1, at: 2027-03-01T08:05, gross: 4.45 GBq, background: 0.2 MBq}"},
		{"2027-03-01T08:10", "draw: {from: S1, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.1 mL}"},
	} {
		s.atTime(x[0]).add(s.fact(x[1]))
	}
}

// TestADrawIsMovedToAnotherVial: the sets are formed again, both vials' figures
// move, and the label keeps what was printed on it, with a finding that says so.
func TestADrawIsMovedToAnotherVial(t *testing.T) {
	s := newSite(t)
	s.day1()
	draw := s.books.Len()
	s.atTime("2027-03-01T08:14").add(s.fact("read: {of: S1, meter: M1, at: 2027-03-01T08:14, gross: 1.92 GBq, background: 0.2 MBq}"))
	_, _, before := s.reckoned("P1")
	s.atTime("2027-03-01T08:30").add(s.fact("label: {for: P1, of: Y1, copy: 1, size: syringe, serial: K7MP-3YWD-9CK2, at: 2027-03-01T08:30, printed: {activity: 1.36 GBq, reference: 2027-03-01T13:30, volume: 2.1 mL, valid-from: 2027-03-01T11:00, valid-until: 2027-03-01T15:00, half-life: 64.05 h, lot: L-1, dose: 1, doses: 1}}"))
	s.atTime("2027-03-01T09:00").add(s.fact("correct: {entry: " + strconv.Itoa(draw) + ", reason: the other vial, with: {draw: {from: S2, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.1 mL}}}"))
	s.add(s.fact("correct: {entry: " + strconv.Itoa(draw+1) + ", reason: the other vial, with: {read: {of: S2, meter: M1, at: 2027-03-01T08:14, gross: 2.56 GBq, background: 0.2 MBq}}}"))
	for _, id := range []string{"S1", "S2", "P1"} {
		if g := s.books.Groups(id); len(g) != 1 || g[0].Newest() != s.books.Len() {
			t.Errorf("%s was not touched", id)
		}
	}
	c, r, after := s.reckoned("P1")
	if before.Dispensed == nil || after.Dispensed == nil {
		t.Fatal("no dose")
	}
	// By hand, for the vial as it was believed and as it was: the reading before less
	// the reading after, both at 13:30.
	for _, x := range []struct {
		got         *dispensing.Dispensed
		full, after float64
	}{{before.Dispensed, 3.3398e9 * math.Exp2(-5.5/64.05), 1.9198e9}, {after.Dispensed, 4.4498e9 * math.Exp2(-(5+25.0/60)/64.05), 2.5598e9}} {
		want := x.full - x.after*math.Exp2(-(5+16.0/60)/64.05)
		if math.Abs(float64(x.got.Activity)-want) > float64(x.got.U) {
			t.Errorf("%v ± %v, by hand %g", x.got.Activity, x.got.U, want)
		}
	}
	if i := slices.IndexFunc(r.Findings, func(f dispensing.Finding) bool { return f.Code == "label-drift" && f.Order == "P1" }); i < 0 {
		t.Errorf("nothing says that the label no longer holds: %+v", r.Findings)
	}
	for _, id := range []string{"S1", "S2"} { // nothing joins them any more
		if got, want := float64(c.Book.Volume(id)), map[string]float64{"S1": 5, "S2": 2.9}[id]; math.Abs(got-want) > 1e-9 {
			t.Errorf("%s holds %v mL, by subtraction %v", id, got, want)
		}
	}
}

// TestABinOfManySets: a waste item keeps where things came from, so that what it
// holds is the sum of the sets, and moves when an entry of one of them is corrected.
func TestABinOfManySets(t *testing.T) {
	s := newSite(t)
	s.day1()
	read := s.books.Len() - 2
	s.atTime("2027-03-01T09:00").add(s.fact("discard: {from: S1, into: W1, volume: 1 mL, at: 2027-03-01T09:00}"))
	s.atTime("2027-03-01T09:05").add(s.fact("discard: {from: S2, into: W1, volume: 1 mL, at: 2027-03-01T09:05}"))
	holds := func() float64 {
		return balances(t, s.books.Records(s.books.Groups("W1"), "W1"))["W1"][0]
	}
	parts := func() (sum float64) {
		for _, id := range []string{"S1", "S2"} {
			sum += balances(t, s.books.Records(s.books.Groups(id)))["W1"][0]
		}
		return sum
	}
	w1 := balances(t, s.books.Records(s.books.Groups("W1"), "W1"))["W1"]
	apart := 0.0
	for _, id := range []string{"S1", "S2"} {
		apart = math.Hypot(apart, balances(t, s.books.Records(s.books.Groups(id)))["W1"][1])
	}
	if w1[1] <= apart*1.01 { // one meter read both vials
		t.Errorf("the bin is known to %g Bq, two sets on two meters would be to %g", w1[1], apart)
	}
	before := holds()
	if sum := parts(); !near(before, sum, 1e-9) || before == 0 {
		t.Errorf("the bin holds %g Bq, its sets put in %g", before, sum)
	}
	s.atTime("2027-03-01T10:00").add(s.fact("correct: {entry: " + strconv.Itoa(read) + ", reason: misread, with: {read: {of: S1, meter: M1, at: 2027-03-01T08:00, gross: 3.04 GBq, background: 0.2 MBq}}}"))
	after := holds()
	if sum := parts(); after >= before || !near(after, sum, 1e-9) {
		t.Errorf("the bin held %g Bq and holds %g after the correction, its sets put in %g", before, after, sum)
	}
}

// TestLateEntryFromPaper: what was written on paper while the program stood still
// is reckoned at its own time: a reading on the calibration that held when it was
// taken. What was decided meanwhile holds for an entry by when it was recorded.
func TestLateEntryFromPaper(t *testing.T) {
	s := newSite(t)
	s.day1()
	s.atTime("2027-03-02T07:00").add(s.fact("meter: {id: M1, calibration-u: 1 %, repeatability: 0.5 %, geometry: {shipping-vial: {factor: 1.25, u: 1 %, basis: label}}, from: 2027-03-02T07:00, reason: yearly}"))
	s.add(s.fact("policy: {tolerance: 5 %, from: 2027-03-02T07:00, reason: decided}"))
	s.atTime("2027-03-02T09:00")
	s.add(s.fact("read: {of: S1, meter: M1, at: 2027-03-01T08:14, gross: 1.92 GBq, background: 0.2 MBq}"))
	s.add(s.fact("order: {id: P2, prescribed: 0.5 GBq, at: 2027-03-02T13:30}"))
	s.add(s.fact("draw: {from: S1, into: Y2, for: P2, at: 2027-03-02T08:30, volume: 1.3 mL}"))
	_, r, first := s.reckoned("P1")
	// By hand: 3.3398·2^(−5.5/64.05) − 1.9198·2^(−5.26667/64.05) = 1.333 GBq, on a
	// shipping-vial factor of 1; on 1.25 the reading would contradict the other.
	want := 3.3398e9*math.Exp2(-5.5/64.05) - 1.9198e9*math.Exp2(-5.26667/64.05)
	if first.Dispensed == nil || math.Abs(float64(first.Dispensed.Activity)-want) > float64(first.Dispensed.U) {
		t.Errorf("P1 %+v, by hand %g; %+v", first.Dispensed, want, r.Findings)
	}
	if _, _, second := s.reckoned("P2"); second.Order.Rules.Tolerance != 0.05 || first.Order.Rules.Tolerance != 0.10 {
		t.Errorf("tolerances %v and %v", first.Order.Rules.Tolerance, second.Order.Rules.Tolerance)
	}
	c, _, _ := s.reckoned("P1")
	if _, _, g, _ := c.Book.LastReading("S1"); g.Value != 1 {
		t.Errorf("the late reading rests on a factor of %v", g.Value)
	}
}
