package accounts

import (
	"errors"
	"net/http"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func mePage(q *request) error { return q.me(http.StatusOK, nil, nil) }

// me is the page on which a person changes the own password and PIN.
func (q *request) me(status int, password, pin error) error {
	old := view.Field{Kind: "password", Name: "old", Label: "Your password now", Required: true, Auto: "current-password"}
	word := kit.PlainForm("password", "Choose a password", "/me/password", "Change password", old,
		view.Field{Kind: "password", Name: "password", Label: "New password, 15 characters or more", Required: true, Auto: "new-password", Hint: "Use four unrelated words."})
	word.Fields[0].Focus = true
	digits := kit.PlainForm("pin", "Choose a PIN", "/me/pin", "Change PIN", old,
		view.Field{Kind: "pin", Name: "pin", Label: "New PIN, 4 to 8 digits", Required: true})
	p := view.FormPage{Page: q.Page(q.Who.Name), Heading: q.Who.Name, Facts: []view.Pair{{Name: "Id", Value: q.Who.ID}, {Name: "Roles", Value: words.Titles(q.Who.Roles)}}}
	if q.Who.First {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "First", Text: "Somebody else gave you this password.", Hint: "Choose one that only you know; then the board opens."})
	}
	if q.Who.PIN == "" {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Note", Text: "You have no PIN: until you choose one, your password signs."})
	}
	p.Links = []view.Link{{Text: "Sound and keys of this screen", Href: "/screen"}}
	p.Forms = []view.Form{kit.WithError(word, password), kit.WithError(digits, pin)}
	return q.show(status, p)
}

func passwordDo(q *request) error {
	err := q.newSecret(func(a *kit.Account) error {
		password := q.R.PostFormValue("password")
		if err := people.CheckPassword(password, a.ID, a.Name); err != nil {
			return err
		}
		if password == q.R.PostFormValue("old") {
			return &people.Error{Code: people.CodeRepeats, Msg: "it is the same as before", Hint: "choose another"}
		}
		hash, err := q.Passwords.Hash(q.R.Context(), password)
		a.Password, a.First = hash, false
		return err
	})
	if _, ok := errors.AsType[*people.Error](err); ok {
		return q.me(http.StatusUnprocessableEntity, err, nil)
	}
	if err != nil {
		return err
	}
	// Whoever knew the old password is out, this browser too.
	if err := q.EndSessions(q.Who.ID); err != nil {
		return err
	}
	if err := q.OpenSession(q.Who.ID); err != nil {
		return err
	}
	q.Say(kit.SaidDone, "Your password is changed.")
	return q.See("/me")
}

func pinSetDo(q *request) error {
	err := q.newSecret(func(a *kit.Account) error {
		pin := q.R.PostFormValue("pin")
		if err := people.CheckPIN(pin, a.ID, a.Name); err != nil {
			return err
		}
		hash, err := q.PINs.Hash(q.R.Context(), pin)
		a.PIN, a.PINTries = hash, people.Tries{}
		return err
	})
	if _, ok := errors.AsType[*people.Error](err); ok {
		return q.me(http.StatusUnprocessableEntity, nil, err)
	}
	if err != nil {
		return err
	}
	q.Say(kit.SaidDone, "Your PIN is changed.")
	return q.See("/me")
}

// newSecret confirms the password and keeps what change makes of the account.
// Hashing takes long, so it is done outside the vault's turn.
func (q *request) newSecret(change func(*kit.Account) error) error {
	if err := q.Confirm(q.Who.ID, q.R.PostFormValue("old"), q.PasswordSecret()); err != nil {
		return err
	}
	a, _, err := q.Account(q.Who.ID)
	if err != nil {
		return err
	}
	if err := change(&a); err != nil {
		return err
	}
	return q.ChangeAccount(a.ID, func(kept *kit.Account) error {
		kept.Password, kept.PIN, kept.PINTries, kept.First = a.Password, a.PIN, a.PINTries, a.First
		return nil
	})
}
