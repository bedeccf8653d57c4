package preparation

import (
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
)

// What the tests of the room ask that no page shows.

// benchOf is the bench of an order, in a room that keeps nothing.
func benchOf(q *kit.Request, st *kit.State, order string) *bench {
	o, _ := books.BenchOf(q, st, order)
	return &bench{(&Room{}).Of(o)}
}

// BackTo is where the touch of a bench leads back to.
func BackTo(q *kit.Request, st *kit.State, order, from string) string {
	return benchOf(q, st, order).back(from)
}

// StepForm is the form of a step on the bench of an order, StateWord what the state of
// a step is called there.
func StepForm(q *kit.Request, st *kit.State, order string, key procedure.Key) *kit.Form {
	return benchOf(q, st, order).Step(key)
}

func StateWord(s procedure.State) string { return stateWords[s] }
