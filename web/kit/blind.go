package kit

import (
	"slices"

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
