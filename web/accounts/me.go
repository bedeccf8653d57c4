package accounts

import (
	"net/http"

	"vialwright/accounts"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func mePage(q *request) error { return q.me(http.StatusOK, nil, nil) }

func (q *request) me(status int, password, pin error) error {
	old := view.Field{Kind: "password", Name: "old", Label: "Your password now", Required: true, Auto: "current-password"}
	word := kit.PlainForm("password", "Choose a password", "/me/password", "Change password", old,
		view.Field{Kind: "password", Name: "password", Label: "New password, 15 characters or more", Required: true, Auto: "new-password", Hint: "Use four unrelated words."})
	if q.Who.First { // it was for one sign-in, which has been
		word.Fields = word.Fields[1:]
	}
	digits := kit.PlainForm("pin", "Choose a PIN", "/me/pin", map[bool]string{true: "Change PIN", false: "Set PIN"}[q.Who.HasPIN], old,
		view.Field{Kind: "pin", Name: "pin", Label: "New PIN, 4 to 8 digits", Required: true})
	p := view.FormPage{Page: q.Page(q.Who.Name), Heading: q.Who.Name, Facts: []view.Pair{{Name: "Id", Value: q.Who.ID}, {Name: "Roles", Value: words.Titles(q.Who.Roles)}}}
	if q.Who.First {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "First", Text: "Somebody else gave you this password, and it was for this sign-in only.", Hint: "Choose one that only you know, and then a PIN; then the board opens."})
	} else if !q.Who.HasPIN {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Note", Text: "You have no PIN: until you choose one, your password signs."})
	}
	word, digits = kit.WithError(word, password), kit.WithError(digits, pin)
	p.Links = []view.Link{{Text: "Sound and keys of this screen", Href: "/screen"}}
	switch {
	case q.Who.First: // a PIN is chosen with the password that is their own
		p.Forms = []view.Form{word}
	case q.Who.HasPIN:
		p.Forms = []view.Form{word, digits}
	default:
		p.Forms = []view.Form{digits, word}
	}
	p.Forms[0].Fields[0].Focus = true
	return q.Show(status, pages, p)
}

func passwordDo(q *request) error {
	if err := q.choose(accounts.Password, q.R.PostFormValue("password")); err != nil {
		return again(err, func(err error) error { return q.me(http.StatusUnprocessableEntity, err, nil) })
	}
	// Anyone who knew the old password is out, this browser too.
	account, _, err := q.Account(q.Who.ID)
	if err != nil {
		return err
	}
	if err := q.OpenSession(account); err != nil {
		return err
	}
	q.Say(kit.SaidDone, "Your password is changed.")
	return q.See("/me")
}

func pinSetDo(q *request) error {
	if err := q.choose(accounts.PIN, q.R.PostFormValue("pin")); err != nil {
		return again(err, func(err error) error { return q.me(http.StatusUnprocessableEntity, nil, err) })
	}
	if !q.Who.HasPIN { // the last thing before the work
		q.Say(kit.SaidDone, "Your PIN is set.")
		return q.See("/")
	}
	q.Say(kit.SaidDone, "Your PIN is changed.")
	return q.See("/me")
}

func (q *request) choose(k accounts.Kind, chosen string) error {
	return q.Failed("change of a "+string(k)+" refused", q.Who.ID, q.Kept.Choose(q.R.Context(), q.Who.ID, k, q.R.PostFormValue("old"), chosen, q.From()))
}
