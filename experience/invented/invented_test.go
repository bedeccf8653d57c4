package invented_test

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/state"
)

var until = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

// The same seed gives the same past, in the order of time, and one that a
// journal takes.
func TestCases(t *testing.T) {
	a, err := invented.Cases(100, 4, until, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	b, err := invented.Cases(100, 4, until, time.LoadLocation)
	if err != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("the same seed gives another past, %v", err)
	}
}

// The past of a site has the settings once, and each of its orders reckons to
// what its case does; what corrects an entry names it by the number it has there.
func TestSite(t *testing.T) {
	cases, err := invented.Cases(100, 4, until, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	all, err := invented.Site(100, 4, until, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	links, err := journal.Seal(journal.Head{}, func() journal.Salt { return journal.Salt{} }, all...)
	if err != nil {
		t.Fatal(err)
	}
	var v journal.Verifier
	books := state.New()
	for _, l := range links {
		r, err := v.Add(l)
		if err != nil {
			t.Fatal(err)
		}
		books.Add(r)
	}
	if r := v.Report(); r.Backwards > 0 || !r.Last.Before(until) {
		t.Errorf("%+v", r)
	}
	groups := books.All()
	if len(groups) != len(cases) {
		t.Fatalf("%d groups of %d cases", len(groups), len(cases))
	}
	for i, c := range cases {
		want, err := fold.Records(c, time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		got, err := fold.Records(books.Records(groups[i:i+1]), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		a, b := dispensing.Reckon(want, time.Time{}), dispensing.Reckon(got, time.Time{})
		if x, y := a.Orders[0], b.Orders[0]; x.Order.ID != y.Order.ID || (x.Dispensed == nil) != (y.Dispensed == nil) ||
			x.Dispensed != nil && x.Dispensed.Activity != y.Dispensed.Activity {
			t.Errorf("%s: %+v in the site, %+v as a case", x.Order.ID, y.Dispensed, x.Dispensed)
		}
	}
}

func ExampleCases() {
	cases, err := invented.Cases(2, 1, until, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range cases[0] {
		if x, ok := r.Fact.(*fact.Draw); ok {
			fmt.Println(x.For, r.By, "drew", x.Volume)
		}
	}
	// Output:
	// P0001 RP2 drew 2.0 mL
}
