package invented_test

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"vialwright/experience/invented"
	"vialwright/journal"
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
	var head journal.Head
	var v journal.Verifier
	for _, c := range a {
		links, err := journal.Seal(head, c...)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range links {
			if _, err := v.Add(l); err != nil {
				t.Fatal(err)
			}
		}
		head = links[len(links)-1].Head()
	}
	if r := v.Report(); r.Backwards > 0 || r.Cases != 100 || !r.Last.Before(until) {
		t.Errorf("%+v", r)
	}
}

func ExampleCases() {
	cases, err := invented.Cases(2, 1, until, time.LoadLocation)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range cases[0] {
		if x, ok := r.Fact.(*journal.Draw); ok {
			fmt.Println(r.Case, r.By, "drew", x.Volume)
		}
	}
	// Output:
	// past-0001 RP2 drew 2.0 mL
}
