package dispensing

import (
	"slices"
	"time"

	"vialwright/quantity"
)

// now is a vial as it stands after all entries, to be drawn from at the moment
// asked.
func (r *reckoner) now(id string) source {
	if _, held := r.holds[id]; held {
		return source{id: id} // nothing is planned from what entries contradict
	}
	return r.source(id, r.bal.Now(id), r.out.At, r.Book.Volume(id))
}

// choose takes the first assayed vial that has enough for the order beside
// what earlier orders will take, and is in date; or else an unread one; or
// else the one that holds most. look gives a vial as it stands; one
// that left is passed over.
func (r *reckoner) choose(o Order, look func(id string) source, reserved map[string]quantity.Volume) (best source, ok bool) {
	rank := 0
	for _, v := range r.Vials {
		s := look(v.ID)
		if s.activity <= 0 || s.volume <= 0 || r.Gone(v.ID, s.at) {
			continue
		}
		worth := 1
		p, can := plan(o, s, r.expects(v.ID, nil), r.HalfLife.Value)
		if can && p.Exact+reserved[v.ID] <= s.volume && (v.Expiry.IsZero() || !quantity.Later(o.At, s.at).After(v.Expiry)) {
			worth = 2
			if s.assayed {
				worth = 3
			}
		}
		if worth > rank || (worth == 1 && rank == 1 && s.activity > best.activity) {
			best, ok, rank = s, true, worth
		}
	}
	return best, ok
}

// plannedFrom is the vial that a draw for an order was planned from just before
// a moment: the one chosen with the vials as they stood then, when the orders
// that stand before it and were not drawn yet had theirs. It is empty where no
// vial was there.
func (r *reckoner) plannedFrom(order string, at time.Time) string {
	at = at.Add(-1)
	then := func(id string) source {
		s := r.source(id, r.bal.Held(id, at), at, r.Book.VolumeAt(id, at))
		s.assayed = s.assayed && r.readBy(id, at)
		return s
	}
	reserved := map[string]quantity.Volume{}
	for _, o := range r.Orders {
		if o.ID != order && slices.ContainsFunc(r.Draws, func(d Draw) bool { return d.For == o.ID && !d.At.After(at) }) {
			continue
		}
		s, ok := r.choose(o, then, reserved)
		p, can := plan(o, s, r.expects(s.id, nil), r.HalfLife.Value)
		if o.ID == order {
			if can && p.Exact > s.volume {
				return "" // no one vial holds enough, and all may serve
			}
			return s.id
		}
		if ok && can {
			reserved[s.id] += p.Draw
		}
	}
	return ""
}

// readBy tells that a container was read at a moment or before.
func (r *reckoner) readBy(id string, at time.Time) bool {
	return slices.ContainsFunc(r.Readings, func(x Reading) bool { return x.Of == id && !x.At.After(at) })
}

// checkSource asks about a draw from a vial that was not read before, and about
// one from another vial than the planned one, or out of a dose: for a top-up the
// planned one is that of the draw into the syringe before it, as long as that has the
// volume left.
func (r *reckoner) checkSource(d Draw) {
	if of := r.Serves[d.From]; of != "" {
		r.find(DrawElsewhere, Warn, d.Entry, "the draw for order %s was made out of %s, which holds the dose of order %s: check which vial it was, and bring the parts of the dose together before it is given", d.For, d.From, of)
		return
	}
	if !r.readBy(d.From, d.At) {
		r.find(DrawUnread, Warn, d.Entry, "%s was drawn from before it was read: its activity was not known", d.From)
	}
	planned := ""
	for _, x := range r.Draws {
		if x.Into == d.Into && x.At.Before(d.At) {
			planned = x.From
		}
	}
	if planned == "" {
		planned = r.plannedFrom(d.For, d.At)
	} else if r.Book.VolumeAt(planned, d.At) < d.Volume {
		return // what is left there would not do
	}
	if planned != "" && planned != d.From {
		r.find(DrawElsewhere, Warn, d.Entry, "the draw for order %s was planned from %s and made from %s: check which vial it was", d.For, planned, d.From)
	}
}
