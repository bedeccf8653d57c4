package inventory_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// halfLife is the evaluated one.
var halfLife = nuclide.Y90.HalfLife().Value

// books are those of a case file of entries.
func books(tb testing.TB, lines ...string) inventory.Books { return booksOf(tb, "", lines...) }

// booksOf has a half-life of its own in the head of the file.
func booksOf(tb testing.TB, half string, lines ...string) inventory.Books {
	tb.Helper()
	text := "case: 1\nzone: Atlantic/Azores\n" + half + "policy: {}\nmeters:\n  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}}}\nentries:\n"
	for _, l := range lines {
		text += "  - " + l + "\n"
	}
	facts := facttest.Decode(tb, []byte(text)).Facts
	return inventory.Books{Cases: []dispensing.Case{facttest.Fold(tb, facts)}, Entries: fold.Entries(journal.Records(facts)), HalfLife: halfLife}
}

func at(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return t
}

func item(v inventory.Inventory, id string) inventory.Item {
	for _, i := range v.Items {
		if i.ID == id {
			return i
		}
	}
	return inventory.Item{}
}

// Two vials of 3.0 GBq, of which one is early, and waste: 3.201286 + 6.978513 + 0.048656 =
// 10.228455 GBq at noon, over a line of 10 GBq for 2.08700 h more. Worked out by hand with
// A·2^(t/64.0417 h); the waste stands as a vial of 47.0 MBq for 15:12.
func TestLabelsAddUpToLess(t *testing.T) {
	b := books(
		t, "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: 10 GBq, from: 2027-01-01T00:00}",
		"receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T09:00}",
		"receive: {vial: S2, lot: L, labelled: 3.0 GBq, reference: 2027-03-07T18:00Z, volume: 5 mL, at: 2027-03-04T09:00}",
		"receive: {vial: S3, lot: L, labelled: 47.0 MBq, reference: 2027-03-04T15:12Z, volume: 5 mL, at: 2027-03-04T09:00}",
	)
	for _, x := range []struct {
		at   string
		over bool
	}{{"2027-03-04T12:00:00Z", true}, {"2027-03-04T14:05:08Z", true}, {"2027-03-04T14:05:18Z", false}} {
		v := inventory.Take(b, at(x.at))
		if len(v.Lines) != 1 || v.Lines[0].Over != x.over {
			t.Errorf("%s: %+v", x.at, v.Lines)
		}
	}
	v := inventory.Take(b, at("2027-03-04T12:00:00Z"))
	for id, want := range map[string]float64{"S1": 3.201286, "S2": 6.978513, "S3": 0.048656} {
		if got := float64(item(v, id).Activity / quantity.GigaBecquerel); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s holds %.6f GBq, not %.6f", id, got, want)
		}
	}
	if got := float64(v.Lines[0].Held / quantity.GigaBecquerel); math.Abs(got-10.228455) > 2e-6 {
		t.Errorf("%.6f GBq are held, not 10.228455", got)
	}
}

// What is held is what is allowed, though carried to another time and back it is in binary a little more.
func TestHeldAtTheLimit(t *testing.T) {
	for read := 3100; read < 3500; read += 10 {
		for most, over := range map[int]bool{read: false, read - 1: true} {
			b := books(
				t, fmt.Sprintf("licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: %d MBq, from: 2027-01-01T00:00}", most),
				"receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T09:00Z}",
				fmt.Sprintf("read: {of: S1, meter: M1, at: 2027-03-04T11:00Z, gross: %d MBq, background: 0 MBq}", read),
			)
			if v := inventory.Take(b, at("2027-03-04T11:00:00Z")); v.Lines[0].Over != over {
				t.Errorf("of %d MBq: %+v", most, v.Lines[0])
			}
		}
	}
}

// Two vials of 3 GBq for Saturday 18:00 are 10.2 GBq on Thursday, 49.05 h before:
// 6 · 2^(49.05/64.0417) = 10.2027 GBq, worked out by hand.
func TestForecastBeforeTheOrder(t *testing.T) {
	b := books(
		t, "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: 10 GBq, from: 2027-01-01T00:00}",
		"expect-parcel: {parcel: PK-1, vials: 2, labelled: 3 GBq, reference: 2027-03-06T18:00Z, due: 2027-03-04T16:57Z, at: 2027-03-01T10:00}",
	)
	moments := inventory.Moments(b, at("2027-03-02T12:00:00Z"), at("2027-03-09T12:00:00Z"))
	if len(moments) != 2 {
		t.Fatalf("moments %v", moments)
	}
	v := inventory.Take(b, moments[0])
	if len(v.Items) != 0 || v.Lines[0].Held != 0 {
		t.Errorf("before it is due: %+v", v)
	}
	v = inventory.Take(b, moments[1])
	if l := v.Lines[0]; math.Abs(float64(l.Held)-10.2027e9) > 1e5 || !l.Over || item(v, "PK-1").Where != inventory.Expected {
		t.Errorf("when it is due: %+v", v)
	}
	if d := v.Difference(); d != 0 {
		t.Errorf("what did not come in makes a difference of %v Bq", d)
	}
}

// A parcel is counted once: as ordered, as it arrived, and as the vials out of it.
func TestParcelBecomesVials(t *testing.T) {
	b := books(
		t, "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, from: 2027-01-01T00:00}",
		"expect-parcel: {parcel: PK-1, vials: 2, labelled: 3 GBq, reference: 2027-03-04T18:00Z, due: 2027-03-04T07:00Z, at: 2027-03-01T10:00}",
		"parcel: {parcel: PK-1, at: 2027-03-04T08:00Z, category: yellow-ii, condition: intact, papers: agree, vials: 2, labelled: 3.1 GBq, reference: 2027-03-04T18:00Z}",
		"receive: {vial: S1, lot: L, labelled: 3.1 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:30Z, parcel: PK-1}",
		"receive: {vial: S2, lot: L, labelled: 3.1 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:40Z, parcel: PK-1}",
	)
	reference := at("2027-03-04T18:00:00Z")
	for _, c := range []struct {
		at   string
		want quantity.Activity // at the reference time
		as   []inventory.Where
	}{
		{"2027-03-04T07:30:00Z", 0, nil},
		{"2027-03-04T08:15:00Z", 6.2e9, []inventory.Where{inventory.InParcel}},
		{"2027-03-04T08:35:00Z", 6.2e9, []inventory.Where{inventory.InParcel, inventory.InVial}},
		{"2027-03-04T09:00:00Z", 6.2e9, []inventory.Where{inventory.InVial, inventory.InVial}},
	} {
		v := inventory.Take(b, at(c.at))
		want := float64(c.want) * nuclide.Factor(halfLife, nuclide.Elapsed(reference, v.At))
		var as []inventory.Where
		for _, i := range v.Items {
			as = append(as, i.Where)
		}
		if math.Abs(float64(v.Lines[0].Held)-want) > 1 || fmt.Sprint(as) != fmt.Sprint(c.as) || math.Abs(float64(v.Difference())) > 0.5 {
			t.Errorf("%s: %v Bq in %v, want %v in %v; difference %v", c.at, v.Lines[0].Held, as, want, c.as, v.Difference())
		}
	}
}

// What leaves is not held any more, and is never forgotten: bins by each route, a vial sent
// back, and one that was lost.
func TestWhatLeft(t *testing.T) {
	var lines []string
	for _, id := range []string{"S1", "S2", "S3"} {
		lines = append(lines, "receive: {vial: "+id+", lot: L, labelled: 3 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:30Z}")
	}
	for i, route := range []string{"trash", "return", "transfer", "sewer", "clinical"} {
		bin := fmt.Sprintf("W%d", i+1)
		lines = append(
			lines, "discard: {from: S1, into: "+bin+", at: 2027-03-05T09:00Z, volume: 0.2 mL}",
			`release-bin: {bin: `+bin+`, meter: SV1, at: 2027-04-05T09:00Z, gross: 600 counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: "yes", bare: "yes", labels: defaced, route: `+route+`}`,
		)
	}
	b := books(t, append(
		lines,
		"left-site: {of: S2, how: returned, at: 2027-03-06T09:00Z, reason: not needed}",
		"left-site: {of: S3, how: lost, at: 2027-03-07T09:00Z, reason: not found}",
	)...)
	v := inventory.Take(b, at("2027-04-06T00:00:00Z"))
	for id, want := range map[string]inventory.Where{"S1": inventory.InVial, "S2": inventory.Returned, "S3": inventory.Lost, "W1": inventory.Trash, "W2": inventory.Returned, "W3": inventory.Handed, "W4": inventory.Sewer, "W5": inventory.Clinical} {
		if got := item(v, id); got.Where != want || got.Activity <= 0 {
			t.Errorf("%s is %+v, want %v", id, got, want)
		}
	}
	if held, s1 := v.Total(inventory.Where.Held), item(v, "S1").Activity; held != s1 || v.Lines[0].ID != "" || v.Lines[0].Held != s1 {
		t.Errorf("%v held and %+v by line, S1 has %v", held, v.Lines, s1)
	}
	if d := v.Difference(); math.Abs(float64(d)) > 0.5 {
		t.Errorf("difference %v Bq", d)
	}
}

// TestClosesAtAnyTime: what came in is somewhere, for invented preparations at any hour
// of their months.
func TestClosesAtAnyTime(t *testing.T) {
	cases, err := invented.Cases(12, 1, at("2027-03-20T00:00:00Z"), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	b := inventory.Books{HalfLife: halfLife}
	for i, records := range cases {
		c, err := fold.Records(records, time.LoadLocation)
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		b.Cases = append(b.Cases, c)
	}
	most := quantity.Activity(0)
	for h := range 400 {
		v := inventory.Take(b, at("2027-02-25T00:30:00Z").Add(time.Duration(h)*2*time.Hour))
		most = max(most, v.Received)
		if d := v.Difference(); math.Abs(float64(d)) > 0.01 {
			t.Fatalf("%v: %v of %v Bq are nowhere", v.At, d, v.Received)
		}
	}
	if most < 3e9 {
		t.Errorf("never more than %v Bq came in: nothing was tested", most)
	}
}

// A set whose readings contradict one another is counted by its label.
func TestWithheldByItsLabel(t *testing.T) {
	b := books(
		t, "receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z}",
		"read: {of: S1, meter: M1, at: 2027-03-04T09:00Z, gross: 3.30 GBq, background: 0.2 MBq}",
		"read: {of: S1, meter: M1, at: 2027-03-04T09:05Z, gross: 0.330 GBq, background: 0.2 MBq}",
	)
	i := item(inventory.Take(b, at("2027-03-04T18:00:00Z")), "S1")
	if math.Abs(float64(i.Activity)-3e9) > 1 || !strings.HasPrefix(i.Known, "label") {
		t.Errorf("%+v", i)
	}
}

// The uncertainty of two vials on one meter adds; that of one vial's parts does not
// exceed the vial's.
func TestUncertaintyOfASum(t *testing.T) {
	one := []string{
		"receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z}",
		"read: {of: S1, meter: M1, at: 2027-03-04T09:00Z, gross: 3.30 GBq, background: 0.2 MBq}",
		"discard: {from: S1, into: W1, at: 2027-03-04T09:10Z, volume: 2 mL}",
	}
	when := at("2027-03-04T10:00:00Z")
	a := books(t, one...)
	v := inventory.Take(a, when)
	whole := float64(v.Lines[0].Held) * math.Hypot(0.02, 0.008)
	if u := float64(v.Lines[0].U); math.Abs(u/whole-1) > 0.02 { // the display's step beside it
		t.Errorf("u of one vial in two places is %v, not %v", u, whole)
	}
	two := inventory.Take(inventory.Books{Cases: append(a.Cases, a.Cases...), HalfLife: halfLife}, when)
	common, own := 2*0.02*float64(v.Lines[0].Held), math.Sqrt2*0.008*float64(v.Lines[0].Held)
	if u := float64(two.Lines[0].U); math.Abs(u/math.Hypot(common, own)-1) > 0.02 {
		t.Errorf("u of two vials is %v, not %v", u, math.Hypot(common, own))
	}
}

// The half-life is one for all sets: what it brings into a sum is what the sum moves by when all is
// reckoned again with a longer and a shorter one. A vial read two days before has more then, and one
// whose label is for two days after has less.
func TestHalfLifeOfASum(t *testing.T) {
	when := at("2027-03-06T18:00:00Z")
	line := func(hours float64, u string, both bool) inventory.Line {
		half := fmt.Sprintf("half-life: %g h\nhalf-life-u: %s\n", hours, u)
		b := booksOf(
			t, half, "receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z}",
			"read: {of: S1, meter: M1, at: 2027-03-04T18:00Z, gross: 3.00 GBq, background: 0 MBq}",
		)
		if both {
			b.Cases = append(b.Cases, booksOf(t, half, "receive: {vial: S2, lot: L, labelled: 1.0 GBq, reference: 2027-03-08T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z}").Cases...)
		}
		return inventory.Take(b, when).Lines[0]
	}
	for _, both := range []bool{false, true} {
		sure, unsure := line(64.0417, "1e-9 h", both), line(64.0417, "0.2 h", both)
		want := math.Abs(float64(line(64.2417, "0.2 h", both).Held-line(63.8417, "0.2 h", both).Held)) / 2
		got := math.Sqrt(float64(unsure.U*unsure.U - sure.U*sure.U))
		if math.Abs(got-want) > 0.001*want || want < 1e4 {
			t.Errorf("two vials %v: the half-life brings %.6g Bq, and reckoned again %.6g", both, got, want)
		}
	}
}

// A check source counts on the line of its own nuclide: 5.55 MBq of Cs-137 are 5.2998 MBq
// after 2.00 a of 30.05 a, worked out by hand. Where that half-life has an uncertainty of 1 a, it brings
// ln2·2.00/30.05²·1 = 0.1535 %, and with 0.1 % of the certificate 0.1832 %, 9710 Bq.
func TestCheckSource(t *testing.T) {
	b := books(
		t, "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, from: 2027-01-01T00:00}",
		"licence-line: {id: L-2, nuclide: Cs-137, form: sealed, most: 10 MBq, from: 2027-01-01T00:00}",
		"check-source: {id: CS1, nuclide: Cs-137, activity: 5.55 MBq, u: 2 %, reference: 2025-03-03T00:00Z, at: 2027-01-01T00:00}",
		"check-source: {id: CS2, nuclide: Cs-137, activity: 5.55 MBq, u: 2 %, reference: 2025-03-03T00:00Z, at: 2027-01-01T00:00}",
		"check-source: {id: CS2, nuclide: Cs-137, activity: 5.55 MBq, u: 2 %, reference: 2025-03-03T00:00Z, state: withdrawn, at: 2027-02-01T00:00, reason: replaced}",
		"check-source: {id: CS3, nuclide: Cs-137, half-life: 30.05 a, half-life-u: 1 a, activity: 5.55 MBq, u: 0.1 %, reference: 2025-03-03T00:00Z, at: 2027-03-03T12:00Z}",
	)
	if i := item(inventory.Take(b, at("2027-03-03T12:00:00Z")), "CS3"); math.Abs(float64(i.U)-9710) > 10 {
		t.Errorf("u of a source with a half-life of its own is %v Bq, not 9710", float64(i.U))
	}
	v := inventory.Take(b, at("2027-03-03T11:59:00Z"))
	if l := v.Lines[1]; l.ID != "L-2" || math.Abs(float64(l.Held)-5.2998e6) > 500 || v.Lines[0].Held != 0 || v.Difference() != 0 {
		t.Errorf("%+v", v)
	}
}

// Vials of two lines of the licence that were drawn into one syringe count each on its own
// line, wherever what was drawn went: of 3.0 GBq on L-1 2 of 5 mL are drawn and of 1.0 GBq on
// L-2 all, half of the syringe (0.6 + 0.5 GBq) goes to waste, and the other half leaves the
// site: 1.8 + 0.6 = 2.4 GBq and 0.5 GBq are held, worked out by hand.
func TestTwoLinesInOneSet(t *testing.T) {
	lines := []string{
		"licence-line: {id: L-1, nuclide: Y-90, form: resin, most: 10 GBq, from: 2027-01-01T00:00}",
		"licence-line: {id: L-2, nuclide: Y-90, form: other, most: 0.9 GBq, from: 2027-01-01T00:00}",
		"expect-parcel: {parcel: PK-1, line: L-1, vials: 1, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, due: 2027-03-04T07:00Z, at: 2027-03-01T10:00}",
		"parcel: {parcel: PK-1, at: 2027-03-04T07:00Z, category: yellow-ii, condition: intact, papers: agree, vials: 1, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z}",
		"parcel: {parcel: PK-2, line: L-2, at: 2027-03-04T07:00Z, category: yellow-ii, condition: intact, papers: agree, vials: 1, labelled: 1.0 GBq, reference: 2027-03-04T18:00Z}",
		"receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z, parcel: PK-1}",
		"receive: {vial: S2, lot: L, labelled: 1.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T08:00Z, parcel: PK-2}",
		"order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30Z}",
		"draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T10:00Z, volume: 2 mL}",
		"draw: {from: S2, into: Y1, for: P1, at: 2027-03-04T10:05Z, volume: 5 mL}",
		"discard: {from: Y1, into: W1, at: 2027-03-04T11:00Z, volume: 3.5 mL}",
	}
	hold := func(lines []string, from, want map[string]float64) {
		t.Helper()
		v := inventory.Take(books(t, lines...), at("2027-03-04T18:00:00Z"))
		for _, l := range v.Lines {
			if w := want[l.ID]; math.Abs(float64(l.Held)-w*1e9) > 1 || l.Over != (l.ID == "L-2" && w > 0.9) {
				t.Errorf("%s holds %v Bq, over is %v; want %g GBq", l.ID, float64(l.Held), l.Over, w)
			}
		}
		if len(v.Lines) != 2 || math.Abs(float64(v.Difference())) > 0.5 {
			t.Errorf("%d lines, difference %v", len(v.Lines), v.Difference())
		}
		bin := map[string]float64{}
		for _, i := range v.Items {
			if i.ID == "W1" {
				bin[i.Line] = float64(i.Activity)
			}
		}
		for line, w := range from {
			if math.Abs(bin[line]-w*1e9) > 1 {
				t.Errorf("the bin holds %v Bq of %s; want %g GBq", bin[line], line, w)
			}
		}
		for _, i := range v.Whole() {
			if i.ID == "W1" && (i.Line != "" || math.Abs(float64(i.Activity)-1.1e9) > 1) {
				t.Errorf("the bin as one is %+v", i)
			}
		}
		if b := v.Bins[0]; len(v.Bins) != 1 || math.Abs(float64(b.Activity)-1.1e9) > 1 {
			t.Errorf("bins %+v", v.Bins)
		}
	}
	bin := map[string]float64{"L-1": 0.6, "L-2": 0.5}
	hold(lines, bin, map[string]float64{"L-1": 3.0, "L-2": 1.0})
	hold(append(lines, "left-site: {of: Y1, how: transferred, at: 2027-03-04T12:00Z, reason: to another licence}"), bin, map[string]float64{"L-1": 2.4, "L-2": 0.5})
}

// What is entered on a line that the licence does not have is counted on no other.
func TestLineThatIsNotThere(t *testing.T) {
	v := inventory.Take(books(
		t, "licence-line: {id: L-1, nuclide: Y-90, form: resin, most: 10 GBq, from: 2027-01-01T00:00}",
		"parcel: {parcel: PK-1, line: L-9, at: 2027-03-04T07:00Z, category: yellow-ii, condition: intact, papers: agree, vials: 1, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z}",
	), at("2027-03-04T18:00:00Z"))
	if len(v.Lines) != 2 || v.Lines[0].Held != 0 || v.Lines[1].ID != "" || math.Abs(float64(v.Lines[1].Held)-3e9) > 1 {
		t.Errorf("%+v", v.Lines)
	}
}

// That more was held than a line allows is known afterwards, and when it was: two vials of 3.0
// GBq and one of 47 MBq that came at 09:00 were 10.566021 GBq then (A·2^(t/64.0417 h), worked
// out apart from the program), and the first of them alone was 3.307 GBq.
func TestExceededBefore(t *testing.T) {
	vials := []string{
		"receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T09:00Z}",
		"receive: {vial: S2, lot: L, labelled: 3.0 GBq, reference: 2027-03-07T18:00Z, volume: 5 mL, at: 2027-03-04T09:00Z}",
		"receive: {vial: S3, lot: L, labelled: 47.0 MBq, reference: 2027-03-04T15:12Z, volume: 5 mL, at: 2027-03-04T09:00Z}",
	}
	exceeded := func(most string, vials ...string) []inventory.Passed {
		text := append(vials[:len(vials):len(vials)], "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: "+most+", from: 2027-01-01T00:00}")
		b := books(t, text...)
		groups := fold.Entries(journal.Records(facttest.Decode(t, []byte("case: 1\nzone: Atlantic/Azores\npolicy: {}\nentries:\n  - "+strings.Join(vials, "\n  - ")+"\n")).Facts))
		return inventory.Exceeded(inventory.Fit(b, at("2027-03-20T00:00:00Z")), groups, at("2027-03-01T00:00:00Z"), at("2027-03-20T00:00:00Z"))
	}
	got := exceeded("10 GBq", vials...)
	if len(got) != 1 || got[0].ID != "L-1" || math.Abs(float64(got[0].Held)-10.566021e9) > 1e4 || !got[0].At.Equal(at("2027-03-04T09:00:00Z")) {
		t.Errorf("%+v", got)
	}
	for most, vials := range map[string][]string{"10.57 GBq": vials, "3.31 GBq": vials[:1]} {
		if got := exceeded(most, vials...); len(got) != 0 {
			t.Errorf("%s: %+v", most, got)
		}
	}
}

// A case that not even its labels and volumes carry is a fault, and never left out of the sum.
// No case file can have one; this is of a label without an uncertainty.
func TestNothingIsLeftOut(t *testing.T) {
	b := books(t, "receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T09:00}")
	when := at("2027-03-04T18:00:00Z")
	book := ledger.New(when, nuclide.HalfLife{Value: halfLife})
	for _, err := range []error{
		book.Open(ledger.Container{ID: "S1", Kind: ledger.ShippingVial}, when),
		book.Move(ledger.Movement{Entry: 1, At: when, To: "S1", Volume: 5, Label: 3 * quantity.GigaBecquerel, Reference: when}),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	b.Cases[0].Book = book
	defer func() {
		if fault := fmt.Sprint(recover()); !strings.Contains(fault, "labels and volumes") {
			t.Errorf("%s: the inventory holds less than there is", fault)
		}
	}()
	inventory.Take(b, when)
}

// TestOutstanding: of parcels ordered twice the last order holds, at its place; one that
// arrived is none, though its order was entered after it.
func TestOutstanding(t *testing.T) {
	var entries []fold.Entry
	for k, text := range strings.Fields("order:A order:B arrive:C order:A order:C order:D arrive:B order:E") {
		what, id, _ := strings.Cut(text, ":")
		var f fact.Fact = &fact.ExpectParcel{Parcel: id, Vials: k}
		if what == "arrive" {
			f = &fact.Parcel{Parcel: id}
		}
		entries = append(entries, fold.Entry{Fact: f})
	}
	got := ""
	for _, x := range inventory.Outstanding(entries) {
		got += fmt.Sprint(" ", x.Parcel, x.Vials)
	}
	if got != " A3 D5 E7" {
		t.Errorf("outstanding are%s", got)
	}
}
