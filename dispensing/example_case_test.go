package dispensing_test

import (
	"math"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

var azores = time.FixedZone("UTC-01:00", -3600)

func at(clock string) time.Time {
	t, err := time.ParseInLocation("2006-01-02T15:04", "2027-03-04T"+clock, azores)
	if err != nil {
		panic(err)
	}
	return t
}

func policy() dispensing.Policy {
	return dispensing.Policy{
		Rules:          dispensing.Rules{Tolerance: 0.10, Confidence: 0.95, Basis: quantity.LabelBasis},
		LabelTolerance: 0.10, LabelDrift: 0.02, MakeUpMin: 3, MakeUpMax: 5, Graduation: 0.1,
		Yield: ledger.Share{Value: 1, U: 0.05}, ResidualU: 0.2,
	}
}

// story builds a case step by step; every test tells its own.
type story struct {
	dispensing.Case
	entry      int
	gain, geom ledger.FactorID
	rel        float64
	basis      quantity.Basis
}

func newStory() *story { return storyOf(0) }

// storyOf is a story by a half-life with that standard uncertainty.
func storyOf(u quantity.Span) *story {
	halfLife := nuclide.HalfLife{Value: 64.0417 * quantity.Hour, U: u, Source: "set by the test"}
	b := ledger.New(at("18:00"), halfLife)
	s := &story{rel: 0.008, basis: quantity.LabelBasis}
	s.Case = dispensing.Case{
		Zone: azores, HalfLife: halfLife,
		Policy: policy(), Book: b, Serves: map[string]string{}, Names: map[int][]string{},
	}
	s.gain = b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02})
	s.geom = b.AddFactor(ledger.Factor{Name: "M1 shipping-vial", Value: 1})
	return s
}

func (s *story) next(t time.Time, names ...string) int {
	s.entry++
	s.Names[s.entry] = names
	if t.After(s.Last) {
		s.Last = t
	}
	return s.entry
}

func try(err error) {
	if err != nil {
		panic(err)
	}
}

func (s *story) order(id string, a quantity.Activity, when string, residual quantity.Fraction) {
	s.entry++
	s.Names[s.entry] = []string{id}
	s.Orders = append(s.Orders, dispensing.Order{Entry: s.entry, ID: id, Prescribed: a, At: at(when), Residual: residual})
}

func (s *story) receive(id string, a quantity.Activity) {
	s.entry++
	s.Names[s.entry] = []string{id}
	s.Vials = append(s.Vials, dispensing.Vial{Entry: s.entry, ID: id, Lot: "L-0311", Labelled: a, Reference: at("18:00"), Volume: 5})
	try(s.Book.Open(ledger.Container{ID: id, Kind: ledger.ShippingVial}, time.Time{}))
	try(s.Book.Move(ledger.Movement{Entry: s.entry, To: id, Volume: 5, Label: a, LabelU: a / 17.320508, Reference: at("18:00"), At: at("07:00")}))
}

func (s *story) read(of, when string, gross quantity.Activity) int {
	e := s.next(at(when), of)
	bg := 0.2 * quantity.MegaBecquerel
	try(s.Book.Read(ledger.Reading{Entry: e, Of: of, At: at(when), Net: gross - bg, Relative: s.rel, Background: bg * 0.008, Floor: 2.9e6, Gain: s.gain, Geometry: s.geom, Basis: s.basis}))
	s.Readings = append(s.Readings, dispensing.Reading{Entry: e, Of: of, Meter: "M1", At: at(when), Gross: gross, Background: bg, Basis: s.basis})
	return e
}

func (s *story) draw(from, into, forOrder, when string, v quantity.Volume) {
	e := s.next(at(when), from, into, forOrder)
	if _, ok := s.Book.Container(into); !ok {
		try(s.Book.Open(ledger.Container{ID: into, Kind: ledger.Syringe}, at(when)))
	}
	try(s.Book.Move(ledger.Movement{Entry: e, From: from, To: into, Volume: v, At: at(when)}))
	s.Draws = append(s.Draws, dispensing.Draw{Entry: e, From: from, Into: into, For: forOrder, At: at(when), Volume: v})
	s.Serves[into] = forOrder
}

func (s *story) makeUp(of, when string, v quantity.Volume, diluent string) {
	e := s.next(at(when), of)
	try(s.Book.Add(of, v, at(when)))
	s.MakeUps = append(s.MakeUps, dispensing.MakeUp{Entry: e, Of: of, At: at(when), Volume: v, Diluent: diluent, After: s.Book.Volume(of)})
}

func (s *story) transfer(from, into, when string) {
	e := s.next(at(when), from, into)
	try(s.Book.Open(ledger.Container{ID: into, Kind: ledger.AdministrationVial}, at(when)))
	try(s.Book.Move(ledger.Movement{Entry: e, From: from, To: into, Whole: true, At: at(when)}))
	s.Serves[into] = s.Serves[from]
}

func (s *story) residual(order, from string, before, after dispensing.DoseReading) {
	e := s.next(after.At, order)
	f, u, err := dispensing.ResidualFraction(before, after, s.HalfLife.Value, s.Policy.ResidualU)
	try(err)
	s.Residuals = append(s.Residuals, dispensing.Residual{Entry: e, For: order, From: from, Before: before, After: after})
	var start time.Time
	for _, o := range s.Orders {
		if o.ID == order {
			start = o.At
		}
	}
	s.Infusions = append(s.Infusions, dispensing.Infusion{Entry: e, For: order, From: from, Start: start, Implied: true})
	try(s.Book.Open(ledger.Container{ID: order, Kind: ledger.Territory}, start))
	try(s.Book.Move(ledger.Movement{Entry: e, From: from, To: order, Volume: s.Book.Volume(from), At: start, Measured: ledger.Share{Value: 1 - f, U: u}}))
}

// assayed is an order beside a vial of 3.0 GBq that was read at 11:00.
func assayed(prescribed quantity.Activity, infusion string, residual quantity.Fraction) *story {
	s := newStory()
	s.order("P1", prescribed, infusion, residual)
	s.receive("S1", 3.0*quantity.GigaBecquerel)
	s.read("S1", "11:00", 3.24*quantity.GigaBecquerel)
	return s
}

// toDraw is the example preparation up to the draw and the reading after it.
func toDraw() *story {
	s := assayed(1.30*quantity.GigaBecquerel, "13:30", 0.02)
	s.draw("S1", "Y1", "P1", "11:10", 2.2)
	s.read("S1", "11:14", 1.85*quantity.GigaBecquerel)
	return s
}

func whole() *story {
	s := toDraw()
	s.makeUp("Y1", "11:18", 1.3, "water for injection")
	s.transfer("Y1", "A1", "11:20")
	s.residual("P1", "A1",
		dispensing.DoseReading{At: at("11:30"), Rates: []quantity.MeterRate{182}, Background: 0.2, Resolution: 1, BackgroundStep: 0.1, Family: "uSv/h"},
		dispensing.DoseReading{At: at("15:12"), Rates: []quantity.MeterRate{6.4}, Background: 0.2, Resolution: 0.1, BackgroundStep: 0.1, Family: "uSv/h"})
	return s
}

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// TestSaid: what reads 0 is nothing, within the half width of its 95 % interval;
// 0.54 GBq is 1.96 times 0.275 GBq.
func TestSaid(t *testing.T) {
	for _, c := range []struct {
		y, u quantity.Activity // MBq
		want string
	}{
		{0.8103, 275, "nothing, within 0.54 GBq (15 mCi)"},
		{1348.34, 39.65, "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)"},
		{400, 270, "400 ± 270 MBq (10.8 ± 7.3 mCi)"},
		{0, 0, "0 Bq (0 microcurie)"},
	} {
		if got := dispensing.Said(1e6*c.y, 1e6*c.u); got != c.want {
			t.Errorf("%v ± %v MBq is %q, want %q", c.y, c.u, got, c.want)
		}
	}
}

// TestExamplePreparation checks the whole chain by the closed forms of the
// package comment, worked out independently to the digits given.
func TestExamplePreparation(t *testing.T) {
	r := dispensing.Reckon(whole().Case, time.Time{})
	v, o := r.Vials[0], r.Orders[0]
	within(t, "epoch activity", v.Measured.MBq(), 3003.409, 5e-4)
	within(t, "wanted draw", float64(o.Plan.Exact), 2.10339, 5e-6)
	within(t, "rounded draw", float64(o.Plan.Draw), 2.1, 0)
	within(t, "dispensed", o.Dispensed.Activity.MBq(), 1348.340, 5e-4)
	within(t, "its uncertainty", o.Dispensed.U.MBq(), 39.650, 5e-4)
	within(t, "ratio", o.Dispensed.Ratio, 1.016441, 5e-7)
	within(t, "conformance", o.Dispensed.Conformance, 0.997361, 5e-7)
	within(t, "residual fraction", o.Delivered.Fraction, 0.0354968, 5e-8)
	within(t, "delivered", o.Delivered.Activity.MBq(), 1300.479, 5e-4)
	if got := o.Dispensed.ValidFrom.Format("2006-01-02 15:04:05"); got != "2027-03-04 11:10:00" { // when it was drawn; inside tolerance by itself from 06:12:03
		t.Errorf("valid from %s", got)
	}
	if got := o.Dispensed.ValidUntil.Format("2006-01-02 15:04:05"); got != "2027-03-05 00:44:28" {
		t.Errorf("valid until %s", got)
	}
	if o.Dispensed.Standing != dispensing.Conforms || o.Next != dispensing.Complete || r.Stopped() {
		t.Errorf("standing %s, next %s, findings %+v", o.Dispensed.Standing, o.Next, r.Findings)
	}
}
