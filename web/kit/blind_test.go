package kit

import (
	"testing"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// Where nothing can be reckoned, it is not known whom a second check is kept from: only
// the one who made it is shown its figures.
func TestShownWhereNothingCanBeReckoned(t *testing.T) {
	check := &fact.SecondCheck{For: "P1", Of: "S1"}
	check.Activity.Value = 1.25 * quantity.GigaBecquerel
	for _, x := range []struct {
		by    string
		shown bool
	}{{"T1", true}, {"MP1", false}} {
		q := &Request{}
		q.Who.ID = "T1"
		got, _ := q.Shown(nil, journal.Record{By: x.by, Fact: check}).(*fact.SecondCheck)
		if shown := got.Activity.Value == check.Activity.Value; shown != x.shown {
			t.Errorf("a check by %s is shown to T1 with its figure: %v, want %v", x.by, shown, x.shown)
		}
	}
}
