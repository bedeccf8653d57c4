package dayplan

import (
	"fmt"
	"testing"
	"time"

	"vialwright/quantity"
)

// TestStepsBoundBench: on a day whose draws do not all fit on the one bench, the search
// tries no more places than its steps pay for, beside the schedule under way when they
// run out.
func TestStepsBoundBench(t *testing.T) {
	const steps = 3000
	open := time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)
	for _, grid := range []quantity.Span{300, 900} {
		d := Day{
			Now: open, Ends: open.Add(12 * time.Hour), HalfLife: 230550, Odds: 0.95, Tolerance: 0.1, Yield: 0.95, YieldU: 0.01, Scatter: 0.02, AssayU: 0.02, Step: grid, Infusion: 3600,
			Bench:    Bench{Count: 1, Hours: []Interval{{open, open.Add(9 * time.Hour)}}, Takes: 2700, Check: 900, Lead: 1800},
			Syringes: []Syringe{{5, 0.1}},
		}
		for i := range 10 {
			at, a := open.Add(2*time.Hour+time.Duration(i)*30*time.Minute), 1e9+5e7*quantity.Activity(i)
			d.Orders = append(d.Orders, Order{ID: fmt.Sprint("P", i), Prescribed: a, Wanted: a, At: at, Earliest: at.Add(-2 * time.Hour), Latest: at.Add(2 * time.Hour), Suite: fmt.Sprint("Suite ", i%2)})
		}
		for i := range 5 {
			d.Vials = append(d.Vials, Vial{ID: fmt.Sprint("S", i), Activity: 3e9 + 1e8*quantity.Activity(i), U: 0.02, Reference: d.Ends, Volume: 5, Dead: 0.3, InHand: true})
		}
		m := compile(d, nil)
		a := m.solve(steps)
		if most := steps*triesOfStep + mostTries; !a.cut || m.bench.tried > most {
			t.Errorf("steps of %s: %d places tried, and %d steps pay for %d; cut %v", quantity.ShowSpan(grid), m.bench.tried, steps, most, a.cut)
		}
	}
}
