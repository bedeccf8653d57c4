package web

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"vialwright/people"
)

func decimal(n uint64) string { return strconv.FormatUint(n, 10) }

// cookie is the name of the session's cookie. The prefix makes a browser
// refuse one that did not come over TLS from this host (RFC 6265bis, 4.1.3.2).
func (s *Server) cookie() string {
	if s.PlainHTTP {
		return "vialwright"
	}
	return "__Host-vialwright"
}

// identify finds out who makes the request. Where nobody does, or the session
// has ended or waits for its PIN, and the address needs a person, it keeps
// what was sent and leads to the page that asks.
func (q *request) identify() error {
	state := q.known()
	if q.route.Open || state == people.NeedsPIN && q.route.Signs {
		return nil
	}
	if state == people.Fresh {
		// What a page fetches by itself is no use: nobody need be there.
		itself := q.r.Header.Get("X-Live") != ""
		seen := q.session.Seen(q.wall, q.Limits)
		if !itself && seen.LastSeen.Sub(q.session.LastSeen) >= q.Limits.Idle/10 {
			if err := q.keepSession(seen); err != nil {
				return err
			}
		}
		if q.who.First && q.route.Act != people.ChangeSecret && q.route.Path != "/sign-out" {
			return q.see("/me")
		}
		return nil
	}
	if q.r.URL.Path == "/events" {
		return &refusal{http.StatusUnauthorized, "Signed out", "nobody is signed in", "sign in", "/sign-in"}
	}
	if q.r.Header.Get("X-Live") != "" {
		return q.hooks.locked(q, state)
	}
	return q.ask(state)
}

// known reads the cookie, the session and the account.
func (q *request) known() people.State {
	c, err := q.r.Cookie(q.cookie())
	if err != nil {
		return people.Ended
	}
	token, err := people.ParseToken(c.Value)
	if err != nil {
		return people.Ended
	}
	session, found, err := q.kept.session(q.r.Context(), token.Hash())
	if err != nil || !found || session.Practice != q.Practice {
		return people.Ended
	}
	account, found, err := q.account(session.Person)
	if err != nil || !found || !account.Active || session.Started.Before(account.Out) {
		return people.Ended
	}
	q.session, q.token, q.who = session, token, account
	return session.State(q.wall, q.Limits)
}

// ask leads to where the person says who they are. What was posted is kept
// for the person whose session it was.
func (q *request) ask(state people.State) error {
	next := q.r.URL.RequestURI()
	if q.r.Method == http.MethodPost {
		next = q.cameFrom()
		if q.who.ID != "" {
			if err := q.keepDraft(q.r.URL.Path, q.r.PostForm, true); err != nil {
				return err
			}
		}
	}
	accounts, err := q.accounts(q.r.Context())
	switch {
	case err != nil:
		return err
	case len(accounts) == 0:
		return q.see("/first")
	case state == people.NeedsPIN && q.who.PIN != "":
		return q.see("/pin?next=" + url.QueryEscape(next))
	}
	return q.see("/sign-in?next=" + url.QueryEscape(next))
}

// account finds an account by its id.
func (q *request) account(id string) (account, bool, error) {
	all, err := q.accounts(q.r.Context())
	if err != nil {
		return account{}, false, err
	}
	i := slices.IndexFunc(all, func(a account) bool { return a.ID == id })
	if i < 0 {
		return account{}, false, nil
	}
	return all[i], true, nil
}

// change changes one account.
func (q *request) change(id string, change func(*account) error) error {
	return q.changeAccounts(func(all []account) ([]account, error) {
		i := slices.IndexFunc(all, func(a account) bool { return a.ID == id })
		if i < 0 {
			return nil, &people.Error{Code: people.CodeUnknownPerson, Msg: "there is no such account", Hint: "sign in"}
		}
		return all, change(&all[i])
	})
}

// open begins a session for a person, and gives the cookie.
func (q *request) open(person string) error {
	var bits [32]byte
	q.random(bits[:])
	token := people.NewToken(bits)
	session := people.Open(token, person, "bench", q.Practice, q.wall)
	if err := q.keepSession(session); err != nil {
		return err
	}
	http.SetCookie(q.w, &http.Cookie{
		Name: q.cookie(), Value: token.Text(), Path: "/", HttpOnly: true, Secure: !q.PlainHTTP,
		SameSite: http.SameSiteStrictMode, MaxAge: int(q.Limits.Whole.Seconds()),
	})
	return nil
}

// endSessions ends every session of a person.
func (q *request) endSessions(id string) error {
	return q.change(id, func(a *account) error { a.Out = q.wall; return nil })
}

// accounts are all that are kept.
func (q *request) accounts(ctx context.Context) ([]account, error) { return q.kept.accounts(ctx) }

// changeAccounts changes the accounts, in their turn.
func (q *request) changeAccounts(change func([]account) ([]account, error)) error {
	return q.kept.changeAccounts(q.r.Context(), change)
}

// keepSession keeps a session as it is now.
func (q *request) keepSession(x people.Session) error {
	return q.kept.keepSession(q.r.Context(), x, q.Limits)
}

// mayTry tells whether one more secret may be tried from a place.
func (q *request) mayTry(from string) bool { return q.limits.allow(from, q.wall) }
