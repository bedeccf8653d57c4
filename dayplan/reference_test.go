package dayplan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"vialwright/dayplan"
	"vialwright/dose"
	"vialwright/quantity"
)

// This file works a day out a second time, by the formulas of
// docs/theory/dayplan.md and with nothing of the package but its types: what the
// brute force and the linear programs are written from.

// choice is one way to serve an order.
type choice struct {
	order, source int // sources: vials, then drawn doses
	infuse        time.Time
	demand        float64 // Bq at the end
	kilo          int64
	broken        int64
	changes       int64
	hand          int64
	first, last   int // slots of the draw; first -1 without one
}

type reference struct {
	d       dayplan.Day
	choices [][]choice // by order
	takes   int
	check   int
	slots   int
}

func (r *reference) decay(from, to time.Time) float64 {
	return math.Exp2(-to.Sub(from).Seconds() / float64(r.d.HalfLife))
}

func normal(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

func (r *reference) usable(v int) float64 {
	x := r.d.Vials[v]
	return float64(x.Activity) * float64(r.d.Yield) * (float64(x.Volume-x.Dead) / float64(x.Volume)) * r.decay(x.Reference, r.d.Ends)
}

func (r *reference) doseAtEnd(k int) float64 {
	x := r.d.Doses[k]
	if x.Unknown {
		return 0
	}
	return float64(x.Activity) * r.decay(x.At, r.d.Ends)
}

func thousand(x float64) int64 { return int64(math.Floor(x/1000 + 0.5)) }

// odds of a vial for its orders, with the common part of the yield at c.
func (r *reference) odds(v int, demands []float64, c, more float64) float64 {
	u := r.usable(v)
	variance := math.Pow(u*float64(r.d.Vials[v].U), 2) + math.Pow(u*more, 2)
	rest := u * (1 + c)
	for _, x := range demands {
		variance += math.Pow(x*float64(r.d.Scatter), 2)
		rest -= x
	}
	return normal(rest / math.Sqrt(variance))
}

// joint odds of a plan by Simpson's rule, another than that of the package.
func (r *reference) joint(demands [][]float64) float64 {
	at := func(c float64) float64 {
		p := 1.0
		for v, list := range demands {
			if len(list) > 0 {
				p *= r.odds(v, list, c, 0)
			}
		}
		return p
	}
	u := float64(r.d.YieldU)
	if u == 0 {
		return at(0)
	}
	const n = 400
	sum, h := 0.0, 20*u/n
	for k := 0; k <= n; k++ {
		w := 2.0 + 2*float64(k%2)
		if k == 0 || k == n {
			w = 1
		}
		c := -10*u + float64(k)*h
		sum += w * h / 3 * at(c) * math.Exp(-c*c/(2*u*u)) / (u * math.Sqrt(2*math.Pi))
	}
	return sum
}

func refer(d dayplan.Day) *reference {
	r := &reference{d: d}
	r.takes = int(math.Ceil(float64(d.Bench.Takes) / float64(d.Step)))
	r.check = int(math.Ceil(float64(d.Bench.Check) / float64(d.Step)))
	last := d.Bench.Hours[len(d.Bench.Hours)-1] // nobody is there between two days
	r.slots = int(last.Until.Sub(d.Bench.Hours[0].From).Seconds() / float64(d.Step))
	for o := range d.Orders {
		var list []choice
		for s := range len(d.Vials) + len(d.Doses) {
			list = append(list, r.ways(o, s)...)
		}
		r.choices = append(r.choices, list)
	}
	return r
}

// ways are those to serve an order from a source.
func (r *reference) ways(o, s int) (out []choice) {
	d, x := r.d, r.d.Orders[o]
	planned, at, from := false, x.At, ""
	for _, row := range d.InForce {
		if row.Order == x.ID {
			planned, at, from = true, row.Infuse, row.From
		}
	}
	step := time.Duration(float64(d.Step) * 1e9)
	for k := -200; k <= 200; k++ {
		t := x.At.Add(time.Duration(k) * step)
		if t.Before(x.Earliest) || t.After(x.Latest) || t.Before(d.Now) {
			continue
		}
		c := choice{order: o, source: s, infuse: t, first: -1}
		ok, id := false, ""
		if s < len(d.Vials) {
			ok, id = r.fromVial(&c), d.Vials[s].ID
		} else {
			ok, id = r.fromDose(&c), d.Doses[s-len(d.Vials)].ID
		}
		if !ok {
			continue
		}
		if !t.Equal(at) {
			c.changes++
		}
		if planned && from != id {
			c.changes++
		}
		out = append(out, c)
	}
	return out
}

func (r *reference) fromDose(c *choice) bool {
	k, o := r.d.Doses[c.source-len(r.d.Vials)], r.d.Orders[c.order]
	if k.Unknown {
		return k.For == o.ID
	}
	y := float64(k.Activity) * r.decay(k.At, c.infuse)
	c.kilo = thousand(r.doseAtEnd(c.source - len(r.d.Vials)))
	c.broken = r.outside(o, y, k.Reference, c.infuse)
	if k.For == o.ID && math.Abs(y/float64(o.Wanted)-1) <= float64(r.d.Tolerance) {
		return true
	}
	return r.inside(float64(o.Wanted), y, float64(k.U)) >= float64(r.d.Odds)
}

func (r *reference) inside(wanted, y, u float64) float64 {
	tol := float64(r.d.Tolerance)
	return normal((wanted*(1+tol)-y)/(y*u)) - normal((wanted*(1-tol)-y)/(y*u))
}

// outside holds the nominal number of spheres, 50 Bq each at the reference time,
// against the window.
func (r *reference) outside(o dayplan.Order, y float64, reference, at time.Time) int64 {
	millions := y / (50 * r.decay(reference, at)) / 1e6
	if millions < o.Spheres.Least || (o.Spheres.Most > 0 && millions > o.Spheres.Most) {
		return 1
	}
	return 0
}

func (r *reference) fromVial(c *choice) bool {
	d, v, o := r.d, r.d.Vials[c.source], r.d.Orders[c.order]
	for _, k := range d.Doses {
		if k.Unknown && k.For == o.ID {
			return false
		}
	}
	if !v.InHand && (v.Closed != "" || (!v.OrderBy.IsZero() && v.OrderBy.Before(d.Now))) {
		return false
	}
	if !v.Expiry.IsZero() && c.infuse.After(v.Expiry) {
		return false
	}
	c.demand = float64(o.Wanted) * r.decay(c.infuse, d.Ends)
	c.kilo = thousand(c.demand)
	volume := float64(v.Volume) * float64(o.Wanted) / (float64(d.Yield) * float64(v.Activity) * r.decay(v.Reference, c.infuse))
	if volume > float64(v.Volume-v.Dead) || (d.DoseMost > 0 && volume > float64(d.DoseMost)) {
		return false
	}
	best := 0.0
	for _, s := range d.Syringes {
		g := float64(s.Graduation)
		marks := math.Round(volume / g)
		if marks > 0 && volume <= float64(s.Capacity) {
			u := math.Sqrt(math.Pow(float64(d.AssayU), 2) + math.Pow(g/volume, 2)/12)
			best = max(best, r.inside(1, marks*g/volume, u))
		}
	}
	if best < float64(d.Odds) || o.Wanted < d.MeterLeast {
		return false
	}
	c.broken = r.outside(o, float64(o.Wanted), v.Reference, c.infuse)
	if !r.window(c) {
		return false
	}
	draw := d.Bench.Hours[0].From.Add(time.Duration(float64(c.last) * float64(d.Step) * 1e9))
	c.hand = int64(math.Floor(float64(d.HandDose)*1000*float64(v.Activity)*r.decay(v.Reference, draw)/1e9 + 0.5))
	return true
}

// window finds the slots in which the draw may begin, one by one.
func (r *reference) window(c *choice) bool {
	d, v := r.d, r.d.Vials[c.source]
	c.first, c.last = -1, -1
	for k := 0; k+r.takes <= r.slots; k++ {
		begin := d.Bench.Hours[0].From.Add(time.Duration(float64(k) * float64(d.Step) * 1e9))
		end := begin.Add(time.Duration(float64(r.takes) * float64(d.Step) * 1e9))
		wait := c.infuse.Sub(end)
		tooLong := d.Bench.Hold > 0 && begin.Before(c.infuse.Add(-time.Duration(float64(d.Bench.Hold+d.Bench.Takes)*1e9)))
		if begin.Before(d.Now) || begin.Before(v.Arrives) || wait.Seconds() < float64(d.Bench.Lead) || tooLong {
			continue
		}
		if d.MeterMost > 0 && float64(v.Activity)*r.decay(v.Reference, begin) > float64(d.MeterMost)*(1+1e-9) {
			continue
		}
		free := true
		for s := k; s < k+r.takes; s++ {
			free = free && r.people(s, 1, one(s >= k+r.takes-r.check))
		}
		if !free {
			continue
		}
		if c.first < 0 {
			c.first = k
		}
		c.last = k
	}
	return c.first >= 0
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// present counts who may draw, check, and do either, for the whole of a slot.
func (r *reference) present(slot int) (draw, check, either int) {
	if len(r.d.People) == 0 {
		return 99, 99, 99
	}
	from := r.d.Bench.Hours[0].From.Add(time.Duration(float64(slot) * float64(r.d.Step) * 1e9))
	until := from.Add(time.Duration(float64(r.d.Step) * 1e9))
	for _, p := range r.d.People {
		if !from.Before(p.Present.From) && !until.After(p.Present.Until) {
			draw += one(p.Draws)
			check += one(p.Checks)
			either += one(p.Draws || p.Checks)
		}
	}
	return draw, check, either
}

func (r *reference) people(slot, draws, checks int) bool {
	a, b, c := r.present(slot)
	return draws <= a && checks <= b && draws+checks <= c
}

// room is what the licence leaves for vials on offer at an instant, and which of
// them are there then.
func (r *reference) room(at time.Time) (room float64, adds []float64) {
	l := r.d.Licence
	room = float64(l.Limit) - float64(l.Rest)*r.decay(l.At, at)
	for k := range r.d.Doses {
		room -= float64(r.d.Doses[k].Activity) * r.decay(r.d.Doses[k].At, at)
	}
	adds = make([]float64, len(r.d.Vials))
	for i, v := range r.d.Vials {
		a := float64(v.Activity) * r.decay(v.Reference, at)
		switch {
		case v.Arrives.After(at):
		case v.InHand:
			room -= a
		default:
			adds[i] = a
		}
	}
	return room, adds
}

// arrivals are the instants at which the licence is asked.
func (r *reference) arrivals() (out []time.Time) {
	if r.d.Licence.Limit == 0 {
		return nil
	}
	for _, v := range r.d.Vials {
		if !v.InHand || v.Arrives.After(r.d.Now) {
			at := v.Arrives
			if at.Before(r.d.Now) {
				at = r.d.Now
			}
			out = append(out, at)
		}
	}
	return out
}

// random is an invented day from a seed: up to so many orders and vials, with every
// kind of limit now and then.
func random(seed uint64, orders, vials int, yieldU bool) dayplan.Day {
	rng := rand.New(rand.NewPCG(seed, 14))
	yes := func(p float64) bool { return rng.Float64() < p }
	d := bare()
	d.Ends = clock(0, 18, 0)
	d.Step = 30 * quantity.Minute
	d.HandDose = 150
	d.Bench = dayplan.Bench{
		Count: 1 + rng.IntN(2), Hours: []dayplan.Interval{{From: clock(0, 7, 0), Until: clock(0, 16, 0)}},
		Takes: 30 * quantity.Minute, Check: 30 * quantity.Minute, Lead: 30 * quantity.Minute,
	}
	if yes(0.3) {
		d.Bench.Takes = 60 * quantity.Minute
	}
	if yes(0.4) {
		d.Bench.Hold = 2 * quantity.Hour
	}
	d.Infusion = 60 * quantity.Minute
	if yieldU {
		d.YieldU = 0.02
	}
	if yes(0.4) {
		d.People = []dayplan.Person{
			{ID: "p1", Present: dayplan.Interval{From: clock(0, 7, 0), Until: clock(0, 16, 0)}, Draws: true, Checks: true},
			{ID: "p2", Present: dayplan.Interval{From: clock(0, 7, 0), Until: clock(0, 12+rng.IntN(5), 0)}, Draws: true, Checks: true},
			{ID: "p3", Present: dayplan.Interval{From: clock(0, 9, 0), Until: clock(0, 16, 0)}, Checks: true},
		}
	}
	for i := range 1 + rng.IntN(orders) {
		at := clock(0, 9+rng.IntN(7), 30*rng.IntN(2))
		o := dayplan.Order{ID: fmt.Sprintf("P%d", i+1), Prescribed: quantity.Activity(0.3e9 + 1.7e9*rng.Float64()), At: at, Earliest: at, Latest: at}
		o.Wanted = o.Prescribed * 1.03
		if yes(0.4) {
			o.Earliest = at.Add(-30 * time.Minute * time.Duration(rng.IntN(2)))
			o.Latest = at.Add(30 * time.Minute * time.Duration(rng.IntN(2)))
		}
		if yes(0.4) {
			n := float64(o.Wanted) / 50e6
			o.Spheres = dose.Window{Least: n * (0.5 + 0.4*rng.Float64()), Most: n * (1.1 + 0.6*rng.Float64())}
		}
		if yes(0.5) {
			o.Suite = fmt.Sprintf("suite %d", 1+rng.IntN(2))
		}
		d.Orders = append(d.Orders, o)
	}
	for i := range 1 + rng.IntN(vials) {
		v := dayplan.Vial{
			ID: fmt.Sprintf("V%d", i+1), Activity: 3e9, U: quantity.Fraction(0.01 + 0.03*rng.Float64()), Reference: clock(rng.IntN(3), 18, 0),
			Volume: 5, Dead: 0.3, InHand: yes(0.5), Opened: yes(0.15),
		}
		if yes(0.3) {
			v.Punctures = 1 + rng.IntN(2)
		}
		if yes(0.2) {
			v.Arrives = clock(0, 8+rng.IntN(3), 0)
		}
		if yes(0.15) {
			v.Expiry = clock(0, 11+rng.IntN(6), 0)
		}
		if i > 0 && yes(0.3) { // alike
			id := v.ID
			v = d.Vials[i-1]
			v.ID = id
		}
		v.InHand = v.InHand || v.Opened
		d.Vials = append(d.Vials, v)
	}
	if yes(0.2) {
		d.Licence = dayplan.Licence{Limit: quantity.Activity(8e9 + 4e9*rng.Float64()), Rest: 0.2e9, At: clock(0, 0, 0)}
	}
	if yes(0.2) {
		d.MeterLeast, d.MeterMost = 0.4e9, 5e9
	}
	if yes(0.3) {
		o := d.Orders[rng.IntN(len(d.Orders))]
		d.Doses = append(d.Doses, dayplan.Dose{ID: "S1", For: o.ID, Activity: o.Wanted * quantity.Activity(0.9+0.2*rng.Float64()), U: 0.015, At: o.At, Reference: clock(1, 18, 0)})
	}
	if len(d.Doses) > 0 && yes(0.3) {
		d.Doses[0] = dayplan.Dose{ID: "S1", For: d.Doses[0].For, Unknown: true}
	}
	if yes(0.4) {
		for _, o := range d.Orders {
			if yes(0.7) {
				d.InForce = append(d.InForce, dayplan.Row{Order: o.ID, From: d.Vials[rng.IntN(len(d.Vials))].ID, Infuse: o.At})
			}
		}
	}
	return d
}
