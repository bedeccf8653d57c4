package kit

import (
	"context"
	"errors"
	"math"
	"net/http"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
)

// Person is an account as the journal has it; false where it has none.
func (s *Server) Person(id string) (p people.Person, known bool) {
	s.Lab.People(func(d *people.Directory) { p, known = d.Of(id) })
	return p, known
}

// Roster are all accounts, as the journal has them.
func (s *Server) Roster() (all []people.Person) {
	s.Lab.People(func(d *people.Directory) { all = d.All() })
	return all
}

// NeedsSetup tells that the site has no account yet, so that the first one is made
// with the setup code.
func (s *Server) NeedsSetup() bool { return len(s.Roster()) == 0 }

// Enrol makes accounts that share one password and one PIN, the first of them an
// administrator's, by whom all are entered. It is how a practice laboratory begins,
// and refuses a site that has accounts already.
func (s *Server) Enrol(ctx context.Context, who []people.Person, password, pin string) error {
	if !s.NeedsSetup() {
		return errors.New("web: there are accounts already")
	}
	at := s.Clock().In(s.Location()).Truncate(time.Second)
	err := s.Lab.Append(ctx, replica.Entry{Site: true, Class: fact.Observation, Decide: func(_ *File, next int) ([]journal.Record, error) {
		facts := make([]fact.Fact, len(who))
		for i, p := range who {
			facts[i] = fact.PersonFact(p, at)
		}
		return journal.Entered(facts, at, who[0].ID, next), nil
	}})
	for _, p := range who {
		if err == nil {
			err = s.Kept.Enrol(ctx, p.ID, password, pin)
		}
	}
	return err
}

// Account is a person with what opens their account.
func (q *Request) Account(id string) (accounts.Account, bool, error) {
	return q.Kept.Account(q.R.Context(), id)
}

// NameOf is the name behind an id now, or the id where there is no account.
func (s *Server) NameOf(id string) string { return s.NameAt(id, math.MaxInt) }

// NameAt is the name behind an id as it was when an entry was recorded: what stands
// under a signature does not change with the account.
func (s *Server) NameAt(id string, entry int) string {
	name := ""
	s.Lab.People(func(d *people.Directory) { name = d.NameAt(id, entry) })
	if name == "" {
		return id
	}
	return name + " (" + id + ")"
}

// From is where the request comes from, for the gate of secrets.
func (q *Request) From() accounts.Place {
	p := accounts.Place{Remote: q.R.RemoteAddr}
	if c, err := q.R.Cookie(q.browserCookie()); err == nil {
		if token, err := people.ParseToken(c.Value); err == nil {
			p.Browser = token.Hash()
		}
	}
	return p
}

// Within is the place of an own PIN or password that signs in the session.
func (q *Request) Within() accounts.Place {
	p := q.From()
	p.Session = q.Session.TokenHash
	return p
}

// browserCookie is the name of the cookie by which a browser is known again. It says
// nothing of anybody, and opens nothing.
func (s *Server) browserCookie() string { return s.Cookie() + "-browser" }

// Recognised gives the browser a token to be known by, where it has none.
func (q *Request) Recognised() accounts.Place {
	p := q.From()
	if p.Browser != [32]byte{} {
		return p
	}
	token := q.NewToken()
	p.Browser = token.Hash()
	q.SetCookie(q.browserCookie(), token.Text(), int(accounts.BrowserFor.Seconds()))
	return p
}

// NewToken is a token that nobody can guess.
func (q *Request) NewToken() people.Token {
	var bits [32]byte
	q.FillRandom(bits[:])
	return people.NewToken(bits)
}

// SetCookie sets a cookie that no script reads and that no other site sends, over TLS
// alone where the page came so; age is in seconds, below 0 to take it away.
func (q *Request) SetCookie(name, value string, age int) {
	http.SetCookie(q.W, &http.Cookie{Name: name, Value: value, Path: "/", MaxAge: age, HttpOnly: true, Secure: !q.PlainHTTP, SameSite: http.SameSiteStrictMode})
}

// Failed writes a try that was refused into the log, with its id where that is formed
// like one, since people type their passwords there too. It gives the refusal again.
func (q *Request) Failed(what, id string, err error) error {
	e, refused := errors.AsType[*people.Error](err)
	if !refused {
		return err
	}
	if (people.Person{ID: id, Name: "--", Roles: []people.Role{people.Observer}}).Check() != nil {
		id = "not formed like an id"
	}
	q.Logger.Warn(what, "id", id, "address", q.R.RemoteAddr, "code", e.Code)
	return err
}

// Sign asks for the signature of the person: the PIN, or the password of one who has
// none.
func (q *Request) Sign(typed string) error {
	return q.Failed("signature refused", q.Who.ID, q.Kept.Sign(q.R.Context(), q.Who, typed, q.Within()))
}

// RecordPeople records entries of accounts, once for a form; by is who makes them.
// Whether they may be made is asked in their turn, and sign before they are recorded. sent
// is true where the same form was recorded before.
func (q *Request) RecordPeople(by string, may func(*people.Directory) error, sign func() error, facts ...fact.Fact) (sent bool, err error) {
	entry := replica.Entry{Site: true, Class: fact.Observation, By: by, Decide: func(_ *File, next int) ([]journal.Record, error) {
		var err error
		q.Lab.People(func(d *people.Directory) { err = may(d) })
		return journal.Entered(facts, q.Now.Truncate(time.Millisecond), by, next), err
	}}
	if nonce := q.R.PostFormValue("nonce"); nonce != "" {
		entry.Form = mark(q.R.URL.Path, nonce, bare(q.R.PostForm).Encode())
	}
	err = q.appendSigned(entry, sign)
	_, sent = errors.AsType[*replica.SentError](err)
	if err = sentOther(err, "/people"); err == nil {
		q.goBackAfterEntry()
	}
	return sent && err == nil, err
}

// WallTime is now in the zone of the site, to the second, as an entry says it.
func (q *Request) WallTime() time.Time { return q.Now.In(q.Location()).Truncate(time.Second) }

// Spelt is an id that was typed, in the letter case of its account.
func (q *Request) Spelt(typed string) (id string) {
	q.Lab.People(func(d *people.Directory) { id = d.Spelt(strings.TrimSpace(typed)) })
	return id
}

// Agrees is who is to sign beside the person of the request for rights that need two, by
// the controls with and pin2; nobody where neither is filled in.
func (q *Request) Agrees() (accounts.Account, error) {
	with := q.Spelt(q.R.PostFormValue("with"))
	if with == "" && q.R.PostFormValue(SecondPIN) == "" {
		return accounts.Account{}, nil
	}
	other, known, err := q.Account(with)
	switch {
	case err != nil:
		return other, err
	case !known:
		return other, &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no account " + with, Hint: "give the id of the person who signs beside you"}
	case with == q.Who.ID:
		return other, &people.Error{Code: people.CodeOwnRights, Msg: "that is you, and you sign already", Hint: "give the id of the other person"}
	}
	return other, people.May(other.Person, people.AgreeRights)
}

// BesideMe compares the PIN of another that was typed on a form of this person.
func (q *Request) BesideMe(other accounts.Account, digits string) error {
	at := accounts.Place{Remote: q.R.RemoteAddr, Beside: q.Who.ID}
	if err := q.Kept.Held(at); err != nil {
		return err
	}
	err := q.Kept.Confirm(q.R.Context(), other.ID, digits, accounts.PIN, at)
	if e, ok := errors.AsType[*people.Error](err); ok && e.Code == accounts.CodeWrong {
		q.Kept.Failed(at)
	}
	return q.Failed("signature of another refused", other.ID, err)
}

// Answers tells that what opens the accounts can be asked.
func (q *Request) Answers(ctx context.Context) error {
	_, err := accounts.Known(ctx, q.Vault, q.machine())
	return err
}
