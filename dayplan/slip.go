package dayplan

import (
	"math"
	"slices"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Serves is from when until when a drawn dose is within tolerance of an order.
type Serves struct {
	Dose, Order string
	// From and Until bound the infusion by the best estimate of the activity.
	From, Until time.Time
	// Within tells that some of that is in the window of the order and still to
	// come.
	Within bool
}

// Serve asks every drawn dose whom it could serve, and until when:
//
//	t = t_d + T/ln 2 · ln(A_d/(a·(1 ± tolerance)))
//
// A_d the activity at t_d, a that wanted.
func (d Day) Serve() []Serves {
	var out []Serves
	for _, x := range d.Doses {
		for _, o := range d.Orders {
			if x.Unknown {
				continue
			}
			wanted, off := float64(o.Wanted), float64(d.Tolerance)
			from, until, err := nuclide.HalfLife{Value: d.HalfLife}.Window(x.Activity, x.At, quantity.Activity(wanted*(1-off)), quantity.Activity(wanted*(1+off)))
			if err != nil {
				continue // so far from the order that no time is told
			}
			s := Serves{Dose: x.ID, Order: o.ID, From: from, Until: until}
			first, last := quantity.Later(quantity.Later(s.From, o.Earliest), d.Now), s.Until
			if o.Latest.Before(last) {
				last = o.Latest
			}
			s.Within = !last.Before(first)
			out = append(out, s)
		}
	}
	return out
}

// Holding is how far all orders of a vial may be put off together.
type Holding struct {
	Vial string
	// By is how much later, until the odds fall to those wanted or the vial expires.
	By quantity.Span
	// Expiry tells that it is the expiry that ends it, Longer that nothing does within the
	// longest delay that is asked about.
	Expiry, Longer bool
}

// longest is the longest delay that is asked about: the vial is then another day's.
const longest = 72 * quantity.Hour

// Hold gives for each vial of a plan how far its orders may be put off. What they ask
// for at the end grows with the delay as 2^(delay/T).
func (d Day) Hold(p Plan) []Holding {
	m := supply(d, nil)
	var out []Holding
	for i := range m.sources {
		s := &m.sources[i]
		if s.vial == nil {
			continue
		}
		l, last := m.planned(p, s.id)
		if l.orders == 0 {
			continue
		}
		enough := func(by quantity.Span) bool {
			grow := math.Exp2(float64(by / d.HalfLife))
			return m.alone(s, l.sum*grow, l.squares*grow*grow) >= m.want
		}
		low, high := quantity.Span(0), longest
		for high-low > quantity.Second {
			if mid := (low + high) / 2; enough(mid) {
				low = mid
			} else {
				high = mid
			}
		}
		h := Holding{Vial: s.id, By: low}
		h.Longer = enough(longest)
		if e := s.vial.Expiry; !e.IsZero() && nuclide.Elapsed(last, e) < h.By {
			h.By, h.Expiry, h.Longer = max(0, nuclide.Elapsed(last, e)), true, false
		}
		out = append(out, h)
	}
	return out
}

// Text says how far, and what ends it.
func (h Holding) Text() string {
	switch by := quantity.ShowSpan(h.By); {
	case h.Expiry:
		return "its orders may all be later by " + by + "; then it has expired"
	case h.Longer:
		return "its orders may all be later by " + quantity.ShowSpan(longest) + " and more"
	default:
		return "its orders may all be later by " + by + "; then the odds fall below those wanted"
	}
}

// planned is what a plan draws from a vial, and its last infusion.
func (m *model) planned(p Plan, vial string) (l load, last time.Time) {
	for _, r := range p.Rows {
		if r.From != vial {
			continue
		}
		i := slices.IndexFunc(m.day.Orders, func(o Order) bool { return o.ID == r.Order })
		l.add(float64(m.day.Orders[i].Wanted) * m.factor(r.Infuse, m.day.Ends))
		last = quantity.Later(last, r.Infuse)
	}
	return l, last
}
