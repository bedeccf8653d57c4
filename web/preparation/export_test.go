package preparation

import (
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
)

// What the tests of the room ask that no page shows.

func in_(q *kit.Request) *request { return &request{q, &Room{}} }

// BackTo is where the touch of a bench leads back to.
func BackTo(q *kit.Request, st *kit.State, order, from string) string {
	b, _ := in_(q).bench(st, order)
	return b.back(from)
}

// StepForm and OtherForm are forms of the bench of an order, StateWord is what the
// state of a step is called there.
func StepForm(q *kit.Request, st *kit.State, order string, key procedure.Key) *kit.Form {
	b, _ := in_(q).bench(st, order)
	return b.formOf(key)
}

func OtherForm(q *kit.Request, st *kit.State, order, word string) *kit.Form {
	b, _ := in_(q).bench(st, order)
	return b.other(word)
}

func StateWord(s procedure.State) string { return stateWords[s] }

// OwnWords are the words of the forms with which a person signs for something.
var OwnWords = []string{books.SignWord, takeOverWord, figuresWord}
