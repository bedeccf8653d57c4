package dayplan_test

import (
	"fmt"
	"time"

	"vialwright/dayplan"
	"vialwright/quantity"
)

// Two vials for three orders: the plan that opens both, since one that held all would
// do so with odds below those wanted.
func Example() {
	noon := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	d := dayplan.Day{
		Now: noon.Add(-5 * time.Hour), Ends: noon.Add(6 * time.Hour), HalfLife: 64.0417 * quantity.Hour,
		Odds: 0.95, Tolerance: 0.1, Yield: 0.95, Scatter: 0.02, AssayU: 0.01, Step: 15 * quantity.Minute,
		Bench: dayplan.Bench{
			Count: 1, Takes: 30 * quantity.Minute, Lead: 30 * quantity.Minute,
			Hours: []dayplan.Interval{{From: noon.Add(-4 * time.Hour), Until: noon.Add(4 * time.Hour)}},
		},
		Syringes: []dayplan.Syringe{{Capacity: 5, Graduation: 0.1}},
	}
	for i, a := range []quantity.Activity{1.2e9, 0.8e9, 0.65e9} {
		at := noon.Add(time.Duration(i) * time.Hour)
		d.Orders = append(d.Orders, dayplan.Order{ID: fmt.Sprintf("P%d", i+1), Prescribed: a, Wanted: a, At: at, Earliest: at, Latest: at})
	}
	for _, id := range []string{"S1", "S2"} {
		d.Vials = append(d.Vials, dayplan.Vial{ID: id, Activity: 3e9, U: 0.03, Reference: noon, Volume: 5, Dead: 0.3, InHand: true})
	}
	p, err := dayplan.Solve(d, 100000)
	fmt.Println(err, p.Proven, p.Score.Vials)
	for _, r := range p.Rows {
		fmt.Println(r.Order, "from", r.From, "drawn", r.Draw.Format("15:04"), "infused", r.Infuse.Format("15:04"))
	}
	// Output:
	// <nil> true 2
	// P1 from S1 drawn 11:00 infused 12:00
	// P2 from S1 drawn 12:00 infused 13:00
	// P3 from S2 drawn 13:00 infused 14:00
}
