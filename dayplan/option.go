package dayplan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"vialwright/dose"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// optionsOf gives the options of an order that keep every limit by themselves, the
// best first, and for each source without one the reason.
func (m *model) optionsOf(o Order, inForce map[string]Row) orderModel {
	out := orderModel{order: o, least: math.Inf(1)}
	starts := m.starts(o)
	if len(starts) == 0 {
		out.reasons = append(out.reasons, Reason{"", Time, "no start from its earliest to its latest is still to come"})
	}
	row, planned := inForce[o.ID]
	for i := range m.sources {
		var why *Reason
		some := false
		for _, s := range starts {
			x, no := m.option(o, i, s)
			if no != nil {
				why = no
				continue
			}
			some = true
			if planned && row.From != "" && row.From != m.sources[i].id {
				x.changes++
			}
			if at := o.At; (planned && !row.Infuse.Equal(s)) || (!planned && !at.Equal(s)) {
				x.changes++
			}
			out.options = append(out.options, x)
			out.least = min(out.least, x.demand)
		}
		if !some && why != nil && why.Kind != "" {
			out.reasons = append(out.reasons, *why)
		}
	}
	slices.SortStableFunc(out.options, func(a, b option) int {
		return cmp.Or(cmp.Compare(a.broken, b.broken), cmp.Compare(a.changes, b.changes))
	})
	if len(out.options) == 0 {
		out.least = 0
	}
	return out
}

func (m *model) option(o Order, i int, s time.Time) (option, *Reason) {
	src := &m.sources[i]
	x := option{source: i, infuse: s, instant: s.UnixNano()}
	switch {
	case src.drawn != nil:
		return m.fromDose(o, x)
	case src.ideal == o.ID:
		x.odds = 1
		return x, m.place(&x, m.day.Now)
	case src.ideal != "":
		return x, &Reason{}
	case m.unknown[o.ID]:
		return x, &Reason{src.id, Stock, "a dose is drawn for the order already, and nobody knows what it holds"}
	}
	return m.fromVial(o, x)
}

// fromVial is a draw from a vial.
func (m *model) fromVial(o Order, x option) (option, *Reason) {
	d, v := m.day, m.sources[x.source].vial
	no := func(k Kind, format string, args ...any) (option, *Reason) {
		return x, &Reason{v.ID, k, fmt.Sprintf(format, args...)}
	}
	if !v.Expiry.IsZero() && x.infuse.After(v.Expiry) && !m.let.has(Expiry, "") {
		return no(Expiry, "the vial has expired by then")
	}
	x.demand = float64(o.Wanted) * m.factor(x.infuse, d.Ends)
	x.kilo = kilo(x.demand)
	atEnd := float64(v.Activity) * m.factor(v.Reference, d.Ends)
	x.volume = v.Volume * quantity.Volume(x.demand/(float64(d.Yield)*atEnd))
	if x.volume > v.Volume-v.Dead {
		return no(Stock, "it asks for %s, and %s can be drawn", quantity.Show(x.volume, 0), quantity.Show(v.Volume-v.Dead, 0))
	}
	if !m.syringe(&x) && !m.let.has(Syringes, "") {
		return no(Syringes, "no syringe of the set draws %s so that the dose is within tolerance with the odds wanted", quantity.Show(x.volume, 0))
	}
	x.spheres = dose.SpheresIn(o.Wanted, d.HalfLife, v.Reference, x.infuse)
	x.broken = m.broken(o, x.spheres)
	release := d.Now
	if v.Arrives.After(d.Now) {
		release = v.Arrives.Add(d.Receipt.Duration())
	}
	if why := m.meter(v, o, x, &release); why != "" {
		return no(Meter, "%s", why)
	}
	if why := m.place(&x, release); why != nil {
		why.From = v.ID
		return x, why
	}
	draw := m.bench.at(x.job.latest)
	if !x.draws {
		draw = x.infuse
	}
	activity := float64(v.Activity) * m.factor(v.Reference, draw) / 1e9
	x.hand = int64(math.Round(float64(d.HandDose) * 1e3 * activity))
	return x, nil
}

// fromDose is a dose that is drawn already. For its own order it counts while its best
// estimate is within tolerance, since the bench judges it when it is read.
func (m *model) fromDose(o Order, x option) (option, *Reason) {
	k := m.sources[x.source].drawn
	if k.Unknown {
		if k.For != o.ID {
			return x, &Reason{k.ID, Stock, "nobody knows what it holds"}
		}
		return x, nil
	}
	y := m.holds(k, x.infuse)
	x.odds = m.conforms(o, y, float64(k.U))
	if own := k.For == o.ID && m.conforms(o, y, 0) == 1; !own && x.odds < m.want {
		return x, &Reason{k.ID, Stock, fmt.Sprintf("it holds %s then, and %s is wanted", quantity.Show(quantity.Activity(y), 0), quantity.Show(o.Wanted, 0))}
	}
	x.kilo = m.sources[x.source].kilo
	x.spheres = dose.SpheresIn(quantity.Activity(y), m.day.HalfLife, k.Reference, x.infuse)
	x.broken = m.broken(o, x.spheres)
	return x, nil
}

// conforms is the probability that an activity lies within tolerance of an order
// (JCGM 106:2012, 7.2).
func (m *model) conforms(o Order, y, u float64) float64 {
	w, tol := float64(o.Wanted), float64(m.day.Tolerance)
	p, err := uncertainty.Conformance(y, y*u, uncertainty.Limits{Lower: w * (1 - tol), Upper: w * (1 + tol)})
	if err != nil {
		return 0 // what cannot be worked out is not known to lie inside
	}
	return p
}

// syringe picks that of the set with the best odds of conformance, and tells
// whether they are enough:
//
//	u² = u_assay² + (g/(√12·V))²   (JCGM 100:2008, 4.3.7)
func (m *model) syringe(x *option) bool {
	for _, s := range m.day.Syringes {
		rounded := math.Round(float64(x.volume/s.Graduation)) * float64(s.Graduation)
		if x.volume > s.Capacity || rounded == 0 {
			continue
		}
		w := Order{Wanted: 1e9}
		y := 1e9 * rounded / float64(x.volume)
		u := math.Hypot(float64(m.day.AssayU), float64(s.Graduation/x.volume)/math.Sqrt(12))
		if p := m.conforms(w, y, u); p > x.odds {
			x.odds, x.syringe = p, s
		}
	}
	if m.day.DoseMost > 0 && x.volume > m.day.DoseMost {
		return false
	}
	return x.odds >= m.want
}

// broken is 1 where the spheres lie outside the window of the order.
func (m *model) broken(o Order, s dose.Spheres) int64 {
	if m.let.has(Spheres, o.ID) || (s.Millions >= o.Spheres.Least && (o.Spheres.Most == 0 || s.Millions <= o.Spheres.Most)) {
		return 0
	}
	return 1
}

// meter holds a draw against the tested range: the dose wanted at infusion against the
// lower limit, which the dose at the draw is then above too; and the vial against the
// upper one, by putting off the release until the vial is within.
func (m *model) meter(v *Vial, o Order, x option, release *time.Time) string {
	d := m.day
	if m.let.has(Meter, "") {
		return ""
	}
	if o.Wanted < d.MeterLeast {
		return fmt.Sprintf("the dose is below %s, the least that the meter is tested for", quantity.Show(d.MeterLeast, 0))
	}
	if d.MeterMost > 0 {
		ratio := float64(v.Activity / d.MeterMost)
		t, err := nuclide.Shift(v.Reference, d.HalfLife*quantity.Span(math.Log2(ratio)))
		if err != nil || t.After(x.infuse) {
			return fmt.Sprintf("the vial is above %s until then, the most that the meter is tested for", quantity.Show(d.MeterMost, 0))
		}
		*release = quantity.Later(*release, t)
	}
	return ""
}

// place finds between which slots a draw can begin.
func (m *model) place(x *option, release time.Time) *Reason {
	if m.let.has(Benches, "") {
		return nil
	}
	x.draws = true
	b := m.day.Bench
	if b.Hold > 0 {
		release = quantity.Later(release, x.infuse.Add(-b.Hold.Duration()-b.Takes.Duration()))
	}
	x.job = job{source: x.source, release: max(0, m.bench.ceil(release)), latest: m.bench.floor(x.infuse.Add(-b.Lead.Duration())) - m.bench.takes}
	x.job.latest = m.bench.lastFree(x.job.latest)
	if x.job.latest < x.job.release {
		return &Reason{"", Benches, "the bench has no time for the draw between the arrival of the vial and the infusion"}
	}
	return nil
}
