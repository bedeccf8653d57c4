package fold_test

import (
	"fmt"
	"math"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// bench plays a preparation: it draws steps that can happen and keeps the
// volumes of its own, in microlitres, so that they are exact.
type bench struct {
	t     *rapid.T
	facts []fact.Fact
	at    time.Time
	held  map[string]int    // µL
	kind  map[string]string // vial, syringe, administration, waste
	serve map[string]string
	order []string // ids of containers, in the order they came
	in    int      // µL received and added
}

func uL(n int) quantity.Stated[quantity.Volume] {
	return facttest.Q[quantity.Volume](fmt.Sprintf("%d uL", n))
}

func (b *bench) add(f fact.Fact) { b.facts = append(b.facts, f) }

func (b *bench) tick() time.Time {
	b.at = b.at.Add(time.Duration(rapid.IntRange(0, 600).Draw(b.t, "seconds")) * time.Second)
	return b.at
}

// pick draws a container of one of the kinds with something in it.
func (b *bench) pick(what string, kinds ...string) (string, bool) {
	var ids []string
	for _, id := range b.order {
		for _, k := range kinds {
			if b.kind[id] == k && b.held[id] > 0 {
				ids = append(ids, id)
			}
		}
	}
	if len(ids) == 0 {
		return "", false
	}
	return rapid.SampledFrom(ids).Draw(b.t, what), true
}

// into draws the target of a movement: a new id, or one of the kind that
// serves the order.
func (b *bench) into(kind, order string) string {
	for _, id := range b.order {
		if b.kind[id] == kind && b.serve[id] == order && rapid.Bool().Draw(b.t, "again") {
			return id
		}
	}
	id := fmt.Sprintf("K%d", len(b.order))
	b.order, b.kind[id], b.serve[id] = append(b.order, id), kind, order
	return id
}

// move moves all, or a part that is drawn.
func (b *bench) move(from, into string) (v quantity.Stated[quantity.Volume]) {
	n := b.held[from]
	if rapid.Bool().Draw(b.t, "part") {
		n = rapid.IntRange(1, n).Draw(b.t, "volume")
		v = uL(n)
	}
	b.held[from] -= n
	b.held[into] += n
	return v
}

func (b *bench) step() {
	o := rapid.SampledFrom([]string{"P1", "P2"}).Draw(b.t, "order")
	switch rapid.IntRange(0, 5).Draw(b.t, "step") {
	case 0:
		if from, ok := b.pick("from", "vial"); ok {
			into := b.into("syringe", o)
			n := rapid.IntRange(1, b.held[from]).Draw(b.t, "volume")
			b.held[from] -= n
			b.held[into] += n
			b.add(&fact.Draw{From: from, Into: into, For: o, At: b.tick(), Volume: uL(n)})
		}
	case 1:
		if from, ok := b.pick("from", "syringe"); ok {
			into := b.into("administration", b.serve[from])
			b.add(&fact.Transfer{From: from, Into: into, At: b.tick(), Volume: b.move(from, into)})
		}
	case 2:
		if from, ok := b.pick("from", "syringe"); ok {
			b.add(&fact.Return{From: from, Into: "V0", At: b.tick(), Volume: b.move(from, "V0")})
		}
	case 3:
		if of, ok := b.pick("of", "vial", "syringe", "administration"); ok {
			n := rapid.IntRange(1, 2000).Draw(b.t, "volume")
			b.held[of] += n
			b.in += n
			b.add(&fact.MakeUp{Of: of, At: b.tick(), Volume: uL(n), Diluent: "water for injection"})
		}
	case 4:
		if from, ok := b.pick("from", "vial", "syringe", "administration"); ok {
			into := b.into("waste", "")
			b.add(&fact.Discard{From: from, Into: into, At: b.tick(), Volume: b.move(from, into)})
		}
	case 5:
		if of, ok := b.pick("of", "vial", "syringe"); ok {
			gross := fmt.Sprintf("%d MBq", rapid.IntRange(1, 5000).Draw(b.t, "gross"))
			b.add(&fact.Read{Of: of, Meter: "M1", At: b.tick(), Gross: facttest.Q[quantity.Activity](gross), Background: facttest.Q[quantity.Activity]("0.2 MBq")})
		}
	}
}

// play draws a whole case.
func play(t *rapid.T) *bench {
	b := &bench{
		t: t, at: time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC),
		held: map[string]int{"V0": 5000}, kind: map[string]string{"V0": "vial"}, serve: map[string]string{}, order: []string{"V0"}, in: 5000,
	}
	factor := []fact.Geometry{{Factor: fact.Number{Value: 1, Text: "1"}, U: facttest.Q[quantity.Fraction]("1 %"), Basis: quantity.LabelBasis}}
	b.add(&fact.Site{Zone: "UTC"})
	b.add(&fact.Meter{
		ID: "M1", CalibrationU: facttest.Q[quantity.Fraction]("2 %"), Repeatability: facttest.Q[quantity.Fraction]("0.8 %"),
		Geometry: &fact.Geometries{ShippingVial: factor, Syringe: factor},
	})
	for _, id := range []string{"P1", "P2"} {
		b.add(&fact.Order{ID: id, Prescribed: facttest.Q[quantity.Activity]("1 GBq"), At: b.at.Add(6 * time.Hour)})
	}
	b.add(&fact.Receive{Vial: "V0", Lot: "L-1", Labelled: facttest.Q[quantity.Activity]("3.0 GBq"), Reference: b.at.Add(10 * time.Hour), Volume: uL(5000)})
	for range rapid.IntRange(0, 30).Draw(t, "steps") {
		b.step()
	}
	return b
}

// TestBenchConserves plays preparations. Every container of the books holds
// what the bench put there, to the rounding of sums of decimals in binary
// (30 sums of at most 65 mL: 1e-12 mL; the books round to 1e-6 mL); all of it
// adds up to what came in. The facts survive records and case files, and fold
// to the same case again.
func TestBenchConserves(t *testing.T) {
	zones := facttest.CachedZones()
	rapid.Check(t, func(t *rapid.T) {
		b := play(t)
		c, err := fold.Facts(b.facts, zones)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, id := range b.order {
			got := float64(c.Book.Volume(id))
			sum += got
			if math.Abs(got-float64(b.held[id])/1000) > 1e-6 {
				t.Fatalf("%s holds %v mL, want %v uL", id, got, b.held[id])
			}
		}
		if math.Abs(sum-float64(b.in)/1000) > 1e-6*float64(len(b.order)) {
			t.Fatalf("%v mL in all, want %v uL", sum, b.in)
		}
		replayed(t, b.facts, zones)
	})
}

// replayed takes facts through a journal and a case file.
func replayed(t *rapid.T, facts []fact.Fact, zones fact.Zones) {
	records := make([]journal.Record, len(facts))
	for i, f := range facts {
		records[i] = journal.Record{Recorded: time.Unix(1_800_000_000+int64(i), 0).UTC(), By: "rp-1", Fact: f}
	}
	links, err := journal.Seal(journal.Head{}, facttest.Salt, records...)
	if err != nil {
		t.Fatal(err)
	}
	var v journal.Verifier
	var back []journal.Record
	for _, l := range links {
		r, err := v.Add(l)
		if err != nil {
			t.Fatal(err)
		}
		back = append(back, r)
	}
	again, err := journal.Seal(journal.Head{}, facttest.Salt, back...)
	if err != nil || !reflect.DeepEqual(again, links) {
		t.Fatalf("sealed again: %v", err)
	}
	text, err := casefile.Export(facts, zones)
	if err != nil {
		t.Fatal(err)
	}
	f, err := casefile.Decode(text, zones)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	same := map[string][]fact.Fact{"records": nil, "case file": f.Facts}
	for _, r := range back {
		same["records"] = append(same["records"], r.Fact)
	}
	want, err := fold.Facts(facts, zones)
	if err != nil {
		t.Fatal(err)
	}
	for way, list := range same {
		got, err := fold.Facts(list, zones)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("another case from the %s", way)
		}
	}
}
