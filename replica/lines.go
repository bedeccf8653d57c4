package replica

import (
	"context"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/state"
	"vialwright/store"
)

// Lines reads the journal once more from its beginning, verifies it, and gives the
// lines of the records that are wanted, as a journal is written out, with their
// numbers. What was not taken yet is left out, and of what is private to a person
// there is the digest alone.
func (r *Replica) Lines(ctx context.Context, want func(journal.Record) bool) (lines []byte, numbers []int, err error) {
	var v journal.Verifier
	until := r.Report().Head.Seq
	private := map[int]bool{}
	for x, err := range r.log.Read(ctx, 1, store.All) {
		if err != nil {
			return nil, nil, err
		}
		if x.Seq > until {
			break
		}
		link := linkOf(x)
		rec, err := v.Add(link)
		if err != nil {
			return nil, nil, err
		}
		c, corrects := rec.Fact.(*fact.Correct)
		if fact.Private(rec.Fact) || corrects && private[c.Entry] {
			private[rec.N] = true
		}
		if want(rec) {
			if private[rec.N] {
				link = link.Withheld()
			}
			lines = append(append(lines, link.String()...), '\n')
			numbers = append(numbers, rec.N)
		}
	}
	return lines, numbers, nil
}

// OrdersOf are the orders of a patient, by one of the identifiers that an order or a
// correction of it names, in the order in which they were entered.
func (r *Replica) OrdersOf(identifier string) []string {
	return reading(r, func() []string { return r.books.OrdersOf(identifier) })
}

// OrderFile is what an order is shown and handed out from: its own group, or while
// nothing was drawn for it and it is not over, all that it can be drawn from: what
// open gives, or for an order of a drill all of that drill. It is false where there is no such order.
func (r *Replica) OrderFile(order string, open func() *File) (*File, bool) {
	f := r.File(order)
	known, settled := false, false
	for _, e := range f.Entries() {
		switch x := e.Fact.(type) {
		case *fact.Order:
			known = known || x.ID == order
		case *fact.Draw:
			settled = settled || x.For == order
		case *fact.Cancel:
			settled = settled || x.For == order
		case *fact.Close:
			settled = settled || x.For == order
		}
	}
	if known && !settled {
		if f = r.drill(order); f == nil {
			f = open()
		}
	}
	return f, known
}

// drill is all of the drill that an order is of; nil for one of the laboratory.
func (r *Replica) drill(order string) *File {
	r.mu.RLock()
	defer r.mu.RUnlock()
	prefix := ""
	if own := r.books.Groups(order); len(own) > 0 {
		prefix = own[0].Drill()
	}
	if prefix == "" { // most are, and the groups of all years are not gone through for those
		return nil
	}
	var groups []state.Group
	var ids []string
	for _, g := range r.books.All() {
		if g.Drill() == prefix {
			groups, ids = append(groups, g), append(ids, g.IDs()...)
		}
	}
	return r.of(groups, ids)
}
