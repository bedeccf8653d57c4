package meterbook_test

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/meterbook"
	"vialwright/quantity"
	"vialwright/rules"
)

// A source of 7.4 MBq, read three and a half years later.
func ExampleOf() {
	at := time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)
	stated := func(text string) quantity.Stated[quantity.Activity] {
		s, _ := quantity.Parse[quantity.Activity](text)
		return s
	}
	entries := []fold.Entry{
		{Number: 1, Fact: &fact.CheckSource{ID: "CS1", Nuclide: "Cs-137", Activity: stated("7.4 MBq"), Reference: time.Date(2023, 9, 3, 0, 0, 0, 0, time.UTC), At: at.AddDate(-1, 0, 0)}},
		{Number: 2, Fact: &fact.MeterTest{Of: "M1", Test: fact.ConstancyTest, Source: "CS1", At: at, Readings: []fact.TestReading{{Gross: stated("6.73 MBq"), Background: stated("0.02 MBq")}}}},
	}
	b := meterbook.Of(entries, meterbook.RulesOf(rules.Set{}), time.UTC, at)
	for _, t := range b.Find("M1").Tests {
		fmt.Println(t.Verdict, t.Says)
	}
	// Output:
	// good 6.71 MBq for 6.826 MBq expected (source CS1): -1.70 %, tolerance 5 %.
}
