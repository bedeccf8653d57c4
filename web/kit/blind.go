package kit

import (
	"slices"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
)

// withheldFrom is what the person is not shown of a state, worked out once.
func (q *Request) withheldFrom(st *State) *procedure.Withheld {
	if q.withheldOf != st {
		var w procedure.Withheld
		if people.May(q.Who.Person, people.SecondCheck) == nil {
			w = procedure.Withhold(q.Who.Person, st.Preparations(), st.File.Records)
		}
		q.withheldOf, q.withheld = st, &w
	}
	return q.withheld
}

// GivesAway are the orders that the person may still check and whose dose follows from
// the figures of an order or a container: its own, and those of others of its set. An
// order that nothing was drawn for is of the set of the vial it would be drawn from.
func (q *Request) GivesAway(st *State, id string) []string {
	w := q.withheldFrom(st)
	if !w.Any() {
		return nil
	}
	out := w.By(id)
	if i := st.Order(id); i >= 0 && i < len(st.Result.Orders) {
		if plan := st.Result.Orders[i].Plan; plan != nil && st.Preparation(id).Container == "" {
			out = append(out, w.By(plan.From)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// CheckFirst are the orders that the person has to check, or to give up checking,
// before they are given the reading before the draw for an order.
func (q *Request) CheckFirst(st *State, order string) []string {
	return q.withheldFrom(st).BeforeDraw(order)
}

// Blind tells that no page shows the person figures of an order: they may still do the
// second check of it, or of another whose dose follows from them.
func (q *Request) Blind(st *State, order string) bool { return len(q.GivesAway(st, order)) > 0 }

// HidesCheck tells of a record that it is a second check whose figures the person is
// not shown: while it does not confirm the record, by who prepared the dose, unless
// they made it or decide between the two. Where nothing can be reckoned st is nil, and
// only who made it is shown them.
func (q *Request) HidesCheck(st *State, r journal.Record) bool {
	x, ok := r.Fact.(*fact.SecondCheck)
	if !ok || r.By == q.Who.ID {
		return false
	}
	return st == nil || st.Order(x.For) >= 0 && !st.Preparation(x.For).ShowsChecks(q.Who.Person)
}

// Shown is the fact of a record as the person is shown it: a second check that they are
// not shown has no amounts.
func (q *Request) Shown(st *State, r journal.Record) fact.Fact {
	if !q.HidesCheck(st, r) {
		return r.Fact
	}
	x, _ := r.Fact.(*fact.SecondCheck)
	return &fact.SecondCheck{For: x.For, Of: x.Of, Meter: x.Meter, At: x.At, Shared: x.Shared}
}

// HidesChecks tells that a state has a second check that the person is not shown.
func (q *Request) HidesChecks(st *State) bool {
	return slices.ContainsFunc(st.File.Records, func(r journal.Record) bool { return q.HidesCheck(st, r) })
}

// BlindAnywhere tells it of one of the orders that a page is made from.
func (q *Request) BlindAnywhere(st *State) bool { return st.Blind(q.Who.Person) }

// WithheldWord stands where something is private to another person.
const WithheldWord = "withheld"

// Withholds tells of what is private to another person, where the person of the request
// does not have to act on it. A correction is withheld with what it corrects.
func (q *Request) Withholds(f fact.Fact) bool {
	if c, ok := f.(*fact.Correct); ok && c.With == nil {
		e, _ := q.Lab.FileOf(c.Entry).Entry(c.Entry)
		f = e.First
	}
	return fact.Private(f) && q.WithholdsOf(fact.PersonOf(f))
}

// WithholdsOf tells that what is private to a person is withheld from who looks: neither the
// person nor one who has to act on it.
func (q *Request) WithholdsOf(who string) bool {
	return who != q.Who.ID && people.May(q.Who.Person, people.SeePrivate) != nil
}
