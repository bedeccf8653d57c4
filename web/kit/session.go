package kit

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"vialwright/people"
)

func decimal(n uint64) string { return strconv.FormatUint(n, 10) }

// Cookie is the name of the session's cookie. The prefix makes a browser
// refuse one that did not come over TLS from this host (RFC 6265bis, 4.1.3.2).
func (s *Server) Cookie() string {
	if s.PlainHTTP {
		return "vialwright"
	}
	return "__Host-vialwright"
}

// identify finds out who makes the request. Where nobody does, or the session
// has ended or waits for its PIN, and the address needs a person, it keeps
// what was sent and leads to the page that asks.
func (q *Request) identify() error {
	state := q.Known()
	if q.route.Open || state == people.NeedsPIN && q.route.Signs {
		return nil
	}
	if state == people.Fresh {
		// What a page fetches by itself is no use: nobody need be there.
		itself := q.R.Header.Get("X-Live") != ""
		seen := q.Session.Seen(q.Wall, q.Limits)
		if !itself && seen.LastSeen.Sub(q.Session.LastSeen) >= q.Limits.Idle/10 {
			if err := q.KeepSession(seen); err != nil {
				return err
			}
		}
		if q.Who.First && q.route.Act != people.ChangeSecret && q.route.Path != "/sign-out" {
			return q.See("/me")
		}
		return nil
	}
	if q.R.URL.Path == "/events" {
		return &Refusal{http.StatusUnauthorized, "Signed out", "nobody is signed in", "sign in", "/sign-in"}
	}
	if q.R.Header.Get("X-Live") != "" {
		return q.Locked(q, state)
	}
	return q.ask(state)
}

// Known reads the cookie, the session and the account.
func (q *Request) Known() people.State {
	c, err := q.R.Cookie(q.Cookie())
	if err != nil {
		return people.Ended
	}
	token, err := people.ParseToken(c.Value)
	if err != nil {
		return people.Ended
	}
	session, found, err := q.kept.session(q.R.Context(), token.Hash())
	if err != nil || !found || session.Practice != q.Practice {
		return people.Ended
	}
	account, found, err := q.Account(session.Person)
	if err != nil || !found || !account.Active || session.Started.Before(account.Out) {
		return people.Ended
	}
	q.Session, q.token, q.Who = session, token, account
	return session.State(q.Wall, q.Limits)
}

// ask leads to where the person says who they are. What was posted is kept
// for the person whose session it was.
func (q *Request) ask(state people.State) error {
	next := q.R.URL.RequestURI()
	if q.R.Method == http.MethodPost {
		next = q.CameFrom()
		if q.Who.ID != "" {
			if err := q.KeepDraft(q.R.URL.Path, q.R.PostForm, true); err != nil {
				return err
			}
		}
	}
	accounts, err := q.Accounts(q.R.Context())
	switch {
	case err != nil:
		return err
	case len(accounts) == 0:
		return q.See("/first")
	case state == people.NeedsPIN && q.Who.PIN != "":
		return q.See("/pin?next=" + url.QueryEscape(next))
	}
	return q.See("/sign-in?next=" + url.QueryEscape(next))
}

// Account finds an account by its id.
func (q *Request) Account(id string) (Account, bool, error) {
	all, err := q.Accounts(q.R.Context())
	if err != nil {
		return Account{}, false, err
	}
	i := slices.IndexFunc(all, func(a Account) bool { return a.ID == id })
	if i < 0 {
		return Account{}, false, nil
	}
	return all[i], true, nil
}

// ChangeAccount changes one account.
func (q *Request) ChangeAccount(id string, change func(*Account) error) error {
	return q.ChangeAccounts(func(all []Account) ([]Account, error) {
		i := slices.IndexFunc(all, func(a Account) bool { return a.ID == id })
		if i < 0 {
			return nil, &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no such account", Hint: "sign in"}
		}
		return all, change(&all[i])
	})
}

// OpenSession begins a session for a person, and gives the cookie.
func (q *Request) OpenSession(person string) error {
	var bits [32]byte
	q.FillRandom(bits[:])
	token := people.NewToken(bits)
	session := people.Open(token, person, "bench", q.Practice, q.Wall)
	if err := q.KeepSession(session); err != nil {
		return err
	}
	http.SetCookie(q.W, &http.Cookie{
		Name: q.Cookie(), Value: token.Text(), Path: "/", HttpOnly: true, Secure: !q.PlainHTTP,
		SameSite: http.SameSiteStrictMode, MaxAge: int(q.Limits.Whole.Seconds()),
	})
	return nil
}

// EndSessions ends every session of a person.
func (q *Request) EndSessions(id string) error {
	return q.ChangeAccount(id, func(a *Account) error { a.Out = q.Wall; return nil })
}

// Accounts are all that are kept.
func (q *Request) Accounts(ctx context.Context) ([]Account, error) { return q.kept.accounts(ctx) }

// ChangeAccounts changes the accounts, in their turn.
func (q *Request) ChangeAccounts(change func([]Account) ([]Account, error)) error {
	return q.kept.changeAccounts(q.R.Context(), change)
}

// KeepSession keeps a session as it is now.
func (q *Request) KeepSession(x people.Session) error {
	return q.kept.keepSession(q.R.Context(), x, q.Limits)
}

// MayTry tells whether one more secret may be tried from a place.
func (q *Request) MayTry(from string) bool { return q.limits.allow(from, q.Wall) }
