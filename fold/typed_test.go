package fold_test

import (
	"testing"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// TestTyped: a test of an instrument in two units or at two fills is refused when it is made
// now, as an entry and as a correction, and not when it is read.
func TestTyped(t *testing.T) {
	volume := func(mL quantity.Volume) quantity.Stated[quantity.Volume] {
		return quantity.Stated[quantity.Volume]{Value: mL, Text: quantity.Format(mL, 0, "mL")}
	}
	gross := quantity.Stated[quantity.Activity]{Value: 1e9, Text: "1 GBq"}
	rate := fact.TestReading{Rate: quantity.Stated[quantity.DoseRate]{Value: 3, Text: "3 uSv/h"}}
	in := func(mL quantity.Volume) fact.TestReading {
		return fact.TestReading{Gross: gross, Part: fact.PartIn, Volume: volume(mL)}
	}
	for _, x := range []struct {
		readings   []fact.TestReading
		code, path string
	}{
		{[]fact.TestReading{{Gross: gross}, {Gross: gross}}, "", ""},
		{[]fact.TestReading{{Gross: gross}, rate}, "two-units", "readings[2]"},
		{[]fact.TestReading{{Gross: gross, Part: fact.PartBefore, Volume: volume(5)}, in(2), in(2)}, "", ""},
		{[]fact.TestReading{{Gross: gross, Part: fact.PartBefore, Volume: volume(5)}, in(2), in(3)}, "two-fills", "readings[3].volume"},
	} {
		test := &fact.MeterTest{Of: "M1", Test: fact.GeometryTest, Container: "syringe", Readings: x.readings}
		for at, f := range map[string]fact.Fact{"entries[7].meter-test.": test, "entries[7].correct.with.meter-test.": &fact.Correct{Entry: 3, Reason: "a slip", With: test}} {
			got := fold.Typed(journal.Record{N: 7, Fact: f})
			if x.code == "" && got != nil || x.code != "" && (got == nil || got.Code != x.code || got.Path != at+x.path) {
				t.Errorf("%+v: %v, want %s at %s", x.readings, got, x.code, at+x.path)
			}
		}
	}
}
