package fold_test

import (
	"reflect"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/quantity"
)

// replaced is a meter that replaces another.
func replaced(id string) *fact.Meter {
	return &fact.Meter{ID: id, Geometry: &fact.Geometries{}, Reason: "calibrated again"}
}

// TestSettings: before the first entry the last policy and the last meter of
// an id hold, for the fold and for the case file that is written.
func TestSettings(t *testing.T) {
	head := facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts[:4] // case, policy, M1, M2
	old, _ := head[1].(*fact.Policy)
	newer := *old
	newer.Limit, newer.Reason = facttest.Q[quantity.Fraction]("15 %"), "the limit was lowered"
	m2, _ := head[3].(*fact.Meter)
	again := *m2
	again.CalibrationU, again.Reason = facttest.Q[quantity.Fraction]("3 %"), "calibrated again"
	facts := append(append([]fact.Fact{}, head...), &again, &newer, &fact.Note{Text: "the first entry"})

	c, policy, meters := fact.Settings(facts)
	if c != head[0] || policy != &newer || len(meters) != 2 || meters[0] != head[2] || meters[1] != &again {
		t.Errorf("settings %v, %v, %v", c, policy, meters)
	}
	if got := facttest.Fold(t, facts).Policy.Limit; got != 0.15 {
		t.Errorf("the limit in force is %v", got)
	}
	data, err := casefile.Export(facts, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	want := []fact.Fact{head[0], &newer, head[2], &again, facts[6]}
	if back := facttest.Decode(t, data).Facts; !reflect.DeepEqual(back, want) {
		t.Errorf("the exported case file holds other settings:\n%s", data)
	}
	if _, p, m := fact.Settings(facts[:1]); p != nil || m != nil {
		t.Errorf("settings where none were made: %v, %v", p, m)
	}
}
