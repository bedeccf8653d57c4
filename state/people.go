package state

import (
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
)

// ChangeOf is what a record says of an account; false for one of another kind.
func ChangeOf(r journal.Record) (people.Change, bool) {
	p, ok := r.Fact.(*fact.Person)
	if !ok {
		return people.Change{}, false
	}
	return people.Change{N: r.N, By: r.By, Countersigned: p.Countersigned, Person: p.Of()}, true
}
