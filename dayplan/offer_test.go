package dayplan_test

import (
	"testing"

	"vialwright/dayplan"
	"vialwright/quantity"
)

// TestComesWhole: where one vial of an offer is opened, all of the offer is held against the
// licence as it arrives; and nothing is drawn from a vial before it is received. By hand: 2 GBq
// each at the end, 15:30, are 2*2^(5.5/64.0417) = 2.1228 GBq at 10:00.
func TestComesWhole(t *testing.T) {
	for _, c := range []struct {
		what    string
		offer   string
		left    quantity.Activity
		hour    int
		receipt quantity.Span
		served  bool
	}{
		{"one of two, each ordered by itself", "", 2.13e9, 12, 0, true},
		{"less than one", "", 2.12e9, 12, 0, false},
		{"one of two that come together", "O", 4.24e9, 12, 0, false},
		{"room for both", "O", 4.25e9, 12, 0, true},
		{"no time to receive it", "O", 4.25e9, 12, 2 * quantity.Hour, false}, // and a draw takes a quarter of an hour
		{"time to receive it", "O", 4.25e9, 12, 105 * quantity.Minute, true},
	} {
		for _, whole := range []bool{false, true} {
			d := bare()
			d.Receipt = c.receipt
			at := clock(0, c.hour, 0)
			d.Orders = []dayplan.Order{{ID: "X", Wanted: 1e9, At: at, Earliest: at, Latest: at}}
			for _, id := range []string{"O-1", "O-2"} {
				d.Vials = append(d.Vials, dayplan.Vial{ID: id, Activity: 2e9, U: 0.01, Reference: d.Ends, Volume: 5, Dead: 0.3, Arrives: clock(0, 10, 0), Offer: c.offer, Line: "L"})
			}
			if d.Rooms = []dayplan.Room{{At: clock(0, 10, 0), Line: "L", Left: c.left}, {At: clock(0, 10, 0), Line: "other"}}; whole {
				d.Rooms, d.Licence = nil, dayplan.Licence{Limit: c.left, At: d.Now}
				for i := range d.Vials {
					d.Vials[i].Line = ""
				}
			}
			if p := solve(t, d); (len(p.Unserved) == 0) != c.served {
				t.Errorf("%s, one licence %v: not served %v", c.what, whole, p.Unserved)
			}
		}
	}
}
