package accounts

import (
	"cmp"
	"crypto/subtle"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/web/kit"
	"vialwright/web/view"
)

func signInPage(q *request) error {
	if err := q.CatchUp(); err != nil {
		return err
	}
	if q.NeedsSetup() {
		return q.See("/first")
	}
	return q.signIn(http.StatusOK, nil)
}

func (q *request) signIn(status int, err error) error {
	next := kit.Local(q.R.FormValue("next"))
	id := q.R.PostFormValue("id")
	if id == "" && q.Session.Person != "" && q.R.FormValue("other") == "" {
		id = q.Session.Person
	}
	f := kit.PlainForm("sign-in", "Sign in", "/sign-in", "Sign in",
		view.Field{Kind: "id", Name: "id", Label: "Your id", Value: id, Required: true, Focus: id == "", Auto: "username"},
		view.Field{Kind: "password", Name: "password", Label: "Password", Required: true, Focus: id != "", Auto: "current-password"},
		view.Field{Kind: "hidden", Name: "next", Value: next})
	p := SignIn{Page: q.Page("Sign in"), Form: kit.WithError(f, err)}
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
	switch {
	case status == http.StatusUnauthorized: // a page that is still open asks
		p.Locked = "You are signed out on this page."
		p.Kept = view.Notice{Kind: "warn", Word: "Not kept", Text: "What is typed here now is not kept by the program.", Hint: "It stays in this tab until somebody else signs in here, and stands in its form again once the person who typed it does."}
	case next != "/":
		p.Kept = kept("the person who typed it")
	}
	return q.Show(status, pages, p)
}

func signInDo(q *request) error {
	if err := q.CatchUp(); err != nil {
		return err
	}
	id, at := q.Spelt(q.R.PostFormValue("id")), q.Recognised()
	account, err := q.Kept.SignIn(q.R.Context(), id, q.R.PostFormValue("password"), at)
	if e, refused := errors.AsType[*people.Error](q.Failed("sign-in refused", id, err)); refused {
		status := http.StatusForbidden
		if e.Code == people.CodeWait {
			status = http.StatusTooManyRequests
		}
		return q.signIn(status, err)
	}
	if err != nil {
		return q.unbound(err)
	}
	if err := q.TakeOver(account); err != nil {
		return err
	}
	if account.First {
		return q.See("/me")
	}
	return q.See(kit.Local(q.R.PostFormValue("next")))
}

// unbound shows at the sign-in what is kept of an account and cannot be used.
func (q *request) unbound(err error) error {
	if e, ok := errors.AsType[*secret.Error](err); ok && e.Code == secret.CodeUnbound {
		return q.signIn(http.StatusForbidden, &people.Error{Code: e.Code, Msg: e.Msg, Hint: e.Hint})
	}
	return err
}

// kept says that what was typed is kept for somebody.
func kept(whom string) view.Notice {
	return view.Notice{Kind: "note", Word: "Kept", Text: "Whatever was typed and not recorded is kept for " + whom + "."}
}

func pinPage(q *request) error { return q.pinForm(http.StatusOK, nil) }

// pinForm is the page of a session that waits for its PIN: it says that it is
// locked and whose it is, and lets that person, or somebody else, in.
func (q *request) pinForm(status int, err error) error {
	next := kit.Local(q.R.FormValue("next"))
	f := kit.PlainForm("pin", "Unlock this page", "/pin", "Unlock",
		view.Field{Kind: "pin", Name: "pin", Label: "PIN of " + q.Who.Name, Required: true, Focus: true},
		view.Field{Kind: "hidden", Name: "next", Value: next})
	p := SignIn{
		Page: q.Page("Locked"), Form: kit.WithError(f, err),
		Locked: "This page is locked. It belongs to " + q.Who.Name + " (" + q.Who.ID + ").",
		Kept:   kept(q.Who.Name),
		Other:  view.Link{Text: "Another person", Href: "/change?next=" + url.QueryEscape(next)},
	}
	return q.Show(status, pages, p)
}

func pinDo(q *request) error {
	err := q.Unlock(q.R.PostFormValue("pin"))
	if e, ok := errors.AsType[*people.Error](err); ok {
		if e.Code == people.CodeLocked {
			return q.See("/sign-in?next=" + url.QueryEscape(kit.Local(q.R.PostFormValue("next"))))
		}
		return q.pinForm(http.StatusForbidden, err)
	}
	if err != nil {
		return err
	}
	return q.See(kit.Local(q.R.PostFormValue("next")))
}

func firstPage(q *request) error { return q.first(http.StatusOK, nil, nil) }

// first is the page that makes the first account, with what is wrong with its fields
// beside them and any other refusal above. Once there is an account it leads to the
// sign-in.
func (q *request) first(status int, wrong kit.Faults, err error) error {
	if !q.NeedsSetup() {
		return q.See("/sign-in")
	}
	v := q.R.PostFormValue
	fields := []view.Field{
		{Kind: "id", Name: "id", Label: "Id, such as AD1", Value: v("id"), Required: true, Focus: true, Auto: "username"},
		{Kind: "text", Name: "name", Label: "Name as printed beside a signature", Value: v("name"), Required: true},
		{Kind: "password", Name: "password", Label: "Password, 15 characters or more", Required: true, Auto: "new-password", Hint: "Use four unrelated words."},
		{Kind: "pin", Name: "pin", Label: "PIN, 4 to 8 digits", Required: true, Hint: "It confirms that you are still there, and signs."},
	}
	if q.Setup != "" {
		fields = append([]view.Field{{Kind: "text", Name: "setup", Label: "Setup code, from where the program was started", Value: v("setup"), Required: true}}, fields...)
		fields[1].Focus, fields[0].Focus = false, true
	}
	wrong.Beside(fields)
	if i := slices.IndexFunc(fields, func(f view.Field) bool { return f.Error != "" }); i >= 0 {
		for n := range fields {
			fields[n].Focus = n == i
		}
	}
	f := kit.PlainForm("first", "The first account is an administrator's", "/first", "Begin", fields...)
	return q.Show(status, pages, SignIn{Page: q.Page("Begin"), Form: kit.WithError(f, err)})
}

// setupCode is a setup code without what the hand adds that types it: blanks and capitals.
func setupCode(typed string) string {
	return strings.ToLower(strings.Join(strings.Fields(typed), ""))
}

// firstFaults are what is wrong with the fields of a first account, all at once; code is
// what is wrong with the setup code, nil for nothing.
func firstFaults(who people.Person, password, pin string, code error) kit.Faults {
	wrong := kit.Faults{}
	for field, err := range map[string]error{
		"setup":    code,
		"id":       people.Person{ID: who.ID, Name: "A. Name", Roles: who.Roles}.Check(),
		"name":     people.Person{ID: "ID", Name: who.Name, Roles: who.Roles}.Check(),
		"password": people.CheckPassword(password, who.ID, who.Name),
		"pin":      people.CheckPIN(pin, who.ID, who.Name),
	} {
		if e, refused := errors.AsType[*people.Error](err); refused {
			wrong[field] = kit.Fault{Text: e.Msg, Way: e.Hint}
		}
	}
	return wrong
}

func firstDo(q *request) error {
	v, at := q.R.PostFormValue, q.Recognised()
	if err := q.Kept.Held(at); err != nil {
		return q.first(http.StatusTooManyRequests, nil, err)
	}
	who := people.Person{ID: v("id"), Name: v("name"), Roles: []people.Role{people.Administrator}, Active: true}
	var code error
	status := http.StatusUnprocessableEntity
	if subtle.ConstantTimeCompare([]byte(setupCode(v("setup"))), []byte(setupCode(q.Setup))) != 1 {
		q.Kept.Failed(at)
		code = q.Failed("setup refused", v("id"), &people.Error{Code: accounts.CodeWrong, Msg: "the setup code is not right", Hint: "it is printed where the program was started"})
		status = http.StatusForbidden
	}
	if wrong := firstFaults(who, v("password"), v("pin"), code); code != nil || len(wrong) > 0 {
		return q.first(status, wrong, nil)
	}
	err := people.MayAdd(who.ID, "", q.Roster(), who)
	if err == nil {
		err = q.Kept.Begin(q.R.Context(), who, v("password"), v("pin"), func() error {
			entry := fact.PersonFact(who, q.WallTime())
			_, err := q.RecordPeople(who.ID, func(d *people.Directory) error {
				return d.May(people.Change{By: who.ID, Person: who})
			}, nil, entry)
			return err
		})
	}
	if err != nil {
		return again(err, func(err error) error { return q.first(http.StatusUnprocessableEntity, nil, err) })
	}
	account, _, err := q.Account(who.ID)
	if err != nil {
		return err
	}
	if err := q.OpenSession(account); err != nil {
		return err
	}
	return q.See("/start")
}

func signOutDo(q *request) error {
	if q.Session.Person != "" {
		if err := q.EndSession(); err != nil {
			return err
		}
	}
	if back, err := q.GoBack(true); back || err != nil {
		return cmp.Or(err, q.See("/pin"))
	}
	q.SetCookie(q.Cookie(), "", -1)
	return q.See("/sign-in")
}
