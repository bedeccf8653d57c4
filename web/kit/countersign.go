package kit

import (
	"errors"
	"net/url"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/view"
)

// Second is the signature of another person on the form of the first, such as
// that of who takes a dose over. Both stand before the same screen, and each
// types their own PIN.
type Second struct {
	// Who is the control with the id of that person, act what they sign.
	Who string
	Act people.Act
	// Label is that of the field, hint what is said below it.
	Label, Hint string
	// Must: nothing is recorded without it.
	Must bool
	// Mark writes into the facts who countersigned.
	Mark func(facts []fact.Fact, id string)
}

// SecondPIN is the control of the second signature. It is never kept.
const SecondPIN = "pin2"

// field is the field that takes the second signature.
func (s *Second) field(id string, wrong Faults) view.Field {
	f := view.Field{Kind: "pin", Name: SecondPIN, ID: id + "-" + SecondPIN, Label: s.Label, Hint: s.Hint, Small: true, Required: s.Must}
	wrong.put(&f)
	return f
}

// countersign asks for the second signature of a form, and gives the id of who
// made it; empty where there is none and none is needed. It refuses as faults,
// in this order: no PIN where one is needed; the person who signs already; an
// account that is not there, or may not; one without a PIN; too many tries of
// this person for others; what the lock-out of the other person refuses, or a
// wrong PIN, which counts as a failure of theirs.
func (q *Request) countersign(e *Form, typed url.Values) (string, error) {
	s, digits := e.Second, typed.Get(SecondPIN)
	if s == nil || digits == "" && !s.Must {
		return "", nil
	}
	id := strings.TrimSpace(typed.Get(s.Who))
	switch {
	case digits == "":
		return "", Faults{SecondPIN: {"it is empty", "the other person types their own PIN"}}
	case id == q.Who.ID:
		return "", Faults{s.Who: {"that is you, and you sign already", "give the id of the other person"}}
	}
	may := func(p people.Person) error { return people.May(p, s.Act) }
	return id, q.signedBeside(id, s.Who, "give the id that the person signs in with", may, digits, SecondPIN)
}

// signedBeside asks for the signature of another person. It refuses as faults, in this order:
// an account that is not there, with the way out of it, or that may not, at the control who;
// what [Request.pinOf] refuses, at the control pin.
func (q *Request) signedBeside(id, who, way string, may func(people.Person) error, digits, pin string) error {
	other, found, err := q.Account(id)
	switch {
	case err != nil:
		return err
	case !found:
		return Faults{who: {"there is no account " + id, way}}
	}
	if err := may(other.Person); err != nil {
		if e, ok := errors.AsType[*people.Error](err); ok {
			return Faults{who: {e.Msg, e.Hint}}
		}
		return err
	}
	return q.pinOf(other, digits, pin)
}
