package fact

import (
	"time"

	"vialwright/people"
)

// Person is an account as it is from now on: added, renamed, with other roles, or
// switched off. What opens it is no entry: it is kept apart, as hashes.
type Person struct {
	ID      string        `must:"id" id:"person" label:"Id"`
	Name    string        `must:"name" label:"Name as printed beside a signature"`
	Roles   []people.Role `must:"roles" label:"Roles"`
	Account Switch        `must:"account" label:"Account"`
	// Countersigned is who signed beside the one who recorded it, where the roles
	// need two people; empty where they do not.
	Countersigned string `may:"countersigned" id:"person" label:"Signed beside"`
	// Reason is why, such as why an account is let in on the machine.
	Reason string    `may:"reason" label:"Reason"`
	At     time.Time `must:"at" label:"When"`
}

// Switch is whether an account is used.
type Switch string

// The two.
const (
	Active   Switch = "active"
	Inactive Switch = "inactive"
)

func (p *Person) is() (string, time.Time) { return "person", p.At }

// Of is the account as package people has it.
func (p *Person) Of() people.Person {
	return people.Person{ID: p.ID, Name: p.Name, Roles: p.Roles, Active: p.Account == Active}
}

// PersonFact is the entry for an account as it is from a moment on.
func PersonFact(p people.Person, at time.Time) *Person {
	out := &Person{ID: p.ID, Name: p.Name, Roles: p.Roles, Account: Inactive, At: at}
	if p.Active {
		out.Account = Active
	}
	return out
}

// FirstPassword says that a person was given a password for one sign-in, in which
// they choose another. The password is not in it.
type FirstPassword struct {
	Of     string    `must:"of" id:"person" label:"Id"`
	Reason string    `may:"reason" label:"Reason"`
	At     time.Time `must:"at" label:"When"`
}

func (p *FirstPassword) is() (string, time.Time) { return "first-password", p.At }
