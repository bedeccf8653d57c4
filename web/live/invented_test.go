package live

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/instrument"
	"vialwright/journal"
	"vialwright/quantity"
)

// An invented scenario: no real patient, site, meter or vial.
const invented = `case: 1
zone: UTC
half-life: 64.05 h
policy: {draw-yield: {q: 80 %, u: 4 %}}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1.10, u: 0.5 %, basis: label}
      syringe: [{factor: 0.94, u: 2 %, basis: label, fill: [0 mL, 3 mL]}, {factor: 0.90, u: 2 %, basis: label, fill: [3 mL, 6 mL]}]
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
entries:
  - order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T15:00}
  - receive: {vial: S1, lot: PRACTICE-1, labelled: 3.0 GBq, reference: 2027-03-04T12:00, volume: 5.0 mL, at: 2027-03-04T08:00}
`

const worked = `  - read: {of: S1, meter: M1, at: 2027-03-04T09:00, gross: 9.9 GBq, background: 0.2 MBq}
  - correct: {entry: 3, reason: slip, with: {read: {of: S1, meter: M1, at: 2027-03-04T09:00, gross: 8.8 GBq, background: 0.2 MBq}}}
  - draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T10:00, volume: 2.0 mL}
  - read: {of: S1, meter: M1, at: 2027-03-04T10:05, gross: 0.1 GBq, background: 0.2 MBq}
`

const madeUp = `  - make-up: {of: Y1, at: 2027-03-04T10:10, volume: 2.0 mL, diluent: water for injection}
`

const moved = `  - transfer: {from: Y1, into: A1, at: 2027-03-04T10:20}
`

func factsOf(t *testing.T, text string) []fact.Fact {
	t.Helper()
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	return f.Facts
}

// TestTruth compares with pencil and paper: the label decayed by a half-life
// of 64.05 h, 97 % of 2 of 5 mL drawn, times the factor of the vessel, whatever
// was read and whatever yield the site assumes. The reference time is the
// instant asked, so that nothing decays but where said.
func TestTruth(t *testing.T) {
	noon := eleven
	share := 0.97 * 2 / 5
	for _, c := range []struct {
		name, text, of string
		at             time.Time
		want           float64 // GBq
		err            string
	}{
		{"the vial", invented, "S1", noon, 3 * 1.10, ""},
		{"the vial a half-life later", invented, "S1", noon.Add(64*time.Hour + 3*time.Minute), 1.5 * 1.10, ""},
		{"the vial after the draw", invented + worked, "S1", noon, 3 * (1 - share) * 1.10, ""},
		{"the syringe", invented + worked, "Y1", noon, 3 * share * 0.94, ""},
		{"the syringe, filled up", invented + worked + madeUp, "Y1", noon, 3 * share * 0.90, ""},
		{"the administration vial", invented + worked + madeUp + moved, "A1", noon, 3 * share * 0.98, ""},
		{"the empty syringe", invented + worked + madeUp + moved, "Y1", noon, 0, ""},
		{"a patient", invented + worked + madeUp + moved + "  - infuse: {for: P1, start: 2027-03-04T11:00, reason: complete}\n", "P1", noon, 0, `there is no container "P1" to put into the well`},
		{"no container", invented, "S9", noon, 0, `there is no container "S9" to put into the well`},
		{"before it was drawn", invented + worked, "Y1", noon.Add(-3 * time.Hour), 0, `there is no container "Y1" to put into the well`},
		{"no factor", invented + worked + "  - discard: {from: Y1, into: W1, at: 2027-03-04T11:00}\n", "W1", noon, 0, "meter M1 has no factor for W1 as it is filled"},
		{"without a policy", strings.Replace(invented, "policy: {draw-yield: {q: 80 %, u: 4 %}}\n", "", 1) + worked, "Y1", noon, 3 * share * 0.94, ""},
	} {
		facts := factsOf(t, c.text)
		var m *fact.Meter
		for _, f := range facts {
			if x, ok := f.(*fact.Meter); ok {
				m = x
			}
		}
		got, err := simulated(journal.Records(facts), time.LoadLocation, m, c.of, c.at)
		if err != nil {
			if err.Error() != c.err {
				t.Errorf("%s: %v, want %q", c.name, err, c.err)
			}
			continue
		}
		if c.err != "" || math.Abs(float64(got.shows)/1e9-c.want) > 1e-9 || math.Abs(got.halfLife.Hours()-64.05) > 1e-9 {
			t.Errorf("%s: %v GBq, %v; want %v %q", c.name, float64(got.shows)/1e9, got.halfLife, c.want, c.err)
		}
	}
}

// well1 is an invented meter on a clock that is moved by hand.
type well1 struct {
	*Invented
	now   time.Time
	facts []fact.Fact
}

func newWell1(t *testing.T, text string, seed uint64) *well1 {
	t.Helper()
	p, err := instrument.Describe(instrument.Description{
		Line: "{serial} {nuclide} {value} {unit} {state}{to}*{check}", Checksum: "crc16/xmodem", Stable: []string{"steady"}, Unstable: []string{"moving"},
	})
	if err != nil {
		t.Fatal(err)
	}
	w := &well1{now: eleven, facts: factsOf(t, text)}
	w.Invented = NewInvented(func() time.Time { return w.now }, &counting{}, time.LoadLocation, p, seed)
	return w
}

// show is what the meter shows of a container.
func (w *well1) show(t *testing.T, of string) Meter {
	t.Helper()
	all := w.Now(Query{Who: "T1", Records: journal.Records(w.facts), Of: of})
	if len(all) != 1 {
		t.Fatalf("%+v", all)
	}
	return all[0]
}

// The display moves for 4 s and is then within five times the repeatability of
// the truth; one look in 1.7 million is not.
func TestInventedMeterSettles(t *testing.T) {
	w := newWell1(t, invented, 1)
	for _, c := range []struct {
		of   string
		want float64 // GBq
	}{{"S1", 3.3 + 0.0002}, {"", 0.0002}} {
		for s := range 120 {
			m := w.show(t, c.of)
			got := float64(m.Reading.Activity.Value) / 1e9
			moving := s < 4
			if (m.Reading.State == instrument.Unstable) != moving || (m.Token == "") != moving || (m.Refuses(w.now) != "") != moving {
				t.Fatalf("%q after %d s: %+v", c.of, s, m)
			}
			if !moving && math.Abs(got/c.want-1) > 5*repeatability {
				t.Errorf("%q after %d s: %v GBq, want %v", c.of, s, got, c.want)
			}
			if !m.Invented || m.Source != InventedSource || m.Of != c.of || !strings.HasPrefix(m.Reading.Raw, "PRACTICE-M1 Y-90 ") {
				t.Fatalf("%+v", m)
			}
			if l, ok := w.Find(m.Token); !moving && (!ok || l != m.Line) {
				t.Fatalf("%+v, %v", l, ok)
			}
			w.now = w.now.Add(time.Second)
		}
	}
}

// One second has one line, however often it is looked at; another person's
// differs, and so does that of another seed.
func TestInventedMeterSaysOneThing(t *testing.T) {
	w, other := newWell1(t, invented, 1), newWell1(t, invented, 2)
	w.show(t, "S1")
	other.show(t, "S1")
	w.now, other.now = w.now.Add(5*time.Second), other.now.Add(5*time.Second)
	a := w.show(t, "S1")
	w.now = w.now.Add(300 * time.Millisecond)
	if b := w.show(t, "S1"); a.Line != b.Line {
		t.Errorf("%+v, then %+v", a.Line, b.Line)
	}
	if b := other.show(t, "S1"); a.Reading == b.Reading {
		t.Errorf("another seed shows %+v too", b.Reading)
	}
}

// What nobody has looked at for a minute has been taken out of the well.
func TestInventedMeterIsLeft(t *testing.T) {
	w := newWell1(t, invented, 1)
	w.show(t, "S1")
	w.now = w.now.Add(leaves)
	if m := w.show(t, "S1"); m.Reading.State != instrument.Stable {
		t.Errorf("%+v", m)
	}
	w.now = w.now.Add(leaves + time.Second)
	if m := w.show(t, "S1"); m.Reading.State != instrument.Unstable {
		t.Errorf("%+v", m)
	}
	if len(w.wells) != 1 {
		t.Errorf("%d wells", len(w.wells))
	}
}

func TestInventedMeterWithNothingChosen(t *testing.T) {
	w := newWell1(t, invented, 1)
	for of, want := range map[string]string{NotChosen: "choose what stands in the well", "S9": `there is no container "S9" to put into the well`} {
		if m := w.show(t, of); m.Refuses(w.now) != want || m.Token != "" || !m.Invented {
			t.Errorf("%+v", m)
		}
	}
}

// A meter that was set again shows by its new factor.
func TestInventedMeterIsSetAnew(t *testing.T) {
	w := newWell1(t, invented, 1)
	for i, f := range w.facts {
		if m, ok := f.(*fact.Meter); ok {
			anew := *m
			anew.Reason = "a new factor"
			g := m.Geometry.ShippingVial[0]
			g.Factor = fact.Number{Value: 2, Text: "2"}
			anew.Geometry = &fact.Geometries{ShippingVial: []fact.Geometry{g}}
			w.facts = slices.Insert(w.facts, i+1, fact.Fact(&anew)) // above the entries
			break
		}
	}
	w.show(t, "S1")
	w.now = w.now.Add(5 * time.Second)
	got := float64(w.show(t, "S1").Reading.Activity.Value) / 1e9
	if math.Abs(got/6-1) > 5*repeatability {
		t.Errorf("%v GBq, want 6", got)
	}
}

func TestDisplayShowsFourFigures(t *testing.T) {
	for _, c := range []struct {
		bq       float64
		unit     string
		decimals int
	}{{3.3e9, "GBq", 3}, {1e9, "GBq", 3}, {9.99e8, "MBq", 1}, {1e8, "MBq", 1}, {5e7, "MBq", 2}, {5e6, "MBq", 3}, {2e5, "MBq", 3}} {
		if unit, decimals := display(quantityOf(c.bq)); unit != c.unit || decimals != c.decimals {
			t.Errorf("%v: %s, %d", c.bq, unit, decimals)
		}
	}
}

func quantityOf(bq float64) quantity.Activity { return quantity.Activity(bq) }
