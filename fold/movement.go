package fold

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/quantity"
)

// enterResidual gives the dose where no infusion is entered; for itself a residual is
// no movement.
func enterResidual(r *fact.Residual, f *folder, s *step) *fact.Refusal {
	if s.implied {
		return f.give(s, f.orders[r.For], "", "for")
	}
	return nil
}

// fromBook is a refusal of the books in the words of a fact. fields renames
// the fields of a movement, in pairs.
func (f *folder) fromBook(s *step, err error, fields ...string) *fact.Refusal {
	r, _ := err.(*ledger.Refusal) // the books give no other error
	field := r.Field
	for i := 0; i+1 < len(fields); i += 2 {
		if fields[i] == field {
			field = fields[i+1]
			break
		}
	}
	return s.refuse(field, r.Code, r.Hint, "%s", r.Msg)
}

// is gives a container in the books. One that comes into them only later in
// time is refused with that time, since a slipped hour is likelier than a
// slipped id.
func (f *folder) is(s *step, field, id string) (ledger.Container, *fact.Refusal) {
	if c, ok := f.out.Book.Container(id); ok && c.Kind != ledger.Territory {
		return c, nil
	}
	if b := f.born[id]; b != nil && b != s {
		return ledger.Container{}, s.refuse(s.timeField(field), "before-receipt", "check the times of both entries",
			"%s comes in only with entry %d, at %s", id, b.entry, f.clock(b.at))
	}
	if f.orders[id] != nil {
		return ledger.Container{}, s.refuse(field, "unknown-container", "name the container the dose is in", "%s is an order, not a container", id)
	}
	var ids []string
	for _, c := range f.out.Book.Containers() {
		ids = append(ids, c.ID)
	}
	hint := "receive the vial, or draw or transfer into it, at an earlier time"
	if len(ids) > 0 {
		hint = fact.Nearest(id, ids)
	}
	return ledger.Container{}, s.refuse(field, "unknown-container", hint, "no container is called %s", id)
}

// source asks that something may be taken out of a container.
func (f *folder) source(s *step, id string) *fact.Refusal {
	c, err := f.is(s, "from", id)
	if err != nil {
		return err
	}
	if c.Kind == ledger.WasteItem {
		return s.refuse("from", "wrong-container", "correct the entry that discarded it", "%s is a waste item: nothing is taken out of it", id)
	}
	return f.onSite(s, "from", id)
}

// target asks that something may come into a container for an order, and
// opens it if it is new. kinds are those it may be of, the first that of a new
// one.
func (f *folder) target(s *step, id, order string, kinds ...ledger.Kind) *fact.Refusal {
	if f.orders[id] != nil {
		return s.refuse("into", "duplicate-id", "give the container another id", "%s is the id of an order", id)
	}
	c, known := f.out.Book.Container(id)
	switch {
	case !known:
		if err := f.out.Book.Open(ledger.Container{ID: id, Kind: kinds[0]}, s.at); err != nil {
			return f.fromBook(s, err, "id", "into")
		}
	case !slices.Contains(kinds, c.Kind):
		return s.refuse("into", "wrong-container", "check the id; a return goes back into a vial, a discard into a waste item",
			"%s is of the kind %s", id, c.Kind)
	}
	switch of := f.out.Serves[id]; {
	case of == order:
	case of != "" && order == "":
		return s.refuse("into", "order-mismatch", "write for: "+of+" if it is for that order", "%s holds the dose of order %s, and this is for none", id, of)
	case of != "":
		return s.refuse("into", "order-mismatch", "use another container: doses of two orders are never mixed",
			"%s holds the dose of order %s, not of %s", id, of, order)
	default:
		f.out.Serves[id] = order
		f.orders[order].holders = append(f.orders[order].holders, id)
	}
	return nil
}

// amountMoved is the volume of a movement that may leave it out.
func amountMoved(s *step, v quantity.Stated[quantity.Volume]) (volume quantity.Volume, whole bool, err *fact.Refusal) {
	if v.IsZero() {
		return 0, true, nil
	}
	return v.Value, false, s.volume("volume", v, "write the volume that moved, or leave it out if all did")
}

// longBefore is how long a vial that was received at a time nobody noted counts
// as there before anything else of the case: at every moment that is asked of.
const longBefore = 30 * 24 * time.Hour

// before is a moment before all that happened, is planned or is on a label.
func (f *folder) before(reference time.Time) time.Time {
	first := reference
	for _, o := range f.listed {
		if o.At.Before(first) {
			first = o.At
		}
	}
	if !f.first.IsZero() && f.first.Before(first) {
		first = f.first
	}
	return first.Add(-longBefore)
}

// enterReceive opens a shipping vial. Its label is a datum with the tolerance as a
// rectangular distribution (JCGM 100:2008, 4.3.7):
//
//	u(label) = label · tolerance/√3
func enterReceive(x *fact.Receive, f *folder, s *step) *fact.Refusal {
	switch {
	case x.Labelled.Value <= 0:
		return s.refuse("labelled", "labelled-zero", "write the activity on the label", "nothing is on the label")
	case f.orders[x.Vial] != nil:
		return s.refuse("vial", "duplicate-id", "give the vial another id", "%s is the id of an order", x.Vial)
	}
	if err := cmp.Or(s.activity("labelled", x.Labelled, leastDose), s.volume("volume", x.Volume, "write the volume in the vial")); err != nil {
		return err
	}
	book := f.out.Book
	if err := book.Open(ledger.Container{ID: x.Vial, Kind: ledger.ShippingVial}, x.At); err != nil {
		return f.fromBook(s, err, "id", "vial")
	}
	at := x.At
	if at.IsZero() {
		at = f.before(x.Reference)
	}
	tolerance := f.policyOf(s).LabelTolerance
	u := quantity.Activity(float64(x.Labelled.Value) * float64(tolerance) / math.Sqrt(3))
	err := book.Move(ledger.Movement{
		Entry: s.entry, At: at, To: x.Vial, Volume: x.Volume.Value,
		Label: x.Labelled.Value, LabelU: u, Reference: x.Reference,
	})
	if err != nil {
		return f.fromBook(s, err, "into", "vial")
	}
	f.out.Vials = append(f.out.Vials, dispensing.Vial{
		Entry: s.entry, ID: x.Vial, Lot: x.Lot, Parcel: x.Parcel, Labelled: x.Labelled.Value, Reference: x.Reference,
		Volume: x.Volume.Value, Expiry: x.Expiry, Tolerance: tolerance, LabelWritten: x.Labelled.Text, VolumeWritten: x.Volume.Text,
	})
	return nil
}

func enterDraw(x *fact.Draw, f *folder, s *step) *fact.Refusal {
	if err := f.knows(s, "for", x.For); err != nil {
		return err
	}
	v, _, err := amountMoved(s, x.Volume)
	if err == nil {
		err = f.source(s, x.From)
	}
	switch of := f.out.Serves[x.From]; {
	case err != nil:
		return err
	case of != "" && of != x.For:
		return s.refuse("for", "order-mismatch", "return it to the vial first, or check the ids", "%s holds the dose of order %s, not of %s", x.From, of, x.For)
	case Later(x.Agitated, s.at):
		return s.refuse("agitated", "agitated-after", "check both times", "the vial was resuspended after the draw")
	}
	if err := clockSaid(x, s); err != nil {
		return err
	}
	if err := f.target(s, x.Into, x.For, ledger.Syringe); err != nil {
		return err
	}
	fromExperience := f.experienceFor(s, x)
	m := ledger.Movement{Entry: s.entry, At: s.at, From: x.From, To: x.Into, Volume: v, Yield: cmp.Or(fromExperience, f.policyOf(s).Yield)}
	if err := f.out.Book.Move(m); err != nil {
		return f.fromBook(s, err)
	}
	d := dispensing.Draw{Entry: s.entry, From: x.From, Into: x.Into, For: x.For, At: x.At, Volume: v, Agitated: x.Agitated, By: x.By, Yield: m.Yield, Learned: fromExperience.Value > 0, Written: x.Volume.Text}
	if !x.Trusted.IsZero() {
		d.Trusted = &x.Trusted.Value
	}
	f.out.Draws = append(f.out.Draws, d)
	return nil
}

// enterReturn returns suspension to a container that is in the books.
func enterReturn(x *fact.Return, f *folder, s *step) *fact.Refusal {
	if err := f.source(s, x.From); err != nil {
		return err
	}
	if _, err := f.is(s, "into", x.Into); err != nil {
		return err
	}
	to := f.out.Serves[x.Into]
	if to != "" && to != f.out.Serves[x.From] {
		return s.refuse("into", "order-mismatch", "check the ids: doses of two orders are never mixed", "%s holds the dose of order %s", x.Into, to)
	}
	return f.move(s, x.From, x.Into, to, s.at, x.Volume, ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial)
}

func enterTransfer(x *fact.Transfer, f *folder, s *step) *fact.Refusal {
	if x.For != "" {
		if err := f.knows(s, "for", x.For); err != nil {
			return err
		}
	}
	if err := f.source(s, x.From); err != nil {
		return err
	}
	order := f.out.Serves[x.From]
	switch {
	case x.For == "" || x.For == order:
	case order != "":
		return s.refuse("for", "order-mismatch", "check the ids", "%s holds the dose of order %s, not of %s", x.From, order, x.For)
	default:
		order = x.For
	}
	return f.move(s, x.From, x.Into, order, s.at, x.Volume, ledger.AdministrationVial, ledger.Syringe)
}

func enterDiscard(x *fact.Discard, f *folder, s *step) *fact.Refusal {
	if err := f.source(s, x.From); err != nil {
		return err
	}
	return f.move(s, x.From, x.Into, "", s.at, x.Volume, ledger.WasteItem)
}

// move enters a movement whose source was asked for.
func (f *folder) move(s *step, from, into, order string, at time.Time, stated quantity.Stated[quantity.Volume], kinds ...ledger.Kind) *fact.Refusal {
	v, whole, err := amountMoved(s, stated)
	if err == nil {
		err = f.target(s, into, order, kinds...)
	}
	if err != nil {
		return err
	}
	if err := f.out.Book.Move(ledger.Movement{Entry: s.entry, At: at, From: from, To: into, Volume: v, Whole: whole}); err != nil {
		return f.fromBook(s, err)
	}
	return nil
}

func enterMakeUp(x *fact.MakeUp, f *folder, s *step) *fact.Refusal {
	c, err := f.is(s, "of", x.Of)
	if err == nil {
		err = s.volume("volume", x.Volume, "write the volume added")
	}
	switch {
	case err != nil:
		return err
	case c.Kind == ledger.WasteItem:
		return s.refuse("of", "wrong-container", "check the id", "%s is a waste item", x.Of)
	}
	if err := f.out.Book.Add(x.Of, x.Volume.Value, s.at); err != nil {
		return f.fromBook(s, err)
	}
	f.out.MakeUps = append(f.out.MakeUps, dispensing.MakeUp{
		Entry: s.entry, Of: x.Of, At: x.At, Volume: x.Volume.Value, Diluent: x.Diluent, Lot: x.Lot, After: f.out.Book.Volume(x.Of), Min: f.policyOf(s).MakeUpMin, Max: f.policyOf(s).MakeUpMax,
	})
	return nil
}

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
				"the record of order %s was closed with entry %d, at %s", x.id, c.entry, f.clock(c.at))
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
