package preparation

import (
	"net/http"
	"strings"

	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/kit"
	"vialwright/web/readings"
)

// takeDo takes a reading into a form without a script: it keeps it as typed
// there, with the token of its line, and leads back to the form.
func (b *bench) takeDo() error {
	q := b.Q
	word := q.R.PathValue("form")
	e, back := b.Other(word), b.Href()
	if e == nil {
		e, back = b.Step(procedure.Key(word)), b.Href()+"/step/"+word
	}
	if e == nil || e.Aid == nil || !b.Taker().Connected() {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "nothing is taken from a meter into this form", Hint: "go to the bench", Back: b.Href()}
	}
	if e.Act == people.SecondCheck {
		back = b.Href() + "/check"
	}
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	name, token, _ := strings.Cut(q.R.PostForm.Get("take"), " ")
	line, ok := b.Meters.Find(token)
	why := "the meter did not send this, or sent it too long ago"
	if ok {
		why = line.Refuses(q.Clock())
	}
	if why != "" {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "It was not taken", Text: why, Hint: "wait until the display is stable, and take it then", Back: back}
	}
	typed := q.ToFill(e.Action)
	e.Settle(typed)
	if !readings.FillIn(e, typed, name, line) {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such field", Text: "nothing is taken from a meter into this field", Hint: "go back to the form", Back: back}
	}
	if err := q.KeepDraft(e.Action, typed, false); err != nil {
		return err
	}
	return q.See(back)
}
