package web

import (
	"crypto/subtle"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"vialwright/people"
	"vialwright/web/view"
)

func signInPage(q *request) error {
	accounts, err := q.accounts(q.r.Context())
	if err != nil {
		return err
	}
	if len(accounts) == 0 {
		return q.see("/first")
	}
	return q.signIn(http.StatusOK, nil)
}

func (q *request) signIn(status int, err error) error {
	next := local(q.r.FormValue("next"))
	id := q.r.PostFormValue("id")
	if id == "" && q.session.Person != "" && q.r.FormValue("other") == "" {
		id = q.session.Person
	}
	f := plain("sign-in", "Who is there?", "/sign-in", "Sign in",
		view.Field{Kind: "id", Name: "id", Label: "Your id", Value: id, Required: true, Focus: id == "", Auto: "username"},
		view.Field{Kind: "password", Name: "password", Label: "Password", Required: true, Focus: id != "", Auto: "current-password"},
		view.Field{Kind: "hidden", Name: "next", Value: next})
	p := view.SignIn{Page: q.page("Sign in"), Form: withError(f, err)}
	if q.Practice && len(q.Invented.People) > 0 {
		p.Secrets = []view.Pair{{Name: "Password of each", Value: q.Invented.Password}, {Name: "PIN of each", Value: q.Invented.PIN}}
		for _, x := range q.Invented.People {
			says := x.Roles[0].Title()
			if part := q.Invented.Parts[x.ID]; part != "" {
				says += ": " + part
			}
			p.Invented = append(p.Invented, view.Pair{Name: x.ID, Value: says})
		}
	}
	if q.r.Header.Get("X-Live") != "" {
		p.Locked = "Nobody is signed in on this page any more."
	}
	if next != "/" {
		p.Kept = "What was typed is kept for the person who typed it."
	}
	return q.show(status, p)
}

func signInDo(q *request) error {
	if !q.mayTry(q.r.RemoteAddr) {
		return q.signIn(http.StatusTooManyRequests, &people.Error{Code: people.CodeWait, Msg: "there were too many tries from this machine", Hint: "try again in a minute"})
	}
	id := strings.TrimSpace(q.r.PostFormValue("id"))
	err := q.confirm(id, q.r.PostFormValue("password"), q.password())
	if _, refused := errors.AsType[*people.Error](err); refused {
		return q.signIn(http.StatusForbidden, err)
	}
	if err != nil {
		return err
	}
	account, _, err := q.account(id)
	if err != nil {
		return err
	}
	if err := people.May(account.Person, people.SignIn); err != nil {
		return q.signIn(http.StatusForbidden, err)
	}
	if q.session.Person != "" { // one session in one browser
		if err := q.keepSession(q.session.End()); err != nil {
			return err
		}
	}
	if err := q.open(id); err != nil {
		return err
	}
	if account.First {
		return q.see("/me")
	}
	return q.see(local(q.r.PostFormValue("next")))
}

func pinPage(q *request) error { return q.pinForm(http.StatusOK, nil) }

// pinForm is the page of a session that waits for its PIN: it says that it is
// locked and whose it is, and lets that person, or somebody else, in.
func (q *request) pinForm(status int, err error) error {
	next := local(q.r.FormValue("next"))
	f := plain("pin", "Unlock this page", "/pin", "Unlock",
		view.Field{Kind: "pin", Name: "pin", Label: "PIN of " + q.who.Name, Required: true, Focus: true},
		view.Field{Kind: "hidden", Name: "next", Value: next})
	p := view.SignIn{
		Page: q.page("Locked"), Form: withError(f, err),
		Locked: "This page is locked. It belongs to " + q.who.Name + " (" + q.who.ID + "), and nothing was recorded for a while.",
		Kept:   "What was typed is kept for " + q.who.Name + ".",
		Other:  view.Link{Text: "Somebody else signs in", Href: "/sign-in?other=yes&next=" + url.QueryEscape(next)},
	}
	return q.show(status, p)
}

// locked answers what a page fetched by itself after its session ended or
// locked: the page puts the answer up, and stays with what is typed in it.
func (q *request) locked(state people.State) error {
	q.r.Form = url.Values{"next": {q.r.URL.RequestURI()}}
	if state == people.NeedsPIN && q.who.PIN != "" {
		return q.pinForm(http.StatusUnauthorized, nil)
	}
	return q.signIn(http.StatusUnauthorized, nil)
}

func pinDo(q *request) error {
	err := q.confirm(q.who.ID, q.r.PostFormValue("pin"), q.pin())
	if e, ok := errors.AsType[*people.Error](err); ok {
		if e.Code == people.CodeLocked {
			if err := q.keepSession(q.session.End()); err != nil {
				return err
			}
			return q.see("/sign-in?next=" + url.QueryEscape(local(q.r.PostFormValue("next"))))
		}
		return q.pinForm(http.StatusForbidden, err)
	}
	if err != nil {
		return err
	}
	if err := q.keepSession(q.session.Confirmed(q.wall, q.Limits)); err != nil {
		return err
	}
	return q.see(local(q.r.PostFormValue("next")))
}

func firstPage(q *request) error { return q.first(http.StatusOK, nil) }

// first is the page that makes the first account. Once there is one it leads
// to the sign-in.
func (q *request) first(status int, err error) error {
	accounts, fail := q.accounts(q.r.Context())
	if fail != nil {
		return fail
	}
	if len(accounts) > 0 {
		return q.see("/sign-in")
	}
	v := q.r.PostFormValue
	fields := []view.Field{
		{Kind: "id", Name: "id", Label: "Id, such as AD1", Value: v("id"), Required: true, Focus: true, Auto: "username"},
		{Kind: "text", Name: "name", Label: "Name as printed beside a signature", Value: v("name"), Required: true},
		{Kind: "password", Name: "password", Label: "Password, 15 characters or more", Required: true, Auto: "new-password", Hint: "Four words that do not belong together do well."},
		{Kind: "pin", Name: "pin", Label: "PIN, 4 to 8 digits", Required: true, Hint: "It confirms that you are still there, and signs."},
	}
	if q.Setup != "" {
		fields = append([]view.Field{{Kind: "text", Name: "setup", Label: "Setup code, from where the program was started", Value: v("setup"), Required: true}}, fields...)
		fields[1].Focus, fields[0].Focus = false, true
	}
	f := plain("first", "The first account is an administrator's", "/first", "Begin", fields...)
	return q.show(status, view.SignIn{Page: q.page("Begin"), Form: withError(f, err)})
}

func firstDo(q *request) error {
	v := q.r.PostFormValue
	if !q.mayTry(q.r.RemoteAddr) {
		return q.first(http.StatusTooManyRequests, &people.Error{Code: people.CodeWait, Msg: "there were too many tries from this machine", Hint: "try again in a minute"})
	}
	if subtle.ConstantTimeCompare([]byte(strings.TrimSpace(v("setup"))), []byte(q.Setup)) != 1 {
		return q.first(http.StatusForbidden, wrong("the setup code is printed where the program was started"))
	}
	a := account{Person: people.Person{ID: v("id"), Name: v("name"), Roles: []people.Role{people.Administrator}, Active: true}}
	err := q.secretsFor(&a, v("password"), v("pin"))
	if err == nil {
		err = q.add("", a)
	}
	if err != nil {
		if _, ok := errors.AsType[*people.Error](err); ok {
			return q.first(http.StatusUnprocessableEntity, err)
		}
		return err
	}
	if err := q.open(a.ID); err != nil {
		return err
	}
	return q.see("/start")
}

// secretsFor checks and hashes a password and a PIN; an empty one is left
// alone.
func (q *request) secretsFor(a *account, password, pin string) error {
	if err := a.Check(); err != nil {
		return err
	}
	if err := people.CheckPassword(password, a.ID, a.Name); err != nil {
		return err
	}
	if pin != "" {
		if err := people.CheckPIN(pin, a.ID, a.Name); err != nil {
			return err
		}
	}
	hash, err := q.Passwords.Hash(q.r.Context(), password)
	if err != nil {
		return err
	}
	a.Password = hash
	if pin != "" {
		a.PIN, err = q.PINs.Hash(q.r.Context(), pin)
	}
	return err
}

// add puts an account on the roster.
func (q *request) add(by string, a account) error {
	return q.changeAccounts(func(all []account) ([]account, error) {
		if err := people.MayAdd(by, "", roster(all), a.Person); err != nil {
			return nil, err
		}
		return append(all, a), nil
	})
}

func roster(all []account) []people.Person {
	out := make([]people.Person, len(all))
	for i, a := range all {
		out[i] = a.Person
	}
	return out
}

// signOutDo ends the session.
func signOutDo(q *request) error {
	if q.session.Person != "" {
		if err := q.keepSession(q.session.End()); err != nil {
			return err
		}
	}
	http.SetCookie(q.w, &http.Cookie{Name: q.cookie(), Path: "/", MaxAge: -1, HttpOnly: true, Secure: !q.PlainHTTP, SameSite: http.SameSiteStrictMode})
	return q.see("/sign-in")
}
