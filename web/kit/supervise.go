package kit

import (
	"errors"
	"net/url"
	"slices"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Lapse is a training that has run out.
type Lapse struct {
	In    string
	Until time.Time
}

// Training is what a room knows of who is trained.
type Training interface {
	// Lapsed is a training of a person that had run out at a time; false for none.
	Lapsed(who string, at time.Time) (Lapse, bool)
	// Needs tells of an entry that a person with a lapsed training makes it beside a
	// supervisor only.
	Needs(by string, f fact.Fact) bool
}

// The controls of the signature of a supervisor. The PIN is never kept.
const (
	supervisor    = "supervisor"
	SupervisorPIN = "supervisor-pin"
)

// lapsed is the training of the person that has run out, where one of some facts needs it.
func (q *Request) lapsed(facts ...fact.Fact) (Lapse, bool) {
	if q.Training == nil || !slices.ContainsFunc(facts, func(f fact.Fact) bool { return q.Training.Needs(q.Who.ID, f) }) {
		return Lapse{}, false
	}
	return q.Training.Lapsed(q.Who.ID, q.Now)
}

// asked are blank facts of the kinds that a form enters.
func (e *Form) asked() (out []fact.Fact) {
	for _, p := range e.Parts {
		if f := fact.Blank(p.Kind); f != nil {
			out = append(out, f)
		} else {
			out = append(out, &fact.Policy{}) // a setting
		}
	}
	return out
}

// supervise asks on a form for a supervisor, where the training of the person has lapsed:
// for what the form enters, or once it was refused for what was typed.
func (q *Request) supervise(e *Form, f *view.Form, typed url.Values, wrong Faults) {
	lapse, ok := q.lapsed(e.asked()...)
	_, nobody := wrong[supervisor]
	if _, unsigned := wrong[SupervisorPIN]; (nobody || unsigned) && !ok {
		lapse, ok = q.Training.Lapsed(q.Who.ID, q.Now)
	}
	if !ok {
		return
	}
	f.Notices = append(f.Notices, view.Notice{
		Kind: "warn", Word: "Training lapsed", Text: "Your training in " + lapse.In + " held until " + words.Zoned{Location: q.Location()}.Wall(lapse.Until, q.Now) + ".",
		Hint: "A supervisor stands by and signs. They do no second check of this dose.",
	})
	who := view.Field{Kind: "choice", Name: supervisor, ID: e.ID + "-" + supervisor, Label: "Supervisor", Small: true, Required: true}
	for _, p := range q.Roster() {
		if q.maySupervise(p) == nil {
			who.Choices = append(who.Choices, view.Choice{Value: p.ID, Text: p.Name, Picked: typed.Get(supervisor) == p.ID})
		}
	}
	pin := view.Field{Kind: "pin", Name: SupervisorPIN, ID: e.ID + "-" + SupervisorPIN, Label: "PIN of the supervisor", Hint: "It says: " + people.Supervise.Meaning() + ".", Small: true, Required: true}
	wrong.put(&who)
	wrong.put(&pin)
	f.Fields = append(f.Fields, who, pin)
}

// maySupervise refuses who may not supervise the person now: themselves, by their roles, or
// because their own training has lapsed.
func (q *Request) maySupervise(p people.Person) error {
	if p.ID == q.Who.ID {
		return &people.Error{Code: people.CodeOwnWork, Msg: "that is you", Hint: "another person supervises"}
	}
	if err := people.May(p, people.Supervise); err != nil {
		return err
	}
	if lapse, lapsed := q.Training.Lapsed(p.ID, q.Now); lapsed {
		return &people.Error{Code: people.CodeNotPermitted, Msg: "the training of " + p.Name + " in " + lapse.In + " has lapsed too", Hint: "choose a person whose training holds"}
	}
	return nil
}

// supervised adds a supervisor to the others who sign, where the training of the person has
// lapsed for one of the facts, and gives the mark of it, still without the numbers of the
// entries; nil where none is needed. It refuses as faults: nobody chosen; an account that is
// not there, or who may not supervise.
func (q *Request) supervised(facts []fact.Fact, typed url.Values, others *[]signer) (*fact.Supervised, error) {
	lapse, ok := q.lapsed(facts...)
	if !ok {
		return nil, nil
	}
	id := strings.TrimSpace(typed.Get(supervisor))
	if id == "" {
		return nil, Faults{supervisor: {"your training in " + lapse.In + " has lapsed, and nobody supervises", "choose who stands by; they type their own PIN"}}
	}
	other, err := q.other(id, supervisor, "choose one of the list", q.maySupervise)
	*others = append(*others, signer{other, SupervisorPIN})
	return &fact.Supervised{In: lapse.In, By: id}, err
}

// pinOf compares the PIN of another person that was typed in a control. It refuses as
// faults: none typed; a person without one; too many tries of this person for others; what
// the lock-out of the other person refuses, or a wrong PIN, which counts as a failure of theirs.
func (q *Request) pinOf(other accounts.Account, digits, control string) error {
	switch {
	case digits == "":
		return Faults{control: {"it is empty", "the other person types their own PIN"}}
	case !other.HasPIN:
		return Faults{control: {other.ID + " has no PIN yet", "they choose one in a session of their own"}}
	}
	err := q.BesideMe(other, digits)
	if e, ok := errors.AsType[*people.Error](err); ok {
		way := e.Hint
		if e.Code == people.CodeLocked {
			way = other.ID + " signs in with the password once, in a session of their own; what was typed here is kept"
		}
		return Faults{control: {"the PIN of " + other.ID + ": " + e.Msg, way}}
	}
	return err
}

// besides asks whether a supervisor may stand by at what is recorded, with the case as it is.
func (q *Request) besides(now *State, by string, facts []fact.Fact) error {
	p, _ := q.Person(by)
	for _, f := range facts {
		var prep procedure.Preparation
		if x, ok := f.(*fact.SecondCheck); ok && now.Order(x.For) >= 0 {
			prep = now.Preparation(x.For)
		}
		if e, ok := errors.AsType[*people.Error](procedure.MaySupervise(p, f, prep)); ok {
			return Faults{supervisor: {e.Msg, e.Hint}}
		}
	}
	return nil
}
