package dayplan

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"vialwright/quantity"
)

// TestShares: no loads whose joint odds are those wanted add up to more than the shares of
// their vials allow, with and without a common part of the yield and scatter. Loads are
// pushed up until the odds are just those wanted, where the bound has the least to spare.
func TestShares(t *testing.T) {
	open := time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)
	rng := rand.New(rand.NewPCG(3, 7))
	closest := 1.0
	for trial := range 120 {
		d := Day{Now: open, Ends: open.Add(10 * time.Hour), HalfLife: 230550, Odds: quantity.Fraction(0.6 + 0.39*rng.Float64()), Tolerance: 0.1, Yield: 0.95, Step: 900}
		d.Bench = Bench{Count: 1, Hours: []Interval{{open, d.Ends}}, Takes: 900}
		d.YieldU, d.Scatter = quantity.Fraction(0.03*rng.Float64()*float64(trial%2)), quantity.Fraction(0.03*rng.Float64()*float64(trial/2%2))
		n := 1 + rng.IntN(12)
		same := 0.005 + 0.04*rng.Float64()
		for i := range n {
			u := same
			if trial%3 == 0 {
				u = 0.005 + 0.04*rng.Float64()
			}
			d.Vials = append(d.Vials, Vial{ID: fmt.Sprint(i), Activity: quantity.Activity(2e9 + 2e9*rng.Float64()), U: quantity.Fraction(u), Reference: d.Ends, Volume: 5, Dead: 0.3, InHand: true})
		}
		m := compile(d, nil)
		s := m.shares(n)
		loads := make([]load, n)
		at := func(scale float64, part []float64) float64 {
			for i := range loads {
				l := m.sources[i].usable * (1 - scale*part[i])
				loads[i] = load{orders: 4, sum: l, squares: l * l / 4}
			}
			return m.joint(loads)
		}
		part := make([]float64, n)
		for i := range part {
			part[i] = m.sources[i].u * (0.3 + rng.Float64()*float64(trial%4))
		}
		low, high := 0.0, 200.0
		for range 60 {
			if mid := (low + high) / 2; at(mid, part) < m.want {
				low = mid
			} else {
				high = mid
			}
		}
		if at(high, part) < m.want {
			continue
		}
		sum, most := 0.0, s.slack
		for i, l := range loads {
			sum += l.sum
			most += s.cap[i]
		}
		if sum > most {
			t.Errorf("trial %d: %d vials hold %.6g with the odds wanted, and the bound is %.6g", trial, n, sum, most)
		}
		closest = min(closest, most/sum-1)
	}
	if closest > 0.003 {
		t.Errorf("the bound is never closer than %.2f %%", 100*closest)
	}
}

// SolveLong solves a day as one that no short search settles: after so many steps of one it
// is packed, and joint odds are asked for.
func SolveLong(d Day, short, steps int) (Plan, error) {
	if err := d.Check(); err != nil {
		return Plan{}, err
	}
	m := compile(d, nil)
	m.short = short
	return m.plan(m.solve(steps)), nil
}
