package web

import (
	"encoding/base32"
	"errors"
	"net/http"
	"strings"

	"vialwright/people"
	"vialwright/web/view"
)

func peoplePage(q *request) error { return q.people(http.StatusOK, nil, nil) }

// people lists the accounts. given is a first password, shown once.
func (q *request) people(status int, wrong error, given []view.Pair) error {
	all, err := q.accounts(q.r.Context())
	if err != nil {
		return err
	}
	p := view.People{Page: q.page("People"), Given: given}
	for _, a := range all {
		row := view.PersonRow{ID: a.ID, Name: a.Name, Roles: titles(a.Roles), State: "on"}
		if !a.Active {
			row.State = "off"
		} else if a.First {
			row.State = "on, with a first password"
		}
		if a.ID != q.who.ID {
			row.Href = "/people/" + a.ID
		}
		p.Rows = append(p.Rows, row)
	}
	v := q.r.PostFormValue
	f := plain("person", "Add a person", "/people", "Add the person",
		view.Field{Kind: "id", Name: "id", Label: "Id, such as RP1", Value: v("id"), Required: true},
		view.Field{Kind: "text", Name: "name", Label: "Name as printed beside a signature", Value: v("name"), Required: true},
		rolesField(rolesOf(q.r.PostForm["role"])), q.signature("person", nil, false))
	f.Meaning = people.AddPerson.Meaning()
	p.Forms = []view.Form{withError(f, wrong)}
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
	v := q.r.PostFormValue
	a := account{Person: people.Person{ID: strings.TrimSpace(v("id")), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.r.PostForm["role"]), Active: true}, First: true}
	first := q.firstPassword()
	err := q.sign(v("pin"))
	if err == nil {
		err = a.Check()
	}
	if err == nil {
		a.Password, err = q.Passwords.Hash(q.r.Context(), first)
	}
	if err == nil {
		err = q.add(q.who.ID, a)
	}
	if err != nil {
		return q.peopleRefused(err)
	}
	q.r.PostForm = nil
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
	q.random(b[:])
	s := strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
	return s[:4] + "-" + s[4:8] + "-" + s[8:12] + "-" + s[12:]
}

func personPage(q *request) error { return q.person(http.StatusOK, nil, nil) }

// person is the page on which an account is changed.
func (q *request) person(status int, change, reset error) error {
	a, found, err := q.account(q.r.PathValue("id"))
	if err != nil {
		return err
	}
	if !found {
		return &refusal{http.StatusNotFound, "There is no such account", "nobody has this id", "go to the list", "/people"}
	}
	state := view.Field{Kind: "choice", Name: "active", Label: "Account", Required: true, Choices: []view.Choice{
		{Value: "yes", Text: "on", Picked: a.Active}, {Value: "no", Text: "off", Picked: !a.Active},
	}}
	f := plain("change", "Change the account", "/people/"+a.ID, "Change it",
		view.Field{Kind: "text", Name: "name", Label: "Name", Value: a.Name, Required: true}, rolesField(a.Roles), state, q.signature("change", nil, false))
	f.Meaning = people.ChangePerson.Meaning()
	r := plain("reset", "Give a first password", "/people/"+a.ID+"/reset", "Give it", q.signature("reset", nil, false))
	r.Meaning = people.ResetSecret.Meaning()
	p := view.FormPage{Page: q.page(a.Name), Heading: a.Name, Back: view.Link{Text: "People", Href: "/people"}, Forms: []view.Form{withError(f, change), withError(r, reset)}}
	return q.show(status, p)
}

func personChange(q *request) error {
	v := q.r.PostFormValue
	next := people.Person{ID: q.r.PathValue("id"), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.r.PostForm["role"]), Active: v("active") == "yes"}
	err := q.sign(v("pin"))
	if err == nil {
		err = q.changeAccounts(func(all []account) ([]account, error) {
			if err := people.MayChange(q.who.ID, "", roster(all), next); err != nil {
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
		if err := q.endSessions(next.ID); err != nil {
			return err
		}
	}
	q.say(saidDone, "The account is changed.")
	return q.see("/people")
}

func personReset(q *request) error {
	id, first := q.r.PathValue("id"), q.firstPassword()
	err := q.sign(q.r.PostFormValue("pin"))
	hash := ""
	if err == nil {
		hash, err = q.Passwords.Hash(q.r.Context(), first)
	}
	if err == nil {
		err = q.changeAccounts(func(all []account) ([]account, error) {
			if err := people.MayReset(q.who.ID, roster(all), id); err != nil {
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
	if err := q.endSessions(id); err != nil {
		return err
	}
	return q.people(http.StatusOK, nil, []view.Pair{{Name: "Id", Value: id}, {Name: "First password, for one sign-in", Value: first}})
}
