package fold_test

import (
	"math"
	"reflect"
	"testing"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fact/facttest"
)

// TestSettlingTestIsReckoned by hand: the last reading of the file, 3.15 GBq
// five minutes after the resuspension, is 3.1498 GBq net and, at T½ = 64.0417 h,
// 3.1498·2^(300/230550.12) = 3.152642 GBq at the shaking; it repeats to 0.8 %,
// and a step of 0.01 GBq has the uncertainty 2.8868 MBq: 25.3863 MBq in all.
func TestSettlingTestIsReckoned(t *testing.T) {
	c := facttest.Fold(t, facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts)
	if len(c.Curves) != 1 {
		t.Fatalf("%d curves", len(c.Curves))
	}
	x := c.Curves[0]
	if x.Of != "S2" || x.Meter != "M1" || x.Vial != "3 GBq in 5 mL" || x.At != facttest.Local("16:11") || x.Volume != 5 || x.Entry != lastEntry(t) || len(x.Readings) != 5 {
		t.Errorf("the curve is %+v", x)
	}
	r := x.Readings[4]
	if r.At != 300 || math.Abs(float64(r.Value)-3.152642e9) > 1e3 || math.Abs(float64(r.U)-25.3863e6) > 1e3 {
		t.Errorf("the last reading is %+v", r)
	}
}

// lastEntry is the number of the last entry of the file.
func lastEntry(t *testing.T) (n int) {
	for _, f := range facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts {
		if !fact.IsHeader(f) {
			n++
		}
	}
	return n
}

// TestSettlingTestMovesNothing: the books of a case are the same without it.
func TestSettlingTestMovesNothing(t *testing.T) {
	facts := facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts
	with := facttest.Fold(t, facts)
	if fact.Word(facts[len(facts)-1]) != "settling-test" {
		t.Fatal("the last fact is no reading curve")
	}
	without := facttest.Fold(t, facts[:len(facts)-1])
	for _, k := range with.Book.Containers() {
		if with.Book.Volume(k.ID) != without.Book.Volume(k.ID) {
			t.Errorf("%s holds another volume", k.ID)
		}
	}
	if a, b := len(with.Readings), len(without.Readings); a != b {
		t.Errorf("%d readings with it, %d without", a, b)
	}
	if a, b := dispensing.Reckon(with, facttest.Local("17:00")), dispensing.Reckon(without, facttest.Local("17:00")); !reflect.DeepEqual(a, b) {
		t.Errorf("reckoned with it\n%+v, without\n%+v", a, b)
	}
}

// TestSettlingTestStruckOut leaves none.
func TestSettlingTestStruckOut(t *testing.T) {
	facts := facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts
	c := facttest.Fold(t, append(facts, &fact.Correct{Entry: lastEntry(t), Reason: "it was another vial"}))
	if len(c.Curves) != 0 {
		t.Errorf("%d curves", len(c.Curves))
	}
}
