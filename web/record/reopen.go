package record

import (
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
)

// reopens makes the form of a correction one in a closed record: it takes who
// may close it and a second signature, and shows the old figures beside the new
// before anybody signs.
func (q *request) reopens(e *kit.Form, orders []string) {
	e.Parts[0].Inputs = slices.Insert(e.Parts[0].Inputs, 1, kit.Input{
		Name: "countersigned", Label: "Second signature: id of the other person", Kind: "id", Must: true,
		Hint: "The record is closed: the correction reopens it, and two people sign.",
	})
	e.Second = &kit.Second{
		Who: kit.Control(0, "countersigned"), Act: people.AgreeCorrection, Label: "The other person's PIN", Must: true,
		Mark: func(facts []fact.Fact, id string) {
			for _, c := range fact.Of[*fact.Correct](facts) {
				c.Countersigned = id
			}
		},
	}
	e.Ask = func(st *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
		if err := mayReopen(q.Who.Person); err != nil {
			return nil, err
		}
		if err := e.Amend(st, facts); err != nil {
			return nil, err
		}
		next := int(q.Lab.Report().Head.Seq) + 1
		after, err := q.Reckon(q.Lab.With(st.File, q.Records(facts, next)...), q.Now)
		if err != nil {
			return nil, nil // the fold says what is wrong when it is recorded
		}
		text := "The record of " + strings.Join(orders, " and ") + " is closed, and this correction reopens it."
		for _, p := range books.Beside(st, after, orders) {
			text += " " + p.Name + ": " + p.Value + "."
		}
		return &kit.Doubt{
			Control: kit.Control(0, "reason"), Text: text, Way: "Nothing is recorded before the answer.", Yes: "Yes: correct it, and reopen the record",
		}, nil
	}
}

// mayReopen refuses anyone who may not close a record.
func mayReopen(p people.Person) error {
	if err := people.May(p, people.Close); err != nil {
		return &procedure.Error{Code: procedure.CodeClosed, Msg: "the record of the order is closed", Hint: "only a person who may close a record may correct it afterwards"}
	}
	return nil
}
