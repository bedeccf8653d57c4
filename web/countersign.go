package web

import (
	"errors"
	"net/url"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/view"
)

// second is the signature of another person on the form of the first, such as
// that of who takes a dose over. Both stand before the same screen, and each
// types their own PIN.
type second struct {
	// who is the control with the id of that person, act what they sign.
	who string
	act people.Act
	// label is that of the field, hint what is said below it.
	label, hint string
	// must: nothing is recorded without it.
	must bool
	// mark writes into the facts who countersigned.
	mark func(facts []fact.Fact, id string)
}

// secondPIN is the control of the second signature. It is never kept.
const secondPIN = "pin2"

// field is the field that takes the second signature.
func (s *second) field(id string, wrong faults) view.Field {
	f := view.Field{Kind: "pin", Name: secondPIN, ID: id + "-" + secondPIN, Label: s.label, Hint: s.hint, Required: s.must}
	if w, bad := wrong[secondPIN]; bad {
		f.Error, f.Way, f.Focus = w.text, w.way, true
	}
	return f
}

// countersign asks for the second signature of a form, and gives the id of who
// made it; empty where there is none and none is needed. It refuses as faults,
// in this order: no PIN where one is needed; the person who signs already; an
// account that is not there, or may not; one without a PIN; too many tries of
// this person for others; what the lock-out of the other person refuses, or a
// wrong PIN, which counts as a failure of theirs.
func (q *request) countersign(e *entryForm, typed url.Values) (string, error) {
	s, digits := e.second, typed.Get(secondPIN)
	if s == nil || digits == "" && !s.must {
		return "", nil
	}
	id := strings.TrimSpace(typed.Get(s.who))
	switch {
	case digits == "":
		return "", faults{secondPIN: {"it is empty", "the other person types their own PIN"}}
	case id == q.who.ID:
		return "", faults{s.who: {"that is you, and you sign already", "give the id of the other person"}}
	}
	other, found, err := q.account(id)
	switch {
	case err != nil:
		return "", err
	case !found:
		return "", faults{s.who: {"there is no account " + id, "give the id that the person signs in with"}}
	}
	if e, ok := people.May(other.Person, s.act).(*people.Error); ok {
		return "", faults{s.who: {e.Msg, e.Hint}}
	}
	switch {
	case other.PIN == "":
		return "", faults{secondPIN: {id + " has no PIN yet", "they choose one in a session of their own"}}
	case !q.mayTry("for others, " + q.who.ID):
		return "", faults{secondPIN: {"there were too many tries", "wait a minute"}}
	}
	err = q.confirm(id, digits, q.pin())
	if e, ok := errors.AsType[*people.Error](err); ok {
		way := e.Hint
		if e.Code == people.CodeLocked {
			way = id + " signs in with the password once, in a session of their own; what was typed here is kept"
		}
		return "", faults{secondPIN: {"the PIN of " + id + ": " + e.Msg, way}}
	}
	return id, err
}
