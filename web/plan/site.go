package plan

import (
	"math"
	"slices"
	"strconv"
	"time"

	"vialwright/dayplan"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/nuclide"
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

// expected are the parcels that were ordered and have not arrived.
func expected(kept []fold.Entry) (out []*fact.ExpectParcel) {
	arrived := map[string]bool{}
	for _, e := range kept {
		switch x := e.Fact.(type) {
		case *fact.Parcel:
			arrived[x.Parcel] = true
		case *fact.ExpectParcel: // the last entry of a parcel is how it is ordered now
			out = append(slices.DeleteFunc(out, func(o *fact.ExpectParcel) bool { return o.Parcel == x.Parcel }), x)
		}
	}
	return slices.DeleteFunc(out, func(x *fact.ExpectParcel) bool { return arrived[x.Parcel] })
}

// coming are the vials of the parcels that are due today, by their labels, and those that no
// plan goes by, with why: what is overdue may not come at all.
func (q *request) coming(st *kit.State, s *fact.DaySetup, day time.Time) (vials []dayplan.Vial, out []dayplan.NotOffered) {
	kept := q.kept()
	holiday := holidayOn(kept, day)
	other := otherBasis(st, quantity.LabelBasis)
	u := st.Case.Policy.LabelTolerance / quantity.Fraction(math.Sqrt(3)) // a rectangle (JCGM 100:2008, 4.3.7)
	for _, x := range expected(kept) {
		if !sameDay(x.Due, day) {
			continue
		}
		why := ""
		switch {
		case holiday != "":
			why = "today is a holiday, " + holiday + ", and nobody receives its parcel"
		case x.Due.Before(q.Now):
			why = "its parcel was due at " + st.Zone.Hour(x.Due) + " and has not arrived"
		case x.Volume.Value <= s.Dead.Value:
			why = "the order of its parcel says no volume that can be drawn"
		case other != "":
			why = other
		case u <= 0:
			why = "the policy says no tolerance of a label"
		}
		for k := range x.Vials {
			id := x.Parcel + "-" + strconv.Itoa(k+1)
			if why != "" {
				out = append(out, dayplan.NotOffered{Vial: id, Why: why})
				continue
			}
			vials = append(vials, dayplan.Vial{
				ID: id, Activity: x.Labelled.Value, U: u, Reference: x.Reference,
				Volume: x.Volume.Value, Dead: s.Dead.Value, Arrives: x.Due, Punctures: s.Punctures,
			})
		}
	}
	return vials, append(out, unreceived(st, kept, day)...)
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

// licence is the line that the vials still to come are held against: that of Y-90 with the
// least room. It is asked only where some come, since it binds where something arrives.
func (q *request) licence(d dayplan.Day) (dayplan.Licence, error) {
	own, _ := q.Lab.Kept(inventory.Kept)
	var groups [][]journal.Record
	for _, g := range q.Lab.GroupsSince(q.Now.Add(-inventoryBack)) {
		groups = append(groups, g.Records)
	}
	books, err := inventory.Read(q.Lab.File().Records, own, groups, q.Zones)
	if err != nil {
		return dayplan.Licence{}, err
	}
	out := dayplan.Licence{At: q.Now}
	for _, l := range inventory.Take(books, q.Now).Lines {
		if l.Nuclide != inventory.Nuclide || l.Most.IsZero() || (out.Limit > 0 && l.Most.Value-l.Held >= out.Limit-out.Rest) {
			continue
		}
		out.Limit, out.Rest = l.Most.Value, l.Held
	}
	for _, v := range d.Vials { // these the plan counts itself
		if v.InHand {
			out.Rest -= v.Activity * quantity.Activity(nuclide.Factor(d.HalfLife, nuclide.Elapsed(v.Reference, q.Now)))
		}
	}
	for _, x := range d.Doses {
		if !x.Unknown {
			out.Rest -= x.Activity * quantity.Activity(nuclide.Factor(d.HalfLife, nuclide.Elapsed(x.At, q.Now)))
		}
	}
	out.Rest = max(out.Rest, 0)
	return out, nil
}

// inventoryBack is how far back what is still on site may have come in: 45 half-lives.
const inventoryBack = 120 * 24 * time.Hour
