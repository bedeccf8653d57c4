package kit

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"vialwright/accounts"
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
	// What a page fetches by itself is no use: nobody need be there.
	stream := q.R.URL.Path == "/events"
	itself := stream || q.R.Header.Get("X-Live") != ""
	if state == people.Fresh {
		seen := q.Session.Seen(q.Wall, q.Limits)
		if !itself && seen.LastSeen.Sub(q.Session.LastSeen) >= q.Limits.Idle/10 {
			see := func(x people.Session) people.Session { return x.Seen(q.Wall, q.Limits) }
			if err := q.changeSession(q.token, see); err != nil {
				return err
			}
		}
		if q.Who.First && q.route.Act != people.ChangeSecret && q.route.Path != "/sign-out" {
			return q.See("/me")
		}
		return nil
	}
	switch {
	case q.unknown != nil:
		return q.unknown // the store did not say who it is; to sign in again would help nobody
	case stream:
		return &Refusal{http.StatusUnauthorized, "Signed out", "nobody is signed in", "sign in", "/sign-in"}
	case itself, q.R.URL.Path == keeping && q.Who.ID == "":
		return cmp.Or(q.Locked(q, state), error(replied{}))
	case q.R.URL.Path == keeping: // the page stays, and asks for the PIN itself
		return cmp.Or(q.notTheirs(), draftDo(q), error(replied{}))
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
	q.lookUp()
	session, account, state := q.sessionOf(token)
	if account.ID != "" {
		q.Session, q.token, q.Who = session, token, account
	}
	return state
}

// sessionOf finds the session of a token, whose it is, and what it is good for; nobody
// where it is of no use any more.
func (q *Request) sessionOf(token people.Token) (people.Session, accounts.Account, people.State) {
	session, found, err := q.Kept.Session(q.R.Context(), token.Hash())
	q.unknown = err
	if err != nil || !found || session.Practice != q.Practice {
		return people.Session{}, accounts.Account{}, people.Ended
	}
	account, found, err := q.Account(session.Person)
	q.unknown = err
	if err != nil || !found || !account.Active || session.Era != account.Era {
		return people.Session{}, accounts.Account{}, people.Ended
	}
	return session, account, session.State(q.Wall, q.Limits)
}

// lookUpFor is how long a request waits to hear of rights that changed at another
// bench; a store that is silent for longer is a stop on every page.
const lookUpFor = time.Second

// lookUp reads on, so that rights that were taken away at another bench end here too.
func (q *Request) lookUp() {
	ctx, cancel := context.WithTimeout(q.R.Context(), lookUpFor)
	defer cancel()
	q.caughtUp = q.Lab.CatchUp(ctx) == nil // the page says what is wrong with the store
}

// ask leads to where the person says who they are. What was posted is kept
// for the person whose session it was.
func (q *Request) ask(state people.State) error {
	asked := q.R.URL.RequestURI()
	next := asked
	if q.R.Method == http.MethodPost {
		next = q.CameFrom()
		if q.Who.ID != "" && q.notTheirs() == nil {
			if recorded, same := q.wasRecorded(asked); recorded && same { // by the first press of two, which locked the page
				q.goBackAfterEntry()
				q.Say(SaidRecorded, "It was recorded once.")
			} else if err := q.KeepDraft(asked, q.R.PostForm, true); err != nil { // what says something else is kept
				return err
			}
		}
	}
	switch {
	case q.NeedsSetup():
		return q.See("/first")
	case state == people.NeedsPIN && q.Who.HasPIN:
		return q.See("/pin?next=" + url.QueryEscape(next))
	}
	return q.See("/sign-in?next=" + url.QueryEscape(next))
}

// OpenSession begins a session for a person, and gives the cookie.
func (q *Request) OpenSession(who accounts.Account) error {
	token := q.NewToken()
	session := people.Open(token, who.ID, q.Practice, q.Wall)
	session.Era = who.Era
	if err := q.Kept.BeginSession(q.R.Context(), session, q.Limits); err != nil {
		return err
	}
	q.keepSession(token)
	return nil
}

// changeSession changes the session of a token, as it is by now.
func (q *Request) changeSession(t people.Token, change func(people.Session) people.Session) error {
	return q.Kept.ChangeSession(q.R.Context(), t.Hash(), q.Limits, change)
}

// EndSession ends the session of the request.
func (q *Request) EndSession() error {
	q.unsay()
	return q.changeSession(q.token, people.Session.End)
}

// Unlock makes the session of the request fresh by the PIN of its person.
func (q *Request) Unlock(digits string) error {
	if err := q.checkPIN(q.Who, q.token, digits); err != nil {
		return err
	}
	return q.confirm(q.token)
}

// checkPIN compares the PIN of a person with a session at this bench. Failures count in
// that session, whosever page it is typed on, and too many of them end it.
func (q *Request) checkPIN(who accounts.Account, t people.Token, digits string) error {
	at := q.From()
	at.Session = t.Hash()
	err := q.Failed("PIN refused", who.ID, q.Kept.Confirm(q.R.Context(), who.ID, digits, accounts.PIN, at))
	if e, ok := errors.AsType[*people.Error](err); ok && e.Code == people.CodeLocked {
		return cmp.Or(q.changeSession(t, people.Session.End), err)
	}
	return err
}

// confirm makes a session fresh for this browser once its PIN was right. It has another
// token from then on: anyone who copied the one it was locked under has nothing.
func (q *Request) confirm(t people.Token) error {
	fresh := q.NewToken()
	renewed, err := q.Kept.RenewSession(q.R.Context(), t.Hash(), fresh.Hash(), q.Limits)
	if renewed {
		q.keepSession(fresh)
	}
	return err
}

// keepSession has the browser keep the token of the session that works here.
func (q *Request) keepSession(t people.Token) {
	q.SetCookie(q.Cookie(), t.Text(), int(q.Limits.Whole.Seconds()))
}
