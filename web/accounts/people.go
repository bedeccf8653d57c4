package accounts

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func peoplePage(q *request) error { return q.people(http.StatusOK, nil, nil) }

// people lists the accounts. given is a first password, shown once.
func (q *request) people(status int, wrong error, given []view.Pair) error {
	p := People{Page: q.Page("People"), Given: given}
	for _, who := range q.Roster() {
		a, _, err := q.Account(who.ID)
		if err != nil {
			return err
		}
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
	p.Notices = append(append(p.Notices, q.refusedPeople()...), q.letIn()...)
	v := q.R.PostFormValue
	f := kit.PlainForm("person", "Add a person", "/people", "Add the person",
		view.Field{Kind: "id", Name: "id", Label: "Id, such as RP1", Value: v("id"), Required: true},
		view.Field{Kind: "text", Name: "name", Label: fact.FieldOf("person", "name").Label, Value: v("name"), Required: true},
		rolesField(rolesOf(q.R.PostForm["role"])), q.SignatureField("person", nil, false))
	f.Fields = append(f.Fields, q.agreeing()...)
	f.Meaning, f.Nonce = people.AddPerson.Meaning(), q.Nonce()
	p.Forms = []view.Form{kit.WithError(f, wrong)}
	return q.Show(status, pages, p)
}

// refusedPeople names entries of accounts that the rules did not allow: this program
// makes none, so that somebody wrote them past it.
func (q *request) refusedPeople() (out []view.Notice) {
	q.Lab.People(func(d *people.Directory) {
		for _, r := range d.Refused() {
			out = append(out, view.Notice{
				Kind: "stop", Word: "Stop", Text: "Entry " + strconv.Itoa(r.N) + " by " + r.By + " sets the account " + r.Person.ID + ", and was not allowed: " + r.Why.Error() + ".",
				Hint: "It gives nobody a right. This program does not write such an entry: tell the person who looks after the machine.",
			})
		}
	})
	return out
}

// letInFor is how long the list of people says that one of them was let in by who had the
// machine in hand. The entry is in the history for ever.
const letInFor = 30 * 24 * time.Hour

// letIn says who was let in by a command on the machine, so that an administrator sees
// what was done past them.
func (q *request) letIn() (out []view.Notice) {
	z := words.Zoned{Location: q.Location()}
	given, _ := q.Lab.Kept(func(f fact.Fact) bool { _, ok := f.(*fact.FirstPassword); return ok })
	for _, r := range given {
		x, ok := r.Fact.(*fact.FirstPassword)
		if !ok || r.By != people.OnMachine || q.Now.Sub(r.Recorded) > letInFor {
			continue
		}
		out = append(out, view.Notice{
			Kind: "warn", Word: "Let in", Text: "Entry " + strconv.Itoa(r.N) + ", " + z.Clock(r.Recorded) + ": " + x.Of + " was given a first password by who had the machine in hand. Reason: " + x.Reason + ".",
			Hint: "If no administrator of this site asked for that, switch the account off, and tell the person who looks after the machine.",
		})
	}
	return out
}

// agreeing are the fields of the second signature under rights that need two.
func (q *request) agreeing() []view.Field {
	return []view.Field{
		{Kind: "id", Name: "with", Label: "Id of a second person, only where an administrator also works on doses", Value: q.R.PostFormValue("with"), Hint: "Their signature says: " + people.AgreeRights.Meaning() + "."},
		{Kind: "pin", Name: kit.SecondPIN, Label: "Their PIN"},
	}
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

func personAdd(q *request) error {
	v := q.R.PostFormValue
	who := people.Person{ID: strings.TrimSpace(v("id")), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.R.PostForm["role"]), Active: true}
	sent, err := q.setPerson(who, true)
	if sent {
		return q.See("/people") // the password was shown, and is shown once
	}
	if err != nil {
		return again(err, func(err error) error { return q.people(http.StatusUnprocessableEntity, err, nil) })
	}
	return q.give(who.ID)
}

// setPerson signs and records an account as it is from now on, and for a new one that
// it gets a first password.
func (q *request) setPerson(who people.Person, first bool) (sent bool, err error) {
	if err := q.Numbered("/people"); err != nil {
		return false, err
	}
	second, err := q.Agrees()
	if err != nil {
		return false, err
	}
	now := q.WallTime()
	entry := fact.PersonFact(who, now)
	entry.Countersigned = second.ID
	facts := []fact.Fact{entry}
	if first {
		facts = append(facts, &fact.FirstPassword{Of: who.ID, At: now})
	}
	return q.RecordPeople(q.Who.ID, func(d *people.Directory) error {
		if first {
			return people.MayAdd(q.Who.ID, second.ID, d.All(), who)
		}
		return people.MayChange(q.Who.ID, second.ID, d.All(), who)
	}, func() error {
		err := q.Sign(q.R.PostFormValue("pin"))
		if err == nil && second.ID != "" {
			err = q.BesideMe(second, q.R.PostFormValue(kit.SecondPIN))
		}
		return err
	}, facts...)
}

// give keeps a first password for a person, after its entry, and shows it once.
func (q *request) give(id string) error {
	var bits [10]byte
	q.FillRandom(bits[:])
	first := accounts.FirstPassword(bits)
	if err := q.Kept.GiveFirst(q.R.Context(), id, first); err != nil {
		q.Logger.Error("first password", "error", err)
		return &kit.Refusal{Status: http.StatusServiceUnavailable, Heading: "Recorded, but without a password", Text: "the entry is in the journal, and the first password could not be kept", Hint: "give a first password on the page of the person", Back: "/people/" + id}
	}
	q.R.PostForm = nil
	return q.people(http.StatusOK, nil, []view.Pair{{Name: "Id", Value: id}, {Name: "First password, for one sign-in", Value: first}})
}

func personPage(q *request) error { return q.personShow(http.StatusOK, nil, nil) }

func (q *request) personShow(status int, change, reset error) error {
	a, found, err := q.Account(q.R.PathValue("id"))
	if err != nil {
		return err
	}
	if !found {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such account", Text: "nobody has this id", Hint: "go to the list", Back: "/people"}
	}
	says := a.Person
	if change != nil {
		says = q.changed()
	}
	state := view.Field{Kind: "choice", Name: "active", Label: "Account", Required: true, Choices: []view.Choice{
		{Value: "yes", Text: "on", Picked: says.Active}, {Value: "no", Text: "off", Picked: !says.Active},
	}}
	f := kit.PlainForm("change", "Change the account", "/people/"+a.ID, "Change it",
		view.Field{Kind: "text", Name: "name", Label: "Name", Value: says.Name, Required: true}, rolesField(says.Roles), state, q.SignatureField("change", nil, false))
	f.Fields = append(f.Fields, q.agreeing()...)
	f.Meaning, f.Nonce = people.ChangePerson.Meaning(), q.Nonce()
	r := kit.PlainForm("reset", "Give a first password", "/people/"+a.ID+"/reset", "Give it", q.SignatureField("reset", nil, false))
	r.Meaning, r.Nonce = people.ResetSecret.Meaning(), q.Nonce()
	p := view.FormPage{Page: q.Page(a.Name), Heading: a.Name, Back: view.Link{Text: "People", Href: "/people"}, Forms: []view.Form{kit.WithError(f, change), kit.WithError(r, reset)}}
	return q.Show(status, pages, p)
}

// changed is the account of the page as its form says it from now on.
func (q *request) changed() people.Person {
	v := q.R.PostFormValue
	return people.Person{ID: q.R.PathValue("id"), Name: strings.TrimSpace(v("name")), Roles: rolesOf(q.R.PostForm["role"]), Active: v("active") == "yes"}
}

func personChange(q *request) error {
	next := q.changed()
	if _, err := q.setPerson(next, false); err != nil {
		return again(err, func(err error) error { return q.personShow(http.StatusUnprocessableEntity, err, nil) })
	}
	if !next.Active {
		if err := q.Kept.EndSessions(q.R.Context(), next.ID); err != nil {
			return err
		}
	}
	q.Say(kit.SaidRecorded, "The account is changed.")
	return q.See("/people")
}

func personReset(q *request) error {
	id := q.R.PathValue("id")
	err, sent := q.Numbered("/people"), false
	if err == nil {
		may := func(d *people.Directory) error { return people.MayReset(q.Who.ID, d.All(), id) }
		sign := func() error { return q.Sign(q.R.PostFormValue("pin")) }
		sent, err = q.RecordPeople(q.Who.ID, may, sign, &fact.FirstPassword{Of: id, At: q.WallTime()})
	}
	if sent {
		return q.See("/people")
	}
	if err != nil {
		return again(err, func(err error) error { return q.personShow(http.StatusUnprocessableEntity, nil, err) })
	}
	return q.give(id)
}
