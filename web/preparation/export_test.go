package preparation

import (
	"vialwright/fact"
	"vialwright/paper"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// What the tests of the room ask that no page shows.

func in_(q *kit.Request) *request { return &request{q, &Room{}} }

// PaperRecord is the record of a case as it is printed.
func PaperRecord(q *kit.Request, st *kit.State) paper.Record { return in_(q).paperRecord(st) }

// BackTo is where the touch of a bench leads back to.
func BackTo(q *kit.Request, st *kit.State, order, from string) string {
	b, _ := in_(q).bench(st, order)
	return b.back(from)
}

// Full is a fact in one line with all its figures.
func Full(f fact.Fact) string { return full(f, words.Zoned{}) }

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
