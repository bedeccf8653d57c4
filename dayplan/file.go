package dayplan

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"vialwright/dose"
	"vialwright/form"
	"vialwright/quantity"
)

// MaxBytes is the length a plan file can have at most.
const MaxBytes = 1 << 18

// Zones loads a time zone by its IANA name.
type Zones func(name string) (*time.Location, error)

// File is a plan file: a day, or some of them, with what is only shown.
type File struct {
	Day  Day
	Zone *time.Location
	// Tests are those that fall due, for the calendar.
	Tests []Test
}

// Test is one that falls due.
type Test struct {
	What string
	Due  time.Time
}

// reader reads a plan file; groups are those of ids, so that a fault that is found in
// the day as a whole is shown where it was written.
type reader struct {
	f      *form.Fields
	zones  Zones
	site   *time.Location
	groups map[string]*form.Fields
	closed map[string]supplier
}

type supplier struct {
	zone *time.Location
	days []string
}

// Read reads a plan file; docs/plan.md has its fields. A file that does not say now is
// asked at the given time. The error is a *form.Error, also where figures cannot
// belong together.
func Read(data []byte, zones Zones, now time.Time) (File, error) {
	f, err := form.Open(data, MaxBytes)
	if err != nil {
		return File{}, err
	}
	r := &reader{f: f, zones: zones, groups: map[string]*form.Fields{}, closed: map[string]supplier{}}
	f.Word("plan", form.Must, "1")
	r.site = f.ReadZone(zones)
	f.Zone(r.site)
	d := Day{Now: now}
	if f.Has("now") {
		d.Now = f.Time("now", form.Must)
	}
	r.figures(&d)
	r.bench(&d)
	r.suppliers()
	r.orders(&d)
	r.vials(&d)
	r.offers(&d)
	r.doses(&d)
	out := File{Zone: r.site, Tests: r.tests()}
	if err := f.Done(); err != nil {
		return File{}, err
	}
	var bad *Error
	if err := d.check(months); err != nil && errors.As(err, &bad) {
		cmp.Or(r.groups[bad.Of], f).Fail(bad.Field, bad.Code, bad.Msg, bad.Hint)
	}
	out.Day = d
	return out, f.Done()
}

// amount reads a quantity; what may be left out is then 0.
func amount[Q quantity.Kind](f *form.Fields, key string, need form.Need) Q {
	return form.Amount[Q](f, key, need).Value
}

func (r *reader) figures(d *Day) {
	f := r.f
	d.Ends = f.Time("ends", form.Must)
	d.HalfLife = dose.HalfLifeIn(f).Value
	d.Odds = amount[quantity.Fraction](f, "odds", form.Must)
	d.Tolerance = amount[quantity.Fraction](f, "tolerance", form.Must)
	d.Yield = amount[quantity.Fraction](f, "yield", form.Must)
	d.YieldU = amount[quantity.Fraction](f, "yield-u", form.Must)
	d.Scatter = amount[quantity.Fraction](f, "scatter", form.Must)
	d.AssayU = amount[quantity.Fraction](f, "assay-u", form.Must)
	d.HandDose = amount[quantity.DoseEquivalent](f, "hand-dose", form.Must)
	d.DoseMost = amount[quantity.Volume](f, "dose-volume-most", form.May)
	d.MeterLeast = amount[quantity.Activity](f, "meter-least", form.May)
	d.MeterMost = amount[quantity.Activity](f, "meter-most", form.May)
	for _, g := range f.Groups("syringes", form.Must) {
		d.Syringes = append(d.Syringes, Syringe{amount[quantity.Volume](g, "capacity", form.Must), amount[quantity.Volume](g, "graduation", form.Must)})
	}
	if g := f.Group("licence", form.May); g != nil {
		d.Licence = Licence{amount[quantity.Activity](g, "limit", form.Must), amount[quantity.Activity](g, "rest", form.Must), g.Time("at", form.Must)}
		if d.Licence.Limit <= 0 {
			g.Fail("limit", "out-of-range", "a limit of nothing allows no vial", "leave the licence out where there is no limit")
		}
	}
}

func (r *reader) bench(d *Day) {
	f := r.f
	d.Step = amount[quantity.Span](f, "step", form.Must)
	d.Bench.Count = f.Whole("benches", form.Must, "benches")
	for _, g := range f.Groups("bench-hours", form.Must) {
		d.Bench.Hours = append(d.Bench.Hours, Interval{g.Time("from", form.Must), g.Time("until", form.Must)})
	}
	d.Bench.Takes = amount[quantity.Span](f, "draw-takes", form.Must)
	d.Bench.Check = amount[quantity.Span](f, "check-takes", form.Must)
	d.Bench.Lead = amount[quantity.Span](f, "lead", form.Must)
	d.Bench.Hold = amount[quantity.Span](f, "hold", form.May)
	d.Receipt = amount[quantity.Span](f, "receipt", form.May)
	d.Infusion = amount[quantity.Span](f, "infusion-takes", form.Must)
	for _, g := range f.Groups("people", form.Must) {
		p := Person{ID: g.Text("id", form.Must), Present: Interval{g.Time("from", form.Must), g.Time("until", form.Must)}}
		draws, checks := g.YesNo("draws", form.Must), g.YesNo("checks", form.Must)
		p.Draws, p.Checks = draws != nil && *draws, checks != nil && *checks
		d.People = append(d.People, p)
	}
}

func (r *reader) suppliers() {
	for _, g := range r.f.Groups("suppliers", form.May) {
		id := g.Text("id", form.Must)
		r.closed[id] = supplier{g.ReadZone(r.zones), g.Texts("closed", form.May)}
		for _, day := range r.closed[id].days {
			if _, err := time.Parse(time.DateOnly, day); err != nil {
				g.Fail("closed", "no-date", strconv.Quote(day)+" is no date", "write a list such as [2027-03-08]")
			}
		}
	}
}

func (r *reader) orders(d *Day) {
	for _, g := range r.f.Groups("orders", form.Must) {
		o := Order{ID: g.Text("id", form.Must), Prescribed: amount[quantity.Activity](g, "prescribed", form.Must)}
		r.groups[o.ID] = g
		o.Wanted = o.Prescribed
		switch {
		case g.Percent("residual"):
			share := amount[quantity.Fraction](g, "residual", form.Must)
			if share >= 1 {
				g.Fail("residual", "out-of-range", "a residual is less than all of the dose", "write it again")
				share = 0
			}
			o.Wanted = quantity.Activity(float64(o.Prescribed) / float64(1-share))
		default:
			o.Wanted += amount[quantity.Activity](g, "residual", form.May)
		}
		o.At, o.Earliest, o.Latest = g.Time("at", form.Must), g.Time("earliest", form.Must), g.Time("latest", form.Must)
		o.Spheres = dose.WindowIn(g)
		o.Suite = g.Text("suite", form.Must)
		d.Orders = append(d.Orders, o)
	}
	for _, g := range r.f.Groups("in-force", form.May) {
		row := Row{Order: g.Text("order", form.Must), From: g.Text("from", form.Must), Infuse: g.Time("infuse", form.Must)}
		if !slices.ContainsFunc(d.Orders, func(o Order) bool { return o.ID == row.Order }) {
			g.Fail("order", "no-such-order", "there is no order "+strconv.Quote(row.Order), "write the id of an order above")
		}
		d.InForce = append(d.InForce, row)
	}
}

// vial reads what one in hand and one on offer have in common.
func (r *reader) vial(g *form.Fields) Vial {
	v := Vial{ID: g.Text("id", form.Must)}
	r.groups[v.ID] = g
	v.Activity = amount[quantity.Activity](g, "activity", form.Must)
	v.U = amount[quantity.Fraction](g, "activity-u", form.Must)
	v.Reference = g.Time("reference", form.Must)
	v.Volume = amount[quantity.Volume](g, "volume", form.Must)
	v.Dead = amount[quantity.Volume](g, "dead-volume", form.Must)
	v.Expiry = g.Time("expiry", form.May)
	if v.Punctures = g.Whole("punctures", form.May, "punctures"); v.Punctures == 0 && g.Has("punctures") {
		g.Fail("punctures", "out-of-range", "it has none left, so that nothing can be drawn from it", "leave the vial out; where there is no limit, leave the field out")
	}
	return v
}

func (r *reader) vials(d *Day) {
	for _, g := range r.f.Groups("vials", form.May) {
		v := r.vial(g)
		v.InHand = true
		v.Arrives = g.Time("arrives", form.May)
		if opened := g.YesNo("opened", form.Must); opened != nil {
			v.Opened = *opened
		}
		d.Vials = append(d.Vials, v)
	}
}

// offers reads vials that can be ordered. The times of the supplier are in its zone,
// the arrival is in that of the site.
func (r *reader) offers(d *Day) {
	for _, g := range r.f.Groups("offers", form.May) {
		name := g.Text("supplier", form.Must)
		s, ok := r.closed[name]
		if !ok {
			g.Fail("supplier", "no-such-supplier", "there is no supplier "+strconv.Quote(name), "write it under suppliers, with its zone")
			continue
		}
		r.f.Zone(s.zone)
		v := r.vial(g)
		v.OrderBy, v.CancelUntil = g.Time("order-by", form.Must), g.Time("cancel-until", form.May)
		sent := g.Time("sent", form.May)
		r.f.Zone(r.site)
		v.Arrives = g.Time("arrives", form.Must)
		for _, t := range []time.Time{v.OrderBy, sent} {
			if day := t.In(s.zone).Format(time.DateOnly); !t.IsZero() && slices.Contains(s.days, day) {
				v.Closed = fmt.Sprintf("%s is closed on %s", name, day)
			}
		}
		n := g.Whole("count", form.Must, "vials")
		if n > MostVials {
			g.Fail("count", "out-of-range", "more vials than a plan can have", fmt.Sprintf("write at most %d vials", MostVials))
			continue
		}
		base := v.ID
		for k := range n {
			v.ID = base + "-" + strconv.Itoa(k+1)
			r.groups[v.ID] = g
			d.Vials = append(d.Vials, v)
		}
	}
}

func (r *reader) doses(d *Day) {
	for _, g := range r.f.Groups("doses", form.May) {
		x := Dose{ID: g.Text("id", form.Must), For: g.Text("for", form.Must)}
		r.groups[x.ID] = g
		x.Activity, x.U = amount[quantity.Activity](g, "activity", form.Must), amount[quantity.Fraction](g, "activity-u", form.Must)
		x.At, x.Reference = g.Time("at", form.Must), g.Time("reference", form.Must)
		d.Doses = append(d.Doses, x)
	}
}

func (r *reader) tests() (out []Test) {
	for _, g := range r.f.Groups("tests", form.May) {
		out = append(out, Test{g.Text("what", form.Must), g.Time("due", form.Must)})
	}
	return out
}
