package identity

import (
	"slices"
	"strings"
	"testing"
)

func dose() Item {
	return Item{
		Patient: "DEMO-0042", Second: "DEMO-77", Order: "P1", Version: "2", Territory: "right lobe", Vial: "S1",
		Label: New([16]byte{1, 2, 3}),
	}
}

// The checks in their stated order: at each step one thing more is wrong, and
// the first refusal is the one of that step.
func TestMatchRefusesInItsStatedOrder(t *testing.T) {
	order := []struct {
		what  string
		spoil func(*Item)
	}{
		{"label", func(i *Item) { i.Label = New([16]byte{9}) }},
		{"vial", func(i *Item) { i.Vial = "S2" }},
		{"territory", func(i *Item) { i.Territory = "left lobe" }},
		{"version", func(i *Item) { i.Version = "1" }},
		{"order", func(i *Item) { i.Order = "P2" }},
		{SecondIdentifier, func(i *Item) { i.Second = "DEMO-78" }},
		{"patient", func(i *Item) { i.Patient = "DEMO-0024" }},
	}
	found := dose()
	if r := refused(Match(dose(), found)); len(r) != 0 {
		t.Fatalf("the same item is refused: %v", r)
	}
	found.Territory = " Right  LOBE" // as it was spoken and typed
	if r := refused(Match(dose(), found)); len(r) != 0 {
		t.Errorf("a territory in other letters is refused: %v", r)
	}
	for i, step := range order {
		step.spoil(&found)
		r := refused(Match(dose(), found))
		if len(r) != i+1 || r[0].What != step.what || r[0].Reason != Differs {
			t.Errorf("%s: refusals %v", step.what, r)
		}
		if text := r[0].Text(); !strings.Contains(text, r[0].Expected) || !strings.Contains(text, r[0].Found) {
			t.Errorf("%q does not show both", text)
		}
	}
}

func TestMatchReasons(t *testing.T) {
	for _, row := range []struct {
		name            string
		expected, found func(*Item)
		what            string
		want            Reason
	}{
		{"the record has no territory", func(i *Item) { i.Territory = "" }, nil, "territory", NotExpected},
		{"neither has a territory", func(i *Item) { i.Territory = "" }, func(i *Item) { i.Territory = "" }, "territory", NotExpected},
		{"blank is absent", func(i *Item) { i.Territory = " " }, func(i *Item) { i.Territory = " " }, "territory", NotExpected},
		{"no wristband", nil, func(i *Item) { i.Patient = "" }, "patient", NotFound},
		{"no label", nil, func(i *Item) { i.Label = Serial{} }, "label", NotFound},
		{"another case", nil, func(i *Item) { i.Patient = "demo-0042" }, "patient", OtherCase},
		{"a space inside", nil, func(i *Item) { i.Patient = "DEMO -0042" }, "patient", OtherCase},
		{"digits exchanged", nil, func(i *Item) { i.Patient = "DEMO-0024" }, "patient", Differs},
		{"practice label on a real dose", nil, func(i *Item) { i.Label = NewPractice([16]byte{1}) }, "label", ForPractice},
		{"real label in practice", func(i *Item) { i.Label = NewPractice([16]byte{1}) }, nil, "label", ForPractice},
		{"two practice labels", func(i *Item) { i.Label = NewPractice([16]byte{1}) }, func(i *Item) { i.Label = NewPractice([16]byte{2}) }, "label", Differs},
	} {
		t.Run(row.name, func(t *testing.T) {
			expected, found := dose(), dose()
			if row.expected != nil {
				row.expected(&expected)
			}
			if row.found != nil {
				row.found(&found)
			}
			r := refused(Match(expected, found))
			if len(r) != 1 || r[0].What != row.what || r[0].Reason != row.want {
				t.Fatalf("refusals %+v, want %s: %s", r, row.what, row.want)
			}
			if r[0].Text() == "" {
				t.Error("no text")
			}
		})
	}
}

func TestMatchAlwaysGivesSevenChecks(t *testing.T) {
	var names []string
	for _, c := range Match(Item{}, Item{}) {
		names = append(names, c.What)
		if c.Reason != NotExpected {
			t.Errorf("%s: absent agrees with absent", c.What)
		}
	}
	if got := strings.Join(names, " "); got != "patient second identifier order version territory vial label" {
		t.Errorf("order of the checks: %s", got)
	}
}

// refused are the checks that stop the hand-over, in order.
func refused(checks []Check) []Check {
	return slices.DeleteFunc(checks, func(c Check) bool { return !c.Refused() })
}
