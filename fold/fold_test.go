package fold_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/settling"
)

func near(tb testing.TB, what string, got, want, relative float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		tb.Errorf("%s is %.9g, want %.9g to %g", what, got, want, relative)
	}
}

// TestWorkedExample holds the fold of testdata/worked.yaml to what a person
// reads from the file. Numbers are those of the file to the last bit, but for
// the sums, which are to 1e-12: two roundings.
func TestWorkedExample(t *testing.T) {
	c := facttest.Fold(t, facttest.Worked(t))
	sameTime := cmp.Comparer(func(a, b time.Time) bool { return a.Equal(b) })
	check := func(what string, got, want any) {
		t.Helper()
		if d := cmp.Diff(want, got, sameTime, cmpopts.EquateApprox(1e-12, 0)); d != "" {
			t.Errorf("%s (-want +got):\n%s", what, d)
		}
	}
	check("zone", c.Zone.String(), "Atlantic/Azores")
	check("how well the vial is read", c.Meters, map[string]dispensing.MeterU{"S1": {Repeat: 0.008, Common: 0.02}})
	check("what the draw names", c.Names[4], []string{"S1", "Y1", "P1"})
	check("orders", c.Orders, []dispensing.Order{{Entry: 1, ID: "P1", Prescribed: 1.3e9, Written: "1.30 GBq", At: facttest.Local("13:30"), Residual: 0.02, Rules: &dispensing.Rules{Tolerance: 0.1, Confidence: 0.95, Basis: quantity.LabelBasis}}})
	check("vials", c.Vials, []dispensing.Vial{{Entry: 2, ID: "S1", Lot: "L-0311", Labelled: 3e9, Reference: facttest.Local("18:00"), Volume: 5, Tolerance: 0.1, LabelWritten: "3.0 GBq", VolumeWritten: "5.0 mL"}})
	check("readings", c.Readings, []dispensing.Reading{
		{Entry: 3, Of: "S1", Meter: "M1", At: facttest.Local("11:00"), Gross: 3.24e9, Background: 2e5, Basis: quantity.LabelBasis, Written: "3.24 GBq"},
		{Entry: 5, Of: "S1", Meter: "M1", At: facttest.Local("11:14"), Gross: 1.85e9, Background: 2e5, Basis: quantity.LabelBasis, Written: "1.85 GBq"},
	})
	check("draws", c.Draws, []dispensing.Draw{{Entry: 4, From: "S1", Into: "Y1", For: "P1", At: facttest.Local("11:10"), Volume: 2.2, Yield: ledger.Share{Value: 1, U: 0.05}, Written: "2.2 mL"}})
	check("make-ups", c.MakeUps, []dispensing.MakeUp{
		{Entry: 6, Of: "Y1", At: facttest.Local("11:18"), Volume: 1.3, Diluent: "water for injection", After: 3.5, Min: 3, Max: 5},
	})
	check("serves", c.Serves, map[string]string{"Y1": "P1", "A1": "P1"})
	check("infusions", c.Infusions, []dispensing.Infusion{{Entry: 8, For: "P1", From: "A1", Start: facttest.Local("13:30"), Implied: true}})
	check("residuals", c.Residuals, []dispensing.Residual{{
		Entry: 8, For: "P1", From: "A1",
		Before: dispensing.DoseReading{Entry: 8, At: facttest.Local("11:30"), Rates: []quantity.MeterRate{182}, Background: 0.2, Resolution: 1, BackgroundStep: 0.1, Family: "uSv/h", Unit: "uSv/h"},
		After:  dispensing.DoseReading{Entry: 8, At: facttest.Local("15:12"), Rates: []quantity.MeterRate{6.4}, Background: 0.2, Resolution: 0.1, BackgroundStep: 0.1, Family: "uSv/h", Unit: "uSv/h"},
	}})
	check("last", c.Last, facttest.Local("15:12"))
	check("backwards", c.Backwards, []dispensing.Backwards(nil))
	check("odd offsets", c.OffsetOdd, []int(nil))
	check("containers", c.Book.Containers(), []ledger.Container{
		{ID: "S1", Kind: ledger.ShippingVial},
		{ID: "Y1", Kind: ledger.Syringe},
		{ID: "A1", Kind: ledger.AdministrationVial},
		{ID: "P1", Kind: ledger.Territory},
	})
	for id, want := range map[string]quantity.Volume{"S1": 2.8, "Y1": 0, "A1": 0} {
		check("volume of "+id, c.Book.Volume(id), want)
	}

	read, gain, geometry, _ := c.Book.LastReading("S1")
	check("net", read.Net, quantity.Activity(1.8498e9))
	check("repeatability", read.Relative, 0.008)
	check("u(background) = 0.008 · 0.2 MBq", read.Background, quantity.Activity(1600))
	check("floor = 10 MBq/√12", read.Floor, quantity.Activity(10e6/math.Sqrt(12)))
	check("gain", gain, ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02, Same: "M1 calibration" + always})
	check("geometry", geometry, ledger.Factor{Name: "M1 shipping-vial", Value: 1, U: 0, Same: "M1 shipping-vial" + always})

	var assumed []string
	for _, a := range c.Assumed {
		assumed = append(assumed, a.Setting+" "+a.Value)
		if a.Source == "" {
			t.Errorf("%s is assumed from nowhere", a.Setting)
		}
	}
	check("assumed", assumed, []string{"half-life-u 0.0306 h", "limit none", "label-drift 2 %", "draw-yield 100 % with u 5 %", "residual-u 20 %", "check-limit 5 %", "check-reads remainder", "basis label"})
}

// TestWorkedExampleReckons takes the case through the books: the hand
// calculation of the package comment. The fraction is to 1e-6: the books
// weight the measured share against nothing else, and stop at 1e-9.
func TestWorkedExampleReckons(t *testing.T) {
	r := dispensing.Reckon(facttest.Fold(t, facttest.Worked(t)), time.Time{})
	d := r.Orders[0].Delivered
	if d == nil {
		t.Fatal("nothing was delivered")
	}
	near(t, "residual fraction", d.Fraction, 0.0354968467247827, 1e-6)
	// f·√((u1/N1)² + 0.2² + (u2/N2)²), u² = step²/12 of the rate and of its background:
	//   0.035497·√((0.29011/181.8)² + 0.04 + (0.040825/6.2)²) = 0.0071034
	near(t, "its uncertainty", d.FractionU, 0.0071034, 1e-5)
}

// TestLabelAsADatum: a vial that was never read holds its label with the
// uncertainty of a rectangular distribution, 0.3/√3 = 0.173205 GBq.
func TestLabelAsADatum(t *testing.T) {
	c := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial)
	bal, err := ledger.Reconcile(c.Book)
	if err != nil {
		t.Fatal(err)
	}
	received, _, _ := bal.Moved(2)
	y, u := bal.Activity(received, facttest.Local("18:00"))
	near(t, "received", float64(y), 3e9, 1e-9)
	near(t, "u", float64(u), 0.3e9/math.Sqrt(3), 1e-9)
}

func TestPolicyIsTakenOver(t *testing.T) {
	got := facttest.Fold(t, facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts)
	want := dispensing.Policy{
		Rules: dispensing.Rules{
			Tolerance: 0.10, Limit: 0.20, Confidence: 0.95, Basis: quantity.LabelBasis,
			Verdicts: dispensing.Verdicts{Conforms: "give it", Unsure: "ask", Outside: "stop: redraw", BeyondLimit: "stop and report"},
		},
		LabelTolerance: 0.10, LabelDrift: 0.02, MakeUpMin: 3, MakeUpMax: 5, Graduation: 0.1,
		Yield: ledger.Share{Value: 0.97, U: 0.04}, ResidualU: 0.20,
		CheckLimit: 0.04, CheckEither: true,
	}
	if d := cmp.Diff(want, got.Policy); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if h := got.HalfLife; h.Value != quantity.Span(64.0417*3600) || h.U != quantity.Span(0.031*3600) || h.Source != "64.0417 h, set in the case" {
		t.Errorf("half-life %+v", h)
	}
	if len(got.Assumed) != 0 {
		t.Errorf("assumed although given: %v", got.Assumed)
	}
}

func TestEverythingIsAssumedWithoutAPolicy(t *testing.T) {
	c := facttest.Fold(t, []fact.Fact{&fact.Site{Zone: "UTC"}})
	want := dispensing.Policy{
		Rules:          dispensing.Rules{Tolerance: 0.10, Confidence: 0.95, Basis: quantity.LabelBasis},
		LabelTolerance: 0.10, LabelDrift: 0.02, MakeUpMin: 3, MakeUpMax: 5, Graduation: 0.1,
		Yield: ledger.Share{Value: 1, U: 0.05}, ResidualU: 0.2, LearnYield: true,
		CheckLimit: 0.05,
	}
	if d := cmp.Diff(want, c.Policy); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	var names []string
	for _, a := range c.Assumed {
		names = append(names, a.Setting)
	}
	settings := []string{"tolerance", "limit", "label-tolerance", "confidence", "label-drift", "make-up", "graduation", "draw-yield", "residual-u", "check-limit", "check-reads", "basis"}
	if !slices.Equal(names, settings) {
		t.Errorf("assumed %v, want %v", names, settings)
	}
	if h := c.HalfLife.Value.Hours(); math.Abs(h-64.0417) > 5e-5 {
		t.Errorf("half-life %v h", h)
	}
	if !c.Last.IsZero() || len(c.Book.Containers()) != 0 {
		t.Errorf("something happened: %v", c)
	}
}

func TestAllKindsFold(t *testing.T) {
	c := facttest.Fold(t, facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts)
	// 5.0 − 2.4 + 0.2 − 0.65 − 1.5 − 0.2 = 0.45 mL; A1 and A2 were given, A1 then discarded.
	for id, want := range map[string]quantity.Volume{"S1": 0.45, "Y1": 0, "Y2": 0, "A1": 0, "A2": 0, "W1": 1.5} {
		if got := c.Book.Volume(id); math.Abs(float64(got-want)) > 1e-6 {
			t.Errorf("%s holds %v mL, want %v", id, got, want)
		}
	}
	if c.Draws[0].Agitated != facttest.Local("11:09").Add(40*time.Second) {
		t.Errorf("agitated at %v", c.Draws[0].Agitated)
	}
	if got := c.Draws[1]; got.Entry != 11 || got.Volume != 0.65 {
		t.Errorf("the corrected draw is %+v", got)
	}
	if in := c.Infusions; len(in) != 2 || in[0].Entry != 18 || in[0].Stop != facttest.Local("14:05") || in[0].Reason != "complete" || in[0].Implied || in[1].From != "A2" {
		t.Errorf("infusions %+v", in)
	}
	if r := c.Residuals; len(r) != 1 || r[0].Entry != 20 || r[0].From != "A1" || len(r[0].Before.Rates) != 2 {
		t.Errorf("residuals %+v", r)
	}
	if len(c.OffsetOdd) > 0 || quantity.OffsetMatchesZone(c.Vials[0].Reference, c.Zone) {
		t.Errorf("odd offsets in %v; only the label of entry 3 is in UTC", c.OffsetOdd)
	}
	if want := []dispensing.Backwards{{Entry: 17, Above: 13}, {Entry: 23, Above: 22}, {Entry: 36, Above: 35}}; !slices.Equal(c.Backwards, want) {
		t.Errorf("backwards %v, want %v", c.Backwards, want)
	}
	if c.Last != facttest.Local("16:16") {
		t.Errorf("last is %v", c.Last)
	}
	traceable := c.Readings[1]
	if traceable.Basis != quantity.TraceableBasis || traceable.Meter != "M2" {
		t.Errorf("%+v", traceable)
	}
}

func TestCorrections(t *testing.T) {
	slip := "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 22 mL}"
	right := "correct: {entry: 3, reason: slip, with: {" + facttest.TheDraw + "}}"
	later := "correct: {entry: 3, reason: slip, with: {draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T12:10, volume: 2.0 mL}}}"
	strike := "correct: {entry: 3, reason: never done}"
	for _, c := range []struct {
		name  string
		lines []string
		want  []dispensing.Draw
	}{
		{"replaced", []string{slip, right}, []dispensing.Draw{{Entry: 3, At: facttest.Local("11:10"), Volume: 2.2, Yield: ledger.Share{Value: 1, U: 0.05}, Written: "2.2 mL"}}},
		{"replaced twice", []string{slip, right, later}, []dispensing.Draw{{Entry: 3, At: facttest.Local("12:10"), Volume: 2.0, Yield: ledger.Share{Value: 1, U: 0.05}, Written: "2.0 mL"}}},
		{"and back", []string{slip, later, right}, []dispensing.Draw{{Entry: 3, At: facttest.Local("11:10"), Volume: 2.2, Yield: ledger.Share{Value: 1, U: 0.05}, Written: "2.2 mL"}}},
		{"struck out", []string{slip, strike}, nil},
		{"struck out and put back", []string{slip, strike, right}, []dispensing.Draw{{Entry: 3, At: facttest.Local("11:10"), Volume: 2.2, Yield: ledger.Share{Value: 1, U: 0.05}, Written: "2.2 mL"}}},
		{"put right and struck out", []string{slip, right, strike}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := facttest.FoldLines(t, append([]string{facttest.TheOrder, facttest.TheVial}, c.lines...)...).Draws
			for i := range c.want {
				c.want[i].From, c.want[i].Into, c.want[i].For = "S1", "Y1", "P1"
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Errorf("(-want +got):\n%s", d)
			}
		})
	}
}

// TestImpliedInfusion: a residual without an infusion gives the dose at the
// planned time, as far as the readings and the transfer allow.
func TestImpliedInfusion(t *testing.T) {
	for _, c := range []struct{ name, planned, before, transfer, after, want string }{
		{"as planned", "13:30", "11:30", "11:20", "15:12", "13:30"},
		{"planned before the baseline", "10:00", "11:30", "11:20", "15:12", "11:30"},
		{"planned after the second reading", "17:00", "11:30", "11:20", "15:12", "15:12"},
		{"a baseline before the transfer", "11:15", "11:12", "11:20", "15:12", "11:20"},
		{"planned before the transfer", "11:00", "11:30", "11:20", "15:12", "11:30"},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := func(s, old, new string) string { return strings.Replace(s, "T"+old, "T"+new, 1) }
			got := facttest.FoldLines(t, at(facttest.TheOrder, "13:30", c.planned), facttest.TheVial, facttest.TheDraw, at(facttest.TheTransfer, "11:20", c.transfer),
				at(at(facttest.TheResidual, "11:30", c.before), "15:12", c.after))
			in := got.Infusions
			if len(in) != 1 || !in[0].Implied || !in[0].Start.Equal(facttest.Local(c.want)) || in[0].From != "A1" || in[0].Entry != 5 {
				t.Errorf("infusions %+v, want one at %s", in, c.want)
			}
		})
	}
}

func TestResidualInTwoHalves(t *testing.T) {
	before := "residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}}"
	after := "residual: {for: P1, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}"
	given := "infuse: {for: P1, start: 2027-03-04T13:40, reason: stasis}"
	half := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial, facttest.TheDraw, facttest.TheTransfer, before)
	if len(half.Infusions) != 0 || len(half.Residuals) != 1 || half.Residuals[0].Entry != 5 || half.Residuals[0].After.Rates != nil || half.Residuals[0].From != "" {
		t.Errorf("with the first half: %+v %+v", half.Infusions, half.Residuals)
	}
	second := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial, facttest.TheDraw, facttest.TheTransfer, after)
	if len(second.Infusions) != 0 || len(second.Residuals) != 1 || second.Residuals[0].Before.Rates != nil {
		t.Errorf("with the second half: %+v %+v", second.Infusions, second.Residuals)
	}
	whole := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial, "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}", facttest.TheDraw,
		"read: {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.85 GBq, background: 0.2 MBq}", facttest.TheTransfer, before, given, after)
	if r := whole.Residuals[0]; r.Before.Entry != 7 || r.After.Entry != 9 {
		t.Errorf("the two halves carry the entries %d and %d, want 7 and 9", r.Before.Entry, r.After.Entry)
	}
	if in := whole.Infusions; len(in) != 1 || in[0].Implied || in[0].Entry != 8 || in[0].Reason != "stasis" || in[0].Start != facttest.Local("13:40") {
		t.Errorf("infusions %+v", in)
	}
	d := dispensing.Reckon(whole, time.Time{}).Orders[0].Delivered
	if d == nil || d.How != ledger.ByDoseRate {
		t.Fatalf("delivered %+v", d)
	}
	near(t, "residual fraction", d.Fraction, 0.0354968467247827, 1e-6)
}

// TestGivenFrom: the container a dose is given from where the entry names
// none.
func TestGivenFrom(t *testing.T) {
	given := "infuse: {for: P1, start: 2027-03-04T13:40, reason: complete}"
	second := "draw: {from: S1, into: Y2, for: P1, at: 2027-03-04T11:30, volume: 0.2 mL}"
	for _, c := range []struct {
		name  string
		lines []string
		want  string
	}{
		{"its administration vial", []string{facttest.TheDraw, facttest.TheTransfer, given}, "A1"},
		{"its syringe", []string{facttest.TheDraw, given}, "Y1"},
		{"the vial before a syringe", []string{facttest.TheDraw, facttest.TheTransfer, second, given}, "A1"},
		{"the one with something in it", []string{facttest.TheDraw, second, "return: {from: Y1, into: S1, at: 2027-03-04T11:40}", given}, "Y2"},
		{"the one that is named", []string{facttest.TheDraw, facttest.TheTransfer, second, strings.Replace(given, "for: P1", "for: P1, from: Y2", 1)}, "Y2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := facttest.FoldLines(t, append([]string{facttest.TheOrder, facttest.TheVial}, c.lines...)...).Infusions
			if len(in) != 1 || in[0].From != c.want {
				t.Errorf("given from %+v, want %s", in, c.want)
			}
		})
	}
}

// TestGeometryByFill: the factor that is for the volume at the reading; one
// factor of the books each, however often it is used.
func TestGeometryByFill(t *testing.T) {
	facts := facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts[:4] // case, policy, meters
	entries := facttest.CaseOf(t, facttest.TheOrder, facttest.TheVial,
		"draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2 mL}",
		"read: {of: Y1, meter: M1, at: 2027-03-04T11:11, gross: 1.11 GBq, background: 0.2 MBq}",
		"read: {of: Y1, meter: M1, at: 2027-03-04T11:12, gross: 1.12 GBq, background: 0.2 MBq}",
		"make-up: {of: Y1, at: 2027-03-04T11:18, volume: 1 mL, diluent: water for injection}",
		"read: {of: Y1, meter: M1, at: 2027-03-04T11:20, gross: 1.13 GBq, background: 0.2 MBq}",
		"make-up: {of: Y1, at: 2027-03-04T11:21, volume: 0.1 mL, diluent: water for injection}",
		"read: {of: Y1, meter: M1, at: 2027-03-04T11:22, gross: 1.14 GBq, background: 0.2 MBq, background-u: 30 kBq}",
		"read: {of: S1, meter: M2, at: 2027-03-04T11:24, gross: 2.00 GBq, background: 0.2 MBq}",
	)
	facts = append(facts, facttest.Decode(t, entries).Facts[3:]...)
	low := ledger.Factor{Name: "M1 syringe 0.5 mL to 3 mL", Value: 0.95, U: 0.0095, Same: "M1 syringe 0.5 mL to 3 mL" + always}
	high := ledger.Factor{Name: "M1 syringe 3 mL to 5 mL", Value: 0.97, U: 0.0097, Same: "M1 syringe 3 mL to 5 mL" + always}
	approx := cmpopts.EquateApprox(1e-12, 0)
	for n, want := range map[int]ledger.Factor{4: low, 5: low, 7: low, 9: high} {
		c := facttest.Fold(t, facts[:4+n])
		_, gain, geometry, _ := c.Book.LastReading("Y1")
		if d := cmp.Diff(want, geometry, approx); d != "" {
			t.Errorf("entry %d (-want +got):\n%s", n, d)
		}
		if gain.Name != "M1 calibration" {
			t.Errorf("entry %d: gain %+v", n, gain)
		}
	}
	c := facttest.Fold(t, facts)
	if r, _, _, _ := c.Book.LastReading("Y1"); r.Background != 30e3 || r.Gain != 0 || r.Geometry != 2 {
		t.Errorf("%+v: factors 0, 1 and 2 are the gain and two fills", r)
	}
	_, gain, geometry, _ := c.Book.LastReading("S1")
	if gain.Name != "M2 calibration, traceable" || geometry.Name != "M2 shipping-vial" {
		t.Errorf("%+v %+v", gain, geometry)
	}
}

// TestNetBelowZero: an empty container may read a little below the background.
func TestNetBelowZero(t *testing.T) {
	c := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial, "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 0.00 MBq, background: 0.05 MBq}")
	if r, _, _, _ := c.Book.LastReading("S1"); r.Net != -5e4 || r.Floor != quantity.Activity(1e4/math.Sqrt(12)) {
		t.Errorf("%+v", r)
	}
}

// TestReceiptWithoutATime stands before everything that happened.
func TestReceiptWithoutATime(t *testing.T) {
	c := facttest.FoldLines(t, facttest.TheOrder, "read: {of: S1, meter: M1, at: 2027-03-01T11:00, gross: 3.24 GBq, background: 0.2 MBq}", facttest.TheVial)
	if v := c.Book.VolumeAt("S1", facttest.Local("11:00").AddDate(0, 0, -3)); v != 5 {
		t.Errorf("%v mL at the first reading", v)
	}
}

// TestAVialWithoutATimeIsThere: with nothing but the order and the vial, it is
// there to be planned from at the infusion time, and at an earlier moment.
func TestAVialWithoutATimeIsThere(t *testing.T) {
	c := facttest.FoldLines(t, facttest.TheOrder, facttest.TheVial)
	for _, at := range []time.Time{{}, facttest.Local("07:00")} {
		r := dispensing.Reckon(c, at)
		if k := r.Containers[0]; !k.Here || k.Volume != 5 || k.Activity < 2.9e9 {
			t.Errorf("at %v: %+v", at, k)
		}
	}
}

// TestStoppedInfusion: until what stayed behind is read, a stopped infusion may
// have given anything from nothing to all, and the vial is not empty.
func TestStoppedInfusion(t *testing.T) {
	for reason, stopped := range map[string]bool{"complete": false, "blockage": true, "stasis": true} {
		lines := []string{
			facttest.TheOrder, facttest.TheVial, "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}", facttest.TheDraw,
			"read: {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.85 GBq, background: 0.2 MBq}", facttest.TheTransfer,
			"infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T13:40, reason: " + reason + "}",
		}
		r := dispensing.Reckon(facttest.FoldLines(t, lines...), time.Time{})
		i := slices.IndexFunc(r.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == "A1" })
		k, o := r.Containers[i], r.Orders[0]
		if k.Stopped != stopped || o.Delivered != nil {
			t.Errorf("%s: stopped %v, delivered %+v", reason, k.Stopped, o.Delivered)
		}
		share := 0.02
		if stopped {
			share = 0.5
		}
		near(t, reason, float64(k.Activity/o.Dispensed.Activity), share*0.9982, 1e-3) // ten minutes later
		if wide := k.U > 0.2*o.Dispensed.Activity; wide != stopped {
			t.Errorf("%s: u is %v", reason, k.U)
		}
	}
}

// TestOrderOfTheList: the case does not depend on the order in which entries
// of different times stand, but for their numbers and the warnings.
func TestOrderOfTheList(t *testing.T) {
	facts := facttest.Worked(t)
	plain := func(c dispensing.Case) dispensing.Case {
		c.Backwards, c.Book, c.Zone = nil, nil, nil
		for i := range c.Draws {
			c.Draws[i].Entry = 0
		}
		for i := range c.MakeUps {
			c.MakeUps[i].Entry = 0
		}
		for i := range c.Readings {
			c.Readings[i].Entry = 0
		}
		c.Orders[0].Entry, c.Vials[0].Entry, c.Infusions[0].Entry, c.Residuals[0].Entry = 0, 0, 0, 0
		c.Residuals[0].Before.Entry, c.Residuals[0].After.Entry = 0, 0
		c.Names = nil
		return c
	}
	left := facttest.Fold(t, facts).Book.Volume("S1")
	want := plain(facttest.Fold(t, facts))
	head, entries := facts[:3], facts[3:]
	rapid.Check(t, func(t *rapid.T) {
		mixed := append(slices.Clone(head), rapid.Permutation(entries).Draw(t, "entries")...)
		got, err := fold.Facts(mixed, time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		if got.Book.Volume("S1") != left {
			t.Fatalf("%v mL left", got.Book.Volume("S1"))
		}
		if d := cmp.Diff(want, plain(got), cmpopts.IgnoreUnexported(settling.Case{})); d != "" {
			t.Fatalf("(-want +got):\n%s", d)
		}
	})
}

func TestHeaderOfAJournal(t *testing.T) {
	open := &fact.Site{Zone: "UTC"}
	meter := func(id string) *fact.Meter {
		return &fact.Meter{ID: id, Geometry: &fact.Geometries{}}
	}
	note := &fact.Note{Text: "a"}
	for _, c := range []struct {
		name  string
		facts []fact.Fact
		code  string
	}{
		{"nothing", nil, "case-missing"},
		{"no case", []fact.Fact{note}, "case-missing"},
		{"a policy first", []fact.Fact{&fact.Policy{}, open}, "case-missing"},
		{"a case twice", []fact.Fact{open, open}, "case-twice"},
		{"a policy twice", []fact.Fact{open, &fact.Policy{}, &fact.Policy{}}, "policy-late"},
		{"a policy after an entry", []fact.Fact{open, note, &fact.Policy{}}, "policy-late"},
		{"a meter twice", []fact.Fact{open, meter("M1"), note, meter("M1")}, "duplicate-id"},
		{"a zone that is none", []fact.Fact{&fact.Site{Zone: "Atlantic/Atlantis"}}, "unknown-zone"},
		{"a policy in place of another", []fact.Fact{open, &fact.Policy{}, &fact.Policy{Reason: "a new limit"}, note}, ""},
		{"a policy in place of another after an entry", []fact.Fact{open, &fact.Policy{}, note, &fact.Policy{Reason: "a new limit"}}, "policy-late"},
		{"a meter in place of another", []fact.Fact{open, meter("M1"), replaced("M1"), note}, ""},
		{"a meter in place of another after an entry", []fact.Fact{open, meter("M1"), note, replaced("M1")}, "from-past"},
		{"a meter when it is needed", []fact.Fact{open, &fact.Policy{}, meter("M1"), note, meter("M2"), note}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := fold.Facts(c.facts, time.LoadLocation)
			var r *fact.Refusal
			if errors.As(err, &r) != (c.code != "") || c.code != "" && r.Code != c.code {
				t.Errorf("%v, want %s", err, c.code)
			}
			if r != nil && (r.Entry != 0 || !strings.HasPrefix(r.Error(), r.Path+": ")) {
				t.Errorf("%+v", r)
			}
		})
	}
}

// always is what follows the name of a factor that holds from the beginning.
const always = " from 0001-01-01T00:00:00Z"
