package preparation

import (
	"vialwright/procedure"
	"vialwright/web/kit"
)

// What the tests of the room ask that no page shows.

func in_(q *kit.Request) *request { return &request{q, &Room{}} }

// BackTo is where the touch of a bench leads back to.
func BackTo(q *kit.Request, st *kit.State, order, from string) string {
	b, _ := in_(q).bench(st, order)
	return b.back(from)
}

// StepForm is the form of a step on the bench of an order, StateWord what the state of
// a step is called there.
func StepForm(q *kit.Request, st *kit.State, order string, key procedure.Key) *kit.Form {
	b, _ := in_(q).bench(st, order)
	return b.Step(key)
}

func StateWord(s procedure.State) string { return stateWords[s] }
