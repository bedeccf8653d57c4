package procedure

import (
	"slices"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// closings finds when the record of the order was first and last closed, and
// the correction that reopened it since; each nil where there is none.
func (v *view) closings() (first, last, reopened *entry) {
	for i, e := range v.list {
		x, ok := e.first.(*fact.Close) // to strike it out reopens the record, too
		if !ok || x.For != v.order.ID {
			continue
		}
		if first == nil {
			first = &v.list[i]
		}
		last = &v.list[i]
	}
	if last == nil {
		return nil, nil, nil
	}
	for i, c := range v.corrections {
		if c.place > last.place && (v.own(c.was) || v.own(c.with)) {
			return first, last, &v.corrections[i].entry
		}
	}
	return first, last, nil
}

// own tells whether an entry belongs to the record of the order: it names the
// order, is work on its dose, or is of its vial's papers.
func (v *view) own(f fact.Fact) bool {
	if _, correction := f.(*fact.Correct); correction || f == nil {
		return false
	}
	return slices.Contains(fact.Names(f), v.order.ID) || v.changes(f)
}

// covers are the numbers of the entries that belong to the record of the order.
func (v *view) covers() (out []int) {
	for _, e := range v.list {
		if v.own(e.fact) {
			out = append(out, e.n)
		}
	}
	return out
}

// fixed is the entry that what was done before it stays done by, whatever is
// corrected since: the first closing or, before that, the infusion, since a dose
// that was given was checked and released by what was known then. It is nil
// where no correction came after it: then all stands as it is.
func (v *view) fixed() *entry {
	first, last, reopened := v.closings()
	switch {
	case first != nil && (first != last || reopened != nil):
		return first
	case first != nil || v.given == nil || v.given.Implied:
		return nil
	}
	given := v.numbered(v.given.Entry)
	for _, c := range v.corrections {
		if given != nil && c.place > given.place && (v.own(c.was) || v.own(c.with)) {
			return given
		}
	}
	return nil
}

// before is the preparation as it stood just before an entry.
func (v *view) before(first *entry) (Preparation, bool) {
	if first == nil {
		return Preparation{}, false
	}
	records := v.records[:first.place]
	elsewhere := slices.DeleteFunc(slices.Clone(v.elsewhere), func(r journal.Record) bool { return r.N >= first.n })
	c, err := fold.Beside(records, elsewhere, func(string) (*time.Location, error) { return v.c.Zone, nil })
	if err != nil {
		return Preparation{}, false
	}
	i := slices.IndexFunc(c.Orders, func(o dispensing.Order) bool { return o.ID == v.order.ID })
	if i < 0 {
		return Preparation{}, false
	}
	c.Profile = v.c.Profile
	return seen(records, elsewhere, c, dispensing.Reckon(c, first.when()), first.when(), v.instruments).of(c.Orders[i]), true
}

// whyReopened says what reopened a record.
func whyReopened(e *entry) string {
	return "the record was closed and then corrected with entry " + strconv.Itoa(e.n) + ": close it again"
}
