package plan

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dayplan"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
)

// staff are those whom the set-up of the day has here, with what their accounts may do. Who
// has none does neither: nobody would know whom to wait for.
func (q *request) staff(s *fact.DaySetup, days []time.Time) (out []dayplan.Person) {
	for _, x := range fact.Shifts(s.Staff) {
		p, _ := q.Person(x.Who)
		for _, day := range days {
			out = append(out, dayplan.Person{
				ID: x.Who, Present: dayplan.Interval{From: clock(day, x.From), Until: clock(day, x.Until)},
				Draws: people.May(p, people.Draw) == nil, Checks: people.May(p, people.SecondCheck) == nil,
			})
		}
	}
	return out
}

// punctures are those that a vial has left, 0 where there is no limit; spent tells that there
// is one, and that it is reached. Each draw is one.
func punctures(st *kit.State, vial string, s *fact.DaySetup) (left int, spent bool) {
	if s.Punctures == 0 {
		return 0, false
	}
	left = s.Punctures
	for _, d := range st.Case.Draws {
		if d.From == vial {
			left--
		}
	}
	return left, left <= 0
}

// comes is what the books say of vials beside those that are planned with.
type comes struct {
	// out are those that no plan goes by, with why.
	out []dayplan.NotOffered
	// overdue are the parcels that may not come at all.
	overdue []*fact.ExpectParcel
	// ordered are those that are due, offers those that can be ordered.
	ordered []*fact.ExpectParcel
	offers  []*fact.Offer
	// lists are all that was ever on offer, by the id of the parcel.
	lists map[string]*fact.Offer
	// unlimited tells that a parcel is on no line of the licence with a limit.
	unlimited bool
}

// due sorts what may come within the days planned.
func (c *comes) due(kept []fold.Entry, now time.Time, within days) {
	known := map[string]bool{}
	c.lists = map[string]*fact.Offer{}
	for _, x := range inventory.Outstanding(kept) {
		known[x.Parcel] = true
		switch late := now.Sub(x.Due); {
		case late > 0 && late < inventory.LookBack:
			c.overdue = append(c.overdue, x)
		case late <= 0 && within.has(x.Due):
			c.ordered = append(c.ordered, x)
		}
	}
	for _, e := range kept {
		switch x := e.Fact.(type) {
		case *fact.Parcel:
			known[x.Parcel] = true
		case *fact.Offer:
			c.lists[x.Parcel] = x
			c.offers = slices.DeleteFunc(c.offers, func(o *fact.Offer) bool { return o.Parcel == x.Parcel })
			if !x.Due.Before(now) && within.has(x.Due) {
				c.offers = append(c.offers, x)
			}
		}
	}
	c.offers = slices.DeleteFunc(c.offers, func(o *fact.Offer) bool { return known[o.Parcel] })
	slices.SortStableFunc(c.offers, func(a, b *fact.Offer) int { return a.Due.Compare(b.Due) })
}

// coming adds the vials of the parcels that are due and of the offers, by their labels, and what
// the licence leaves for the offers.
func (q *request) coming(d *dayplan.Day, st *kit.State, s *fact.DaySetup, within days, c *comes) error {
	kept := q.kept()
	c.due(kept, q.Now, within)
	c.out = append(c.out, unreceived(st, kept, q.Now.In(st.Zone.Loc()))...)
	if len(c.ordered)+len(c.offers) == 0 {
		return nil
	}
	all, err := books.Inventory(q.Lab, q.Now.Add(-inventory.LookBack), q.Zones)
	if err != nil {
		return err
	}
	stock := inventory.Fit(all, q.Now)
	for _, x := range c.ordered {
		line := lineOf(stock.At(x.Due), x)
		c.put(d, st, s, x, q.hinders(kept, st, s, x, line), dayplan.Vial{InHand: true}, line)
	}
	for _, o := range c.offers {
		x := &fact.ExpectParcel{Parcel: o.Parcel, Line: o.Line, Vials: o.Vials, Labelled: o.Labelled, Reference: o.Reference, Due: o.Due, Volume: o.Volume}
		all = all.With(x)
		with := stock
		with.Books = stock.With(x)
		line := lineOf(with.At(x.Due), x)
		for _, t := range inventory.Moments(with.Books, x.Due, within.until) {
			if l := lineOf(with.At(t), x); l.Over && !line.Over {
				line = l
			}
		}
		c.put(d, st, s, x, q.hinders(kept, st, s, x, line), dayplan.Vial{OrderBy: o.OrderBy, CancelUntil: o.CancelUntil, Closed: closed(kept, o), Offer: o.Parcel, Line: line.ID}, line)
	}
	for _, t := range inventory.Moments(all, q.Now, within.until) {
		for _, l := range stock.At(t).Lines {
			if !l.Most.IsZero() {
				d.Rooms = append(d.Rooms, dayplan.Room{At: t, Line: l.ID, Left: l.Most.Value - l.Held})
			}
		}
	}
	return nil
}

// hinders says why no plan goes by a parcel that is still to come; empty where one does.
func (q *request) hinders(kept []fold.Entry, st *kit.State, s *fact.DaySetup, x *fact.ExpectParcel, line inventory.Line) string {
	due := x.Due.In(st.Zone.Loc())
	day := "today"
	if !sameDay(due, q.Now.In(st.Zone.Loc())) {
		day = due.Format("Mon 2 Jan")
	}
	holiday := holidayOn(kept, due, "")
	switch {
	case holiday != "":
		return day + " is a holiday, " + holiday + ", and nobody receives its parcel"
	case x.Volume.Value <= s.Dead.Value:
		return "the order of its parcel says no volume that can be drawn"
	case s.Receipt.IsZero():
		return "the set-up of the day does not say how long receipt, survey and opening of a parcel take"
	case st.Case.Policy.LabelTolerance <= 0:
		return "the policy says no tolerance of a label"
	case line.Over: // all of a parcel comes, whatever is planned with
		return "with its parcel " + quantity.Both(line.Held, line.U) + " would be held, more than the " + line.Most.Text + " that the licence allows (" + line.ID + ")"
	}
	return otherBasis(st, quantity.LabelBasis)
}

// put adds the vials of a parcel to a day, or why no plan goes by them.
func (c *comes) put(d *dayplan.Day, st *kit.State, s *fact.DaySetup, x *fact.ExpectParcel, why string, v dayplan.Vial, line inventory.Line) {
	if why == "" && x.Vials > dayplan.MostVials-len(d.Vials) {
		why = "a plan can have " + strconv.Itoa(dayplan.MostVials) + " vials at most, and has " + strconv.Itoa(len(d.Vials)) + " without it"
	}
	if why != "" {
		c.out = append(c.out, dayplan.NotOffered{Vial: x.Parcel, Why: why})
		return
	}
	c.unlimited = c.unlimited || line.Most.IsZero()
	v.Activity, v.Reference, v.Volume, v.Dead, v.Arrives, v.Punctures = x.Labelled.Value, x.Reference, x.Volume.Value, s.Dead.Value, x.Due, s.Punctures
	v.U = st.Case.Policy.LabelTolerance / quantity.Fraction(math.Sqrt(3)) // a rectangle (JCGM 100:2008, 4.3.7)
	for k := range x.Vials {
		v.ID = x.Parcel + "-" + strconv.Itoa(k+1)
		d.Vials = append(d.Vials, v)
	}
}

// lineOf is the line of the licence that a parcel that is still to come is held on.
func lineOf(v inventory.Inventory, x *fact.ExpectParcel) (line inventory.Line) {
	for _, i := range v.Items {
		for _, l := range v.Lines {
			if i.ID == x.Parcel && i.Where == inventory.Expected && l.ID == i.Line {
				line = l
			}
		}
	}
	return line
}

// closed says that a supplier is closed on the day on which something would be ordered or sent,
// by the clock there; empty where it is not.
func closed(kept []fold.Entry, o *fact.Offer) string {
	for _, t := range []time.Time{o.OrderBy, o.Sent} {
		if name := holidayOn(kept, t, o.Supplier); name != "" && !t.IsZero() {
			return o.Supplier + " is closed on " + t.Format("Mon 2 Jan") + ", " + name
		}
	}
	return ""
}

// unreceived are the parcels of today with vials that nobody has received: these are planned
// with once they are.
func unreceived(st *kit.State, kept []fold.Entry, day time.Time) (out []dayplan.NotOffered) {
	received := map[string]int{}
	for _, v := range st.Case.Vials {
		received[v.Parcel]++
	}
	for _, e := range kept {
		if x, ok := e.Fact.(*fact.Parcel); ok && sameDay(x.At, day) && received[x.Parcel] < x.Vials {
			out = append(out, dayplan.NotOffered{Vial: "parcel " + x.Parcel, Why: "it has arrived, and not all of its vials were received yet"})
		}
	}
	return out
}

// holidayOn is the name of the one of a supplier on a day, or of the site; empty for none.
func holidayOn(kept []fold.Entry, day time.Time, supplier string) (name string) {
	for _, e := range kept {
		if x, ok := e.Fact.(*fact.Holiday); ok && x.Day == day.Format(time.DateOnly) && strings.EqualFold(x.Supplier, supplier) {
			name = x.Name
		}
	}
	return name
}
