package dayplan_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"vialwright/dayplan"
	"vialwright/quantity"
)

// TestOddsMonteCarlo holds the odds of plans against drawn vials and draws, with the
// products that the formula is the first order of: U(1 + c)(1 + ε) ≥ Σ D(1 + δ), c
// common to all vials and ε to all orders of one.
func TestOddsMonteCarlo(t *testing.T) {
	trials := 400000
	if testing.Short() {
		trials = 60000
	}
	for _, yieldU := range []quantity.Fraction{0, 0.02, 0.05} {
		d := small(false, 0, 0, 1)
		d.Odds, d.YieldU, d.Scatter = 0.5, yieldU, 0.02
		p := solve(t, d)
		r := refer(d)
		demands := demandsOf(r, p)
		rng := rand.New(rand.NewPCG(7, uint64(1e4*yieldU)))
		held := 0
		for range trials {
			c := 1 + float64(yieldU)*rng.NormFloat64()
			ok := true
			for v, list := range demands {
				have := r.usable(v) * c * (1 + float64(d.Vials[v].U)*rng.NormFloat64())
				for _, x := range list {
					have -= x * (1 + float64(d.Scatter)*rng.NormFloat64())
				}
				ok = ok && (len(list) == 0 || have >= 0)
			}
			held += one(ok)
		}
		got := float64(held) / float64(trials)
		if tol := 4*math.Sqrt(got*(1-got)/float64(trials)) + 0.003; math.Abs(got-p.Odds) > tol {
			t.Errorf("u(q) %g: odds %.4f, by Monte Carlo %.4f", float64(yieldU), p.Odds, got)
		}
		if s := r.joint(demands); math.Abs(s-p.Odds) > 1e-9 {
			t.Errorf("u(q) %g: odds %.12f, by another rule %.12f", float64(yieldU), p.Odds, s)
		}
	}
}

// demandsOf gives what a plan draws of each vial.
func demandsOf(r *reference, p dayplan.Plan) [][]float64 {
	out := make([][]float64, len(r.d.Vials))
	for _, row := range p.Rows {
		for o := range r.d.Orders {
			for _, c := range r.choices[o] {
				if r.d.Orders[o].ID == row.Order && c.source < len(r.d.Vials) && r.d.Vials[c.source].ID == row.From && c.infuse.Equal(row.Infuse) {
					out[c.source] = append(out[c.source], c.demand)
				}
			}
		}
	}
	return out
}

// TestOddsClosedForm asks for one vial, where the mean over the common part of the
// yield is known: Φ((U − L)/√(U²(u² + u_q²) + s²Q)).
func TestOddsClosedForm(t *testing.T) {
	for _, yieldU := range []quantity.Fraction{0, 0.005, 0.02, 0.1} {
		d := small(false, 0)
		d.Orders = d.Orders[2:3]
		d.Odds, d.YieldU = 0.5, yieldU
		p := solve(t, d)
		r := refer(d)
		if want := r.odds(0, demandsOf(r, p)[0], 0, float64(yieldU)); math.Abs(p.Odds-want) > 1e-10 {
			t.Errorf("u(q) %g: odds %.12f, want %.12f", float64(yieldU), p.Odds, want)
		}
	}
}

// TestOrderOfInput holds a plan against the same day with its orders and vials
// written the other way round.
func TestOrderOfInput(t *testing.T) {
	for seed := range uint64(40) {
		d := random(seed, 5, 4, true)
		p := solve(t, d)
		turned := d
		turned.Orders, turned.Vials = nil, nil
		for i := range d.Orders {
			turned.Orders = append(turned.Orders, d.Orders[len(d.Orders)-1-i])
		}
		for i := range d.Vials {
			turned.Vials = append(turned.Vials, d.Vials[len(d.Vials)-1-i])
		}
		q := solve(t, turned)
		for i := range p.Rows {
			if p.Rows[i].Row != q.Rows[i].Row {
				t.Fatalf("seed %d: %+v and %+v", seed, p.Rows[i].Row, q.Rows[i].Row)
			}
		}
	}
}

// realDay is an invented day of so many orders and vials: three reference times, two
// benches, people, suites, some windows of time and spheres.
func realDay(seed uint64, orders, vials int) dayplan.Day {
	rng := rand.New(rand.NewPCG(seed, uint64(orders)))
	days := 1 + (orders-1)/12
	d := bare()
	d.Ends = clock(days-1, 18, 0)
	d.HandDose, d.Scatter = 150, 0.01
	d.Bench = dayplan.Bench{Count: 2, Takes: 30 * quantity.Minute, Check: 15 * quantity.Minute, Lead: 30 * quantity.Minute, Hold: 4 * quantity.Hour}
	for k := range days {
		d.Bench.Hours = append(d.Bench.Hours, dayplan.Interval{From: clock(k, 7, 0), Until: clock(k, 17, 0)})
		for _, id := range []string{"p1", "p2", "p3", "p4"} {
			d.People = append(d.People, dayplan.Person{ID: id, Present: d.Bench.Hours[k], Draws: true, Checks: true})
		}
	}
	d.Infusion = 45 * quantity.Minute
	for i := range orders {
		at := clock(i%days, 9, 0).Add(time.Duration(i/days) * 30 * time.Minute)
		o := dayplan.Order{ID: string(rune('A'+i/26)) + string(rune('a'+i%26)), Wanted: quantity.Activity(0.4e9 + 1.1e9*rng.Float64()), At: at, Earliest: at, Latest: at}
		if i%3 == 0 {
			o.Earliest, o.Latest = at.Add(-30*time.Minute), at.Add(30*time.Minute)
		}
		o.Suite = "suite " + string(rune('1'+(i/days)%2))
		d.Orders = append(d.Orders, o)
	}
	for i := range vials {
		d.Vials = append(d.Vials, dayplan.Vial{
			ID: "V" + string(rune('a'+i)), Activity: quantity.Activity(3e9 + 0.1e9*float64(rng.IntN(3))), U: 0.02, Reference: clock(rng.IntN(days+1), 18, 0), Volume: 5, Dead: 0.3, InHand: true, Punctures: 5,
		})
	}
	return d
}

// TestRealDays asks for proof on days of 12 orders, 6 vials and 2 benches within the
// steps that take less than two seconds.
func TestRealDays(t *testing.T) {
	days := uint64(10)
	if testing.Short() {
		days = 2
	}
	for seed := range days {
		d := realDay(seed, 12, 6)
		began := time.Now()
		p, err := dayplan.Solve(d, enough)
		if err != nil || !p.Proven {
			t.Errorf("seed %d: %v, not proven after %d steps: %+v, bound %+v", seed, err, p.Steps, p.Score, p.Bound)
		}
		t.Logf("seed %d: %+v, %d steps, %v", seed, p.Score, p.Steps, time.Since(began))
	}
}
