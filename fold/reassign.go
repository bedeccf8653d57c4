package fold

import (
	"slices"

	"vialwright/fact"
	"vialwright/quantity"
)

// enterReassign refuses, in this order: an order that is not there or closed, the same
// order twice, one that was cancelled, a dose that was given, a container that
// is not there or of another order, a dose that is not in that container alone,
// and an order that has a dose already. Whether both orders are signed is for
// package procedure.
func enterReassign(r *fact.Reassign, f *folder, s *step) *fact.Refusal {
	for _, x := range []struct{ field, id string }{{"from", r.From}, {"to", r.To}} {
		if err := f.knows(s, x.field, x.id); err != nil {
			return err
		}
		if c := f.done.closed[x.id]; c != nil {
			return s.refuse(x.field, "after-close", "strike out the closing first, or check both times",
				"the record of order %s was closed with entry %d, at %s", x.id, c.entry, quantity.FormatTime(c.at, f.out.Zone))
		}
		if o := f.orders[x.id]; o.infused != nil && !o.infused.at.After(s.at) {
			return s.refuse(x.field, "reassign-given", "check the ids, and the times of both entries", "the dose of order %s was given", x.id)
		}
	}
	from, to := f.orders[r.From], f.orders[r.To]
	switch {
	case r.From == r.To:
		return s.refuse("to", "same-order", "name the order that gets the dose", "the dose is already that of order %s", r.To)
	case to.Cancelled:
		return s.refuse("to", "order-cancelled", "strike out the cancellation first, or name another order", "the preparation of order %s was cancelled", r.To)
	}
	if _, err := f.is(s, "container", r.Container); err != nil {
		return err
	}
	holding := func(o *order) []string {
		return slices.DeleteFunc(slices.Clone(o.holders), func(id string) bool { return f.out.Book.Volume(id) <= 0 })
	}
	switch in := holding(from); {
	case f.out.Serves[r.Container] != r.From:
		return s.refuse("container", "order-mismatch", "check the ids before anything is given", "%s does not hold the dose of order %s", r.Container, r.From)
	case len(in) != 1 || in[0] != r.Container:
		return s.refuse("container", "dose-elsewhere", "bring the dose into one container, and name that", "the dose of order %s is not in %s alone", r.From, r.Container)
	case len(holding(to)) > 0:
		return s.refuse("to", "order-mismatch", "return that dose first: doses of two orders are never mixed", "order %s has a dose already, in %s", r.To, holding(to)[0])
	}
	moveDose(r, f, from, to)
	return nil
}

// moveDose makes the containers and the draws of the one order those of the other.
func moveDose(r *fact.Reassign, f *folder, from, to *order) {
	for _, id := range from.holders {
		f.out.Serves[id] = r.To
	}
	to.holders, from.holders = append(to.holders, from.holders...), nil
	for i := range f.out.Draws {
		d := &f.out.Draws[i]
		if d.For != r.From {
			continue
		}
		d.For = r.To
		names := f.out.Names[d.Entry]
		for k, id := range names {
			if id == r.From {
				names[k] = r.To
			}
		}
	}
}
