package plan

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dayplan"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/web/kit"
)

// kept are the entries of the site that a plan is made from, as corrections have them.
func (q *request) kept() []fold.Entry {
	records, _ := q.Lab.Kept(func(f fact.Fact) bool {
		switch f.(type) {
		case *fact.DaySetup, *fact.RePlan, *fact.ExpectParcel, *fact.Offer, *fact.Parcel, *fact.Holiday:
			return true
		}
		return false
	})
	return fold.Entries(records)
}

// inForce is the set-up of the day in force, and the plan last taken for that day; nil
// for none.
func (q *request) inForce(day time.Time) (setup *fact.DaySetup, plan *fact.RePlan) {
	for _, e := range q.kept() {
		switch x := e.Fact.(type) {
		case *fact.DaySetup:
			if !x.From.After(q.Now) {
				setup = x
			}
		case *fact.RePlan:
			if len(x.Rows) > 0 && sameDay(x.Rows[0].Infuse, day) {
				plan = x
			}
		}
	}
	return setup, plan
}

func sameDay(a, b time.Time) bool {
	a = a.In(b.Location())
	return a.YearDay() == b.YearDay() && a.Year() == b.Year()
}

// days are those that are planned: from a midnight to before another.
type days struct{ from, until time.Time }

// daysFrom are so many from the day of an instant on.
func daysFrom(t time.Time, n int) days {
	return days{quantity.EndOfDay(t, -1, t.Location()), quantity.EndOfDay(t, n-1, t.Location())}
}

func (d days) has(t time.Time) bool { return !t.Before(d.from) && t.Before(d.until) }

// working are the first day, and each on which an order is infused.
func (d days) working(orders []dayplan.Order) (out []time.Time) {
	for day := d.from; day.Before(d.until); day = day.AddDate(0, 0, 1) {
		if len(out) == 0 || slices.ContainsFunc(orders, func(o dayplan.Order) bool { return sameDay(o.At, day) }) {
			out = append(out, day)
		}
	}
	return out
}

// clock is a clock time of a day.
func clock(day time.Time, text string) time.Time {
	t, err := time.Parse("15:04", text)
	if err != nil {
		return day // the entry was read: it is a clock time
	}
	return time.Date(day.Year(), day.Month(), day.Day(), t.Hour(), t.Minute(), 0, 0, day.Location())
}

// day makes the question of a day, or some, from the books: orders that are not given, vials
// that are here, doses that are drawn; and which vials are left out of it, and why. A
// plan is not asked for odds below even ones.
func (q *request) day(st *kit.State, s *fact.DaySetup, plan *fact.RePlan, within days) (d dayplan.Day, c comes, err error) {
	p := st.Case.Policy
	assay, read := assayU(st)
	d = dayplan.Day{
		Now: q.Now, Receipt: s.Receipt.Value, HalfLife: st.Result.HalfLife,
		Odds: max(p.Confidence, 0.5), Tolerance: p.Tolerance,
		Yield: quantity.Fraction(st.Case.YieldOf(st.Case.KindOfAll(), "").Value), YieldU: s.YieldU.Value, Scatter: s.Scatter.Value, AssayU: assay,
		Step: s.Step.Value, Infusion: s.Infusion.Value, HandDose: s.HandDose.Value, DoseMost: p.MakeUpMax,
		Bench:    dayplan.Bench{Count: s.Benches, Takes: s.Takes.Value, Check: s.Check.Value, Lead: s.Lead.Value, Hold: s.Hold.Value},
		Syringes: []dayplan.Syringe{{Capacity: s.Syringe.Value, Graduation: p.Graduation}},
	}
	for _, o := range st.Case.Orders {
		prep := st.Preparation(o.ID)
		if !within.has(o.At) || prep.Given || prep.Over() || o.Cancelled {
			continue
		}
		d.Orders = append(d.Orders, orderOf(o))
	}
	working := within.working(d.Orders)
	for _, day := range working {
		d.Ends = clock(day, s.Closes)
		d.Bench.Hours = append(d.Bench.Hours, dayplan.Interval{From: clock(day, s.Opens), Until: d.Ends})
	}
	d.People = q.staff(s, working)
	for _, v := range st.Result.Vials {
		x, why, spent := vialOf(st, v, s)
		if why == "" && !read {
			why = "no activity meter is set up to read a dose of it"
		}
		switch {
		case spent:
		case why != "":
			c.out = append(c.out, dayplan.NotOffered{Vial: v.Vial.ID, Why: why})
		default:
			d.Vials = append(d.Vials, x)
		}
	}
	if err := q.coming(&d, st, s, within, &c); err != nil {
		return d, c, err
	}
	d.Doses = dosesOf(st, within)
	d.InForce = rowsOf(plan, d)
	for i := range d.Orders {
		keepTime(&d.Orders[i], d.InForce)
	}
	for _, o := range d.Orders {
		if end := o.Latest.Add(time.Hour); end.After(d.Ends) {
			d.Ends = end
		}
	}
	return d, c, nil
}

// keepTime puts an order at the time that the plan in force has for it.
func keepTime(o *dayplan.Order, rows []dayplan.Row) {
	for _, r := range rows {
		switch {
		case r.Order != o.ID:
		case r.Infuse.Before(o.Earliest) || r.Infuse.After(o.Latest):
			fix(o, r.Infuse)
		default:
			o.At = r.Infuse
		}
	}
}

func orderOf(o dispensing.Order) dayplan.Order {
	x := dayplan.Order{ID: o.ID, Prescribed: o.Prescribed, Wanted: o.Target(), At: o.At, Earliest: o.At, Latest: o.At}
	if !o.NotBefore.IsZero() && o.NotBefore.Before(o.At) {
		x.Earliest = o.NotBefore
	}
	if !o.NotAfter.IsZero() && o.NotAfter.After(o.At) {
		x.Latest = o.NotAfter
	}
	if o.Dosimetry != nil {
		x.Spheres = o.Dosimetry.Spheres
	}
	return x
}

// assayU is the largest relative standard uncertainty with which a meter reads a
// dose; read is false where no meter reads one.
func assayU(st *kit.State) (u quantity.Fraction, read bool) {
	for _, m := range st.Case.Meters {
		u = max(u, quantity.Fraction(math.Hypot(m.Repeat, m.Common)))
	}
	return u, len(st.Case.Meters) > 0
}

// figuresOf is what is in a container now, and why a plan cannot go by it; empty where it
// can. Known on another basis than that of the prescriptions is not known.
func figuresOf(st *kit.State, id string) (k dispensing.ContainerResult, why string) {
	i := slices.IndexFunc(st.Result.Containers, func(k dispensing.ContainerResult) bool { return k.Container.ID == id })
	if i < 0 {
		return k, "nothing has come into it"
	}
	k = st.Result.Containers[i]
	switch other := otherBasis(st, k.Basis); {
	case st.Case.Gone(id, st.Result.At):
		why = "it left the site, or is lost"
	case !k.Here:
		why = "nothing has come into it"
	case k.Withheld != "" || k.VolumeHeld != "":
		why = "its figures are held back by a finding"
	case k.Activity <= 0 || k.U <= 0:
		why = "its activity is not known"
	case other != "":
		why = other
	case float64(k.U/k.Activity) >= 0.29:
		why = "its activity is not known well enough"
	}
	return k, why
}

// gone tells that nothing is in a container any more, or not yet.
func gone(k dispensing.ContainerResult) bool {
	return !k.Here || k.Volume <= 0 && k.Withheld == "" && k.VolumeHeld == ""
}

// otherBasis says that an activity is known on another basis than that of the
// prescriptions; empty where it is the same.
func otherBasis(st *kit.State, known quantity.Basis) string {
	if known == st.Case.Policy.Basis {
		return ""
	}
	return "it is known on the " + string(known) + " basis, and the prescriptions are on the " + string(st.Case.Policy.Basis) + " basis"
}

// vialOf is a vial with what is left in it, or why a plan cannot go by it; what is spent
// is neither.
func vialOf(st *kit.State, v dispensing.VialResult, s *fact.DaySetup) (x dayplan.Vial, why string, spent bool) {
	k, why := figuresOf(st, v.Vial.ID)
	if why != "" {
		return x, why, gone(k)
	}
	if k.Volume <= s.Dead.Value {
		return x, "", true
	}
	grow := 1 / nuclide.Factor(st.Result.HalfLife, nuclide.Elapsed(v.Vial.Reference, k.At))
	x = dayplan.Vial{
		ID: v.Vial.ID, Activity: k.Activity * quantity.Activity(grow), U: quantity.Fraction(k.U / k.Activity), Reference: v.Vial.Reference,
		Volume: k.Volume, Dead: s.Dead.Value, Expiry: v.Vial.Expiry, InHand: true,
	}
	var used bool
	if x.Punctures, used = punctures(st, x.ID, s); used {
		return x, "it has had as many punctures as the set-up of the day allows", false
	}
	x.Opened = slices.ContainsFunc(st.Case.Draws, func(d dispensing.Draw) bool { return d.From == v.Vial.ID })
	return x, "", false
}

// dosesOf are the doses that are drawn and not given, also of orders that were cancelled.
// One whose figures a plan cannot go by is drawn all the same: it keeps its order, and
// nothing is drawn for that a second time.
func dosesOf(st *kit.State, within days) (out []dayplan.Dose) {
	for id, order := range st.Case.Serves {
		k, why := figuresOf(st, id)
		if gone(k) || (k.Container.Kind != ledger.Syringe && k.Container.Kind != ledger.AdministrationVial) {
			continue
		}
		if !slices.ContainsFunc(st.Case.Orders, func(o dispensing.Order) bool { return o.ID == order && within.has(o.At) }) || st.Preparation(order).Given {
			continue
		}
		x := dayplan.Dose{ID: id, For: order, Unknown: true}
		if from := drawnFrom(st, order); why == "" && !from.IsZero() {
			x = dayplan.Dose{ID: id, For: order, Activity: k.Activity, U: quantity.Fraction(k.U / k.Activity), At: k.At, Reference: from}
		}
		out = append(out, x)
	}
	slices.SortFunc(out, func(a, b dayplan.Dose) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// drawnFrom is the reference time of the vial that a dose was drawn from; zero where no
// draw says.
func drawnFrom(st *kit.State, order string) (reference time.Time) {
	for _, d := range st.Case.Draws {
		for _, v := range st.Case.Vials {
			if d.For == order && d.From == v.ID {
				reference = v.Reference
			}
		}
	}
	return reference
}

// rowsOf are the rows in force for the orders that are left: those of the plan that was
// taken, and a dose that is drawn for its own order.
func rowsOf(plan *fact.RePlan, d dayplan.Day) (out []dayplan.Row) {
	for _, o := range d.Orders {
		row := dayplan.Row{Order: o.ID, Infuse: o.At}
		known := false
		if plan != nil {
			for _, r := range plan.Rows {
				if r.Order == o.ID {
					row.From, row.Infuse, known = r.Source, r.Infuse, true
				}
			}
		}
		for _, x := range d.Doses {
			if x.For == o.ID {
				row.From, known = x.ID, true
			}
		}
		if known {
			out = append(out, row)
		}
	}
	return out
}

// suites puts the orders into suites by their times, the first that is free.
func suites(orders []dayplan.Order, n int, takes quantity.Span) {
	order := make([]int, len(orders))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return orders[a].At.Compare(orders[b].At) })
	free := make([]time.Time, min(n, len(orders)))
	for _, i := range order {
		best := 0
		for k := range free {
			if free[k].Before(free[best]) {
				best = k
			}
			if !free[k].After(orders[i].At) {
				best = k
				break
			}
		}
		orders[i].Suite = "Suite " + strconv.Itoa(best+1)
		free[best] = orders[i].At.Add(takes.Duration())
	}
}
