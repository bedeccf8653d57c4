package plan

import (
	"math"
	"strconv"
	"time"

	"vialwright/dayplan"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/kit"
)

// staff are those whom the set-up of the day has here, with what their accounts may do. Who
// has none does neither: nobody would know whom to wait for.
func (q *request) staff(s *fact.DaySetup, day time.Time) (out []dayplan.Person) {
	for _, x := range fact.Shifts(s.Staff) {
		p, _ := q.Person(x.Who)
		out = append(out, dayplan.Person{
			ID: x.Who, Present: dayplan.Interval{From: clock(day, x.From), Until: clock(day, x.Until)},
			Draws: people.May(p, people.Draw) == nil, Checks: people.May(p, people.SecondCheck) == nil,
		})
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
	// unlimited tells that a parcel is on no line of the licence with a limit.
	unlimited bool
}

// coming are the vials of the parcels that are due on a day, by their labels, from when they
// will be received and opened.
func (q *request) coming(st *kit.State, s *fact.DaySetup, day time.Time, c *comes) (vials []dayplan.Vial, err error) {
	kept := q.kept()
	holiday := holidayOn(kept, day)
	other := otherBasis(st, quantity.LabelBasis)
	u := st.Case.Policy.LabelTolerance / quantity.Fraction(math.Sqrt(3)) // a rectangle (JCGM 100:2008, 4.3.7)
	var due []*fact.ExpectParcel
	for _, x := range inventory.Outstanding(kept) {
		switch late := q.Now.Sub(x.Due); {
		case late > 0 && late < inventory.LookBack:
			c.overdue = append(c.overdue, x)
		case late <= 0 && sameDay(x.Due, day):
			due = append(due, x)
		}
	}
	stock, err := q.stock(len(due) > 0)
	if err != nil {
		return nil, err
	}
	for _, x := range due {
		over, limited := over(stock.At(x.Due), x)
		why := ""
		switch {
		case holiday != "":
			why = "today is a holiday, " + holiday + ", and nobody receives its parcel"
		case x.Volume.Value <= s.Dead.Value:
			why = "the order of its parcel says no volume that can be drawn"
		case s.Receipt.IsZero():
			why = "the set-up of the day does not say how long receipt, survey and opening of a parcel take"
		case other != "":
			why = other
		case u <= 0:
			why = "the policy says no tolerance of a label"
		case over != "":
			why = over
		default:
			c.unlimited = c.unlimited || !limited
		}
		for k := range x.Vials {
			id := x.Parcel + "-" + strconv.Itoa(k+1)
			if why != "" {
				c.out = append(c.out, dayplan.NotOffered{Vial: id, Why: why})
				continue
			}
			vials = append(vials, dayplan.Vial{
				ID: id, Activity: x.Labelled.Value, U: u, Reference: x.Reference, InHand: true,
				Volume: x.Volume.Value, Dead: s.Dead.Value, Arrives: x.Due.Add(lasting(s.Receipt.Value)), Punctures: s.Punctures,
			})
		}
	}
	c.out = append(c.out, unreceived(st, kept, day)...)
	return vials, nil
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

// holidayOn is the name of the one on a day; empty for none.
func holidayOn(kept []fold.Entry, day time.Time) (name string) {
	for _, e := range kept {
		if x, ok := e.Fact.(*fact.Holiday); ok && x.Day == day.Format(time.DateOnly) {
			name = x.Name
		}
	}
	return name
}

// stock are the books of the inventory of the site, empty where nobody needs them.
func (q *request) stock(needed bool) (f inventory.Fitted, err error) {
	if !needed {
		return f, nil
	}
	own, _ := q.Lab.Kept(inventory.Kept)
	var groups [][]journal.Record
	for _, g := range q.Lab.GroupsSince(q.Now.Add(-inventory.LookBack)) {
		groups = append(groups, g.Records)
	}
	books, err := inventory.Read(q.Lab.File().Records, own, groups, q.Zones)
	if err != nil {
		return f, err
	}
	return inventory.Fit(books, q.Now), nil
}

// over says why the licence does not let a parcel in, of which all comes, whatever is planned
// with; empty where it does. limited tells that its line has a limit.
func over(v inventory.Inventory, x *fact.ExpectParcel) (why string, limited bool) {
	for _, i := range v.Items {
		for _, l := range v.Lines {
			if i.ID != x.Parcel || i.Where != inventory.Expected || l.ID != i.Line {
				continue
			}
			if limited = !l.Most.IsZero(); l.Over {
				why = "with its parcel " + quantity.Both(l.Held, l.U) + " would be held when it is due, more than the " + l.Most.Text + " that the licence allows (" + l.ID + ")"
			}
		}
	}
	return why, limited
}
