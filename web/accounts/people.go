package accounts

import (
	"encoding/base32"
	"errors"
	"net/http"
	"strings"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func peoplePage(q *request) error { return q.people(http.StatusOK, nil, nil) }

// people lists the accounts. given is a first password, shown once.
func (q *request) people(status int, wrong error, given []view.Pair) error {
	all, err := q.Accounts(q.R.Context())
	if err != nil {
		return err
	}
	p := People{Page: q.Page("People"), Given: given}
	for _, a := range all {
		row := PersonRow{ID: a.ID, Name: a.Name, Roles: words.Titles(a.Roles), State: "on"}
		if !a.Active {
			row.State = "off"
		} else if a.First {
			row.State = "on, with a first password"
		}
		if a.ID != q.Who.ID {
			row.Href = "/people/" + a.ID
		}
		p.Rows = append(p.Rows, row)
	}
	v := q.R.PostFormValue
	f := kit.PlainForm("person", "Add a person", "/people", "Add the person",
		view.Field{Kind: "id", Name: "id", Label: "Id, such as RP1", Value: v("id"), Required: true},
		view.Field{Kind: "text", Name: "name", Label: "Name as printed beside a signature", Value: v("name"), Required: true},
		rolesField(rolesOf(q.R.PostForm["role"])), q.SignatureField("person", nil, false))
	f.Meaning = people.AddPerson.Meaning()
	p.Forms = []view.Form{kit.WithError(f, wrong)}
	return q.show(status, p)
}

func rolesField(has []people.Role) view.Field {
	f := view.Field{Kind: "checks", Name: "role", Label: "Roles"}
	p := people.Person{Roles: has}
	for _, r := range people.Roles() {
		f.Choices = append(f.Choices, view.Choice{Value: string(r), Text: r.Title(), Picked: p.Has(r)})
	}
	return f
}

func rolesOf(words []string) []people.Role {
	var out []people.Role
	for _, w := range words {
		out = append(out, people.Role(w))
	}
	return out
}

// personAdd adds an account with a first password.
func personAdd(q *request) error {
	v := q.R.PostFormValue
	a := kit.Account{Person: people.Person{ID: strings.TrimSpace(v("id")), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.R.PostForm["role"]), Active: true}, First: true}
	first := q.firstPassword()
	err := q.Sign(v("pin"))
	if err == nil {
		err = a.Check()
	}
	if err == nil {
		a.Password, err = q.Passwords.Hash(q.R.Context(), first)
	}
	if err == nil {
		err = q.AddAccount(q.Who.ID, a)
	}
	if err != nil {
		return q.peopleRefused(err)
	}
	q.R.PostForm = nil
	return q.people(http.StatusOK, nil, []view.Pair{{Name: "Id", Value: a.ID}, {Name: "First password, for one sign-in", Value: first}})
}

func (q *request) peopleRefused(err error) error {
	if _, ok := errors.AsType[*people.Error](err); ok {
		return q.people(http.StatusUnprocessableEntity, err, nil)
	}
	return err
}

// firstPassword is 80 random bits in fours: long enough for the rules, short
// enough to be read from a screen once.
func (q *request) firstPassword() string {
	var b [10]byte
	q.FillRandom(b[:])
	s := strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
	return s[:4] + "-" + s[4:8] + "-" + s[8:12] + "-" + s[12:]
}

func personPage(q *request) error { return q.person(http.StatusOK, nil, nil) }

// person is the page on which an account is changed.
func (q *request) person(status int, change, reset error) error {
	a, found, err := q.Account(q.R.PathValue("id"))
	if err != nil {
		return err
	}
	if !found {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such account", Text: "nobody has this id", Hint: "go to the list", Back: "/people"}
	}
	state := view.Field{Kind: "choice", Name: "active", Label: "Account", Required: true, Choices: []view.Choice{
		{Value: "yes", Text: "on", Picked: a.Active}, {Value: "no", Text: "off", Picked: !a.Active},
	}}
	f := kit.PlainForm("change", "Change the account", "/people/"+a.ID, "Change it",
		view.Field{Kind: "text", Name: "name", Label: "Name", Value: a.Name, Required: true}, rolesField(a.Roles), state, q.SignatureField("change", nil, false))
	f.Meaning = people.ChangePerson.Meaning()
	r := kit.PlainForm("reset", "Give a first password", "/people/"+a.ID+"/reset", "Give it", q.SignatureField("reset", nil, false))
	r.Meaning = people.ResetSecret.Meaning()
	p := view.FormPage{Page: q.Page(a.Name), Heading: a.Name, Back: view.Link{Text: "People", Href: "/people"}, Forms: []view.Form{kit.WithError(f, change), kit.WithError(r, reset)}}
	return q.show(status, p)
}

func personChange(q *request) error {
	v := q.R.PostFormValue
	next := people.Person{ID: q.R.PathValue("id"), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.R.PostForm["role"]), Active: v("active") == "yes"}
	err := q.Sign(v("pin"))
	if err == nil {
		err = q.ChangeAccounts(func(all []kit.Account) ([]kit.Account, error) {
			if err := people.MayChange(q.Who.ID, "", roster(all), next); err != nil {
				return nil, err
			}
			for i := range all {
				if all[i].ID == next.ID {
					all[i].Person = next
				}
			}
			return all, nil
		})
	}
	if _, ok := errors.AsType[*people.Error](err); ok {
		return q.person(http.StatusUnprocessableEntity, err, nil)
	}
	if err != nil {
		return err
	}
	if !next.Active {
		if err := q.EndSessions(next.ID); err != nil {
			return err
		}
	}
	q.Say(kit.SaidDone, "The account is changed.")
	return q.See("/people")
}

func personReset(q *request) error {
	id, first := q.R.PathValue("id"), q.firstPassword()
	err := q.Sign(q.R.PostFormValue("pin"))
	hash := ""
	if err == nil {
		hash, err = q.Passwords.Hash(q.R.Context(), first)
	}
	if err == nil {
		err = q.ChangeAccounts(func(all []kit.Account) ([]kit.Account, error) {
			if err := people.MayReset(q.Who.ID, roster(all), id); err != nil {
				return nil, err
			}
			for i := range all {
				if all[i].ID == id {
					all[i].Password, all[i].First = hash, true
					all[i].PasswordTries, all[i].PINTries = people.Tries{}, people.Tries{}
				}
			}
			return all, nil
		})
	}
	if _, ok := errors.AsType[*people.Error](err); ok {
		return q.person(http.StatusUnprocessableEntity, nil, err)
	}
	if err != nil {
		return err
	}
	if err := q.EndSessions(id); err != nil {
		return err
	}
	return q.people(http.StatusOK, nil, []view.Pair{{Name: "Id", Value: id}, {Name: "First password, for one sign-in", Value: first}})
}
