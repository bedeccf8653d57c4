package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/store/vault"
)

// admitCmd lets an administrator into a site that is locked out.
type admitCmd struct {
	ID      string `arg:"" help:"The id of an administrator, or a new one for a new administrator."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	Key     string `placeholder:"FILE" help:"The site's key; PATH.key if not given. It must be given where the journal is in a database."`
	Name    string `placeholder:"NAME" help:"For a new administrator: the name as it is printed beside a signature."`
	Reason  string `required:"" placeholder:"TEXT" help:"Why; it stays in the journal."`
}

func (admitCmd) Help() string {
	return `For when nobody can sign in any more: every administrator has forgotten the password or left, or the store of the accounts was lost. Prints a first password,
which is good for one sign-in; its owner chooses another at once.

  vialwright admit AD1 --journal lab.vialwright --reason "the only administrator forgot the password"
  vialwright admit AD2 --journal lab.vialwright --name "A. Example" --reason "the administrator has left"

Anyone who can run this has the machine in hand. That it was done, for whom and why, is an entry of the journal. Nobody but an administrator is let in so, and
nobody gets other rights.

` + whereHelp
}

// Run may be used while the program serves the journal.
func (c *admitCmd) Run(e *edge) error {
	ctx := context.Background()
	log, err := openToWrite(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	v, err := openVault(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer v.Close()
	path := (&serveCmd{Journal: c.Journal, Key: c.Key}).keyPath()
	if path == "" {
		return usageError("--key is missing: with a database there is no file for the site's key to stand beside; name it")
	}
	if err := asNotedBeside(ctx, log, c.Journal, path, e); err != nil {
		return err
	}
	books, report, err := booksOf(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	if books.Len() == 0 {
		return usageError("%s is empty: the first account is made in the browser, with the setup code that serve prints", shown(c.Journal))
	}
	records, err := c.entries(books.People(), e.now())
	if err != nil {
		return err
	}
	kept, err := accountsOf(ctx, v, path, e, func(id string) (people.Person, bool) { return c.person(books.People(), id) })
	if err != nil {
		return err
	}
	if _, err := sealBehind(ctx, log, report.Head, records); err != nil {
		return journalError(c.Journal, err)
	}
	var bits [10]byte
	_, _ = rand.Read(bits[:]) // crypto/rand.Read never fails
	first := accounts.FirstPassword(bits)
	if err := kept.GiveFirst(ctx, c.ID, first); err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "%s signs in once with the first password %s, and chooses another at once.\nThat this was done, and why, is entry %d of the journal.\n", c.ID, first, int(report.Head.Seq)+len(records))
	return nil
}

// person is the account as it will be.
func (c *admitCmd) person(d *people.Directory, id string) (people.Person, bool) {
	p, known := d.Of(id)
	if !known {
		p = people.Person{ID: id, Name: c.Name, Roles: []people.Role{people.Administrator}}
	}
	p.Active = true
	return p, id == c.ID
}

// entries are what is recorded: the account, where it is new or was switched off, and
// that it has a first password.
func (c *admitCmd) entries(d *people.Directory, now time.Time) ([]journal.Record, error) {
	was, known := d.Of(c.ID)
	p, _ := c.person(d, c.ID)
	switch {
	case !known && c.Name == "":
		return nil, usageError("there is no account %s: give the id of an administrator (%s), or --name for a new one", c.ID, administrators(d))
	case known && c.Name != "" && c.Name != was.Name:
		return nil, usageError("%s is %s already: leave --name out, or take another id", c.ID, was.Name)
	}
	if err := d.May(people.Change{By: people.OnMachine, Person: p}); err != nil {
		return nil, usageError("%v", err)
	}
	now = now.Truncate(time.Second)
	var facts []fact.Fact
	if !known || !was.Active {
		entry := fact.PersonFact(p, now)
		entry.Reason = c.Reason
		facts = append(facts, entry)
	}
	facts = append(facts, &fact.FirstPassword{Of: c.ID, Reason: c.Reason, At: now})
	out := make([]journal.Record, len(facts))
	for i, f := range facts {
		out[i] = journal.Record{By: people.OnMachine, Recorded: now, Fact: f}
		if _, err := out[i].Marshal(); err != nil {
			return nil, usageError("%v", err)
		}
	}
	return out, nil
}

// administrators are the ids of those who are one.
func administrators(d *people.Directory) string {
	var out []string
	for _, p := range d.All() {
		if p.Has(people.Administrator) {
			out = append(out, p.ID)
		}
	}
	if out == nil {
		return "there is none yet"
	}
	return strings.Join(out, ", ")
}

// accountsOf opens what opens the accounts of a site, with the site's key, which is
// made where nothing was hashed with one yet.
func accountsOf(ctx context.Context, v vault.Vault, key string, e *edge, of func(id string) (people.Person, bool)) (*accounts.Store, error) {
	known, err := accounts.Known(ctx, v, e.now())
	if err != nil {
		return nil, err
	}
	passwords, pins, err := keepers(key, known, false)
	if err != nil {
		return nil, err
	}
	return accounts.New(accounts.Config{Vault: v, Clock: e.now, Passwords: passwords, PINs: pins, People: of}), nil
}
