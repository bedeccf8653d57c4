package dayplan

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/dose"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// model is a day worked out to numbers: sources, and the options of each order.
type model struct {
	day     Day
	let     gone
	sources []source
	orders  []orderModel
	nodes   []node
	bench   *bench
	// licence is what each vial adds at each arrival, in Bq, and what there is room for.
	licence []arrival
	// fixed is the usable activity of what is opened or drawn whatever is planned, in
	// kBq at the end.
	fixed      int64
	notOffered []NotOffered
	// unknown are the orders for which a dose is drawn of which nobody knows what it
	// holds: nothing is drawn for them a second time.
	unknown map[string]bool
	want    float64
	// shared are the shares of so many vials that were asked for.
	shared map[int]*shares
	// short are the steps of a short search; large tells that it has not settled the day.
	short int
	large bool
	// infusion is how long one takes its suite, in ns.
	infusion int64
}

// source is where a dose can come from: a vial, a drawn dose, or an ideal vial
// where the stock is let go.
type source struct {
	id     string
	vial   *Vial
	drawn  *Dose
	ideal  string  // the order that it is for
	usable float64 // Bq at the end
	kilo   int64   // the same in whole kBq
	u      float64 // relative
	// holds is the effective capacity, Bq at the end: a bound on the sum of demands.
	holds     float64
	punctures int
	free      bool // costs no further vial
	// alike is the index of the source before it with the same figures; -1 for none.
	alike int
	// with are the indices of those that come with it, its own among them; for the licence.
	with []int
}

// orderModel is an order with its options, the best first.
type orderModel struct {
	order   Order
	options []option
	reasons []Reason
	least   float64 // demand at least, Bq at the end
	// by is the extent of the options from each source.
	by []extent
}

// extent bounds some options of an order: the least windows broken, changes, hand dose and
// demand, what is drawn at most, and the first and the last start. some is false of none.
type extent struct {
	vector
	demand      float64
	drawn       int64
	first, last int64
	some        bool
}

func (x *extent) add(y extent) {
	if !x.some || !y.some {
		if y.some {
			*x = y
		}
		return
	}
	for _, k := range [...]int{broken, changes, hand} {
		x.vector[k] = min(x.vector[k], y.vector[k])
	}
	x.demand, x.drawn = min(x.demand, y.demand), max(x.drawn, y.drawn)
	x.first, x.last = min(x.first, y.first), max(x.last, y.last)
}

// from is the extent of the options from the sources allowed.
func (o *orderModel) from(allowed []bool) (x extent) {
	for i := range o.by {
		if allowed[i] {
			x.add(o.by[i])
		}
	}
	return x
}

// extents works out those of each order, after which its options stay as they are.
func (m *model) extents() {
	for k := range m.orders {
		o := &m.orders[k]
		o.by = make([]extent, len(m.sources))
		for _, x := range o.options {
			o.by[x.source].add(extent{vector{broken: x.broken, changes: x.changes, hand: x.hand}, x.demand, x.kilo, x.instant, x.instant, true})
		}
	}
}

// option is a source and an infusion start for an order.
type option struct {
	source  int
	infuse  time.Time
	instant int64 // the same, in ns
	demand  float64
	kilo    int64
	broken  int64
	changes int64
	hand    int64
	job     job
	draws   bool // takes a bench
	volume  quantity.Volume
	syringe Syringe
	odds    float64
	spheres dose.Spheres
}

// Reason says why an order cannot be served from a source.
type Reason struct {
	From string
	Kind Kind
	Text string
}

// NotOffered is a vial that cannot be had any more: Since when its cut-off has
// passed, or Why.
type NotOffered struct {
	Vial  string
	Since time.Time
	Why   string
}

// supply works out the sources of a day. Orders, vials and doses are taken in the order of
// their ids, so that a plan does not depend on how a file was sorted.
func supply(d Day, let gone) *model {
	byID := func(a, b string) int { return cmp.Compare(a, b) }
	d.Orders = slices.SortedFunc(slices.Values(d.Orders), func(a, b Order) int { return byID(a.ID, b.ID) })
	d.Vials = slices.SortedFunc(slices.Values(d.Vials), func(a, b Vial) int { return byID(a.ID, b.ID) })
	d.Doses = slices.SortedFunc(slices.Values(d.Doses), func(a, b Dose) int { return byID(a.ID, b.ID) })
	m := &model{day: d, let: let, want: float64(d.Odds), unknown: map[string]bool{}, short: shortSearch, infusion: int64(d.Infusion.Duration())}
	if let.has(Odds, "") {
		m.want = 0.5
	}
	m.nodes = quadrature(float64(d.YieldU))
	m.addSources()
	return m
}

// compile works a day out.
func compile(d Day, let gone) *model {
	m := supply(d, let)
	d = m.day
	m.bench = newBench(d, let)
	m.findAlike()
	if !let.has(LicenceOf, "") {
		m.forecast()
	}
	inForce := map[string]Row{}
	for _, r := range d.InForce {
		inForce[r.Order] = r
	}
	for _, o := range d.Orders {
		if let.has(Serve, o.ID) {
			continue
		}
		m.orders = append(m.orders, m.optionsOf(o, inForce))
	}
	slices.SortStableFunc(m.orders, func(a, b orderModel) int { return cmp.Compare(b.least, a.least) })
	m.extents()
	return m
}

func (m *model) addSources() {
	d := m.day
	for i := range d.Vials {
		v := &d.Vials[i]
		switch {
		case v.InHand:
		case v.Closed != "":
			m.notOffered = append(m.notOffered, NotOffered{v.ID, time.Time{}, v.Closed})
			continue
		case !v.OrderBy.IsZero() && d.Now.After(v.OrderBy):
			m.notOffered = append(m.notOffered, NotOffered{v.ID, v.OrderBy, "its order-by has passed"})
			continue
		}
		usable := float64(v.Activity) * float64(d.Yield) * float64(1-v.Dead/v.Volume) * m.factor(v.Reference, d.Ends)
		s := source{id: v.ID, vial: v, usable: usable, kilo: kilo(usable), u: float64(v.U), punctures: math.MaxInt, free: v.Opened, alike: -1}
		if v.Punctures > 0 && !m.let.has(Punctures, "") {
			s.punctures = v.Punctures
		}
		s.holds = usable * (1 - normalQuantile(m.want)*math.Hypot(s.u, float64(d.YieldU)))
		if s.free {
			m.fixed += s.kilo
		}
		m.sources = append(m.sources, s)
	}
	for i := range d.Doses {
		x := &d.Doses[i]
		a := m.holds(x, d.Ends)
		m.unknown[x.For] = m.unknown[x.For] || x.Unknown
		m.fixed += kilo(a)
		m.sources = append(m.sources, source{id: x.ID, drawn: x, usable: a, kilo: kilo(a), holds: a, punctures: 1, free: true, alike: -1})
	}
	if m.let.has(Stock, "") {
		for _, o := range d.Orders {
			m.sources = append(m.sources, source{ideal: o.ID, free: true, holds: math.Inf(1), punctures: 1, alike: -1})
		}
	}
}

// holds is the activity of a drawn dose at an instant; 0 where nobody knows it.
func (m *model) holds(x *Dose, at time.Time) float64 {
	if x.Unknown {
		return 0
	}
	return float64(x.Activity) * m.factor(x.At, at)
}

// findAlike links each unopened vial to the one before it with the same figures,
// so that only the first of several is tried. One that the plan in force names is
// like no other.
func (m *model) findAlike() {
	named := map[string]bool{}
	for _, r := range m.day.InForce {
		named[r.From] = true
	}
	for i := range m.sources {
		a := m.sources[i].vial
		if a == nil || a.Opened || named[a.ID] {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			b := m.sources[j].vial
			if b == nil || b.Opened || named[b.ID] {
				continue
			}
			twin := *b
			twin.ID, twin.OrderBy, twin.CancelUntil = a.ID, a.OrderBy, a.CancelUntil
			if twin == *a {
				m.sources[i].alike = j
				break
			}
		}
	}
}

func (m *model) factor(from, to time.Time) float64 {
	return nuclide.Factor(m.day.HalfLife, nuclide.Elapsed(from, to))
}

// kilo is an activity in whole kBq: what is compared is whole, so that equal is
// exact.
func kilo(a float64) int64 { return int64(math.Round(a / 1e3)) }

// normalQuantile is z with Φ(z) = p.
func normalQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// shift moves a time by whole steps.
func (m *model) shift(t time.Time, steps int) time.Time {
	return t.Add(time.Duration(steps) * m.day.Step.Duration())
}

// starts are the infusion times of an order, the planned one first and then by
// distance from it.
func (m *model) starts(o Order) []time.Time {
	earliest, latest := o.Earliest, o.Latest
	if m.let.has(Time, o.ID) {
		earliest, latest = m.day.horizon()
		latest = latest.Add(m.day.Bench.Lead.Duration())
		if latest.After(m.day.Ends) {
			latest = m.day.Ends
		}
	}
	var out []time.Time
	for k := 0; ; k++ {
		later, sooner := m.shift(o.At, k), m.shift(o.At, -k)
		a, b := !later.After(latest), !sooner.Before(earliest)
		if !a && !b {
			return out
		}
		for i, t := range []time.Time{later, sooner} {
			if (i == 0 || k > 0) && !t.After(latest) && !t.Before(earliest) && !t.Before(m.day.Now) {
				out = append(out, t)
			}
		}
	}
}
