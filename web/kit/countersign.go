package kit

import (
	"errors"
	"net/url"

	"vialwright/accounts"
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

// signer is another person who signs a form, with the PIN in a control of it.
type signer struct {
	accounts.Account
	control string
}

// countersigned writes into the facts who signs beside the person, and adds them to others,
// where the form asks for it or their PIN is typed. It refuses the person who signs already,
// and what [Request.other] refuses.
func (q *Request) countersigned(e *Form, facts []fact.Fact, typed url.Values, others *[]signer) error {
	s := e.Second
	if s == nil || typed.Get(SecondPIN) == "" && !s.Must {
		return nil
	}
	id := typed.Get(s.Who)
	if id == q.Who.ID {
		return Faults{s.Who: {"that is you, and you sign already", "give the id of the other person"}}
	}
	other, err := q.other(id, s.Who, "give the id that the person signs in with", func(p people.Person) error { return people.May(p, s.Act) })
	if err != nil {
		return err
	}
	s.Mark(facts, other.ID)
	*others = append(*others, signer{other, SecondPIN})
	return nil
}

// other is the account of another person who signs. It refuses as faults at the control who
// an account that is not there, with the way out of it, or that may not.
func (q *Request) other(id, who, way string, may func(people.Person) error) (accounts.Account, error) {
	other, found, err := q.Account(id)
	switch {
	case err != nil:
		return other, err
	case !found:
		return other, Faults{who: {"there is no account " + id, way}}
	}
	err = may(other.Person)
	if e, ok := errors.AsType[*people.Error](err); ok {
		return other, Faults{who: {e.Msg, e.Hint}}
	}
	return other, err
}

// signing compares the PINs of others who sign a form, and refuses what [Request.pinOf]
// does; nil where nobody else signs.
func (q *Request) signing(others []signer, typed url.Values) func() error {
	if len(others) == 0 {
		return nil
	}
	return func() error {
		for _, o := range others {
			if err := q.pinOf(o.Account, typed.Get(o.control), o.control); err != nil {
				return err
			}
		}
		return nil
	}
}
