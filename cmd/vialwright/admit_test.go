package main

import (
	"context"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/accounts"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
)

// lockedOut is a site whose only administrator was switched off and forgot the
// password; nobody here is real.
func lockedOut(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "lab.vialwright")
	log, err := createJournal(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	now := time.Now()
	person := func(id string, active bool, roles ...people.Role) fact.Fact {
		return fact.PersonFact(people.Person{ID: id, Name: id + " Example", Roles: roles, Active: active}, now)
	}
	var records []journal.Record
	for _, r := range []struct {
		by   string
		fact fact.Fact
	}{
		{"setup", &fact.Site{Zone: "Atlantic/Azores", Use: fact.ForPatients}},
		{"AD1", person("AD1", true, people.Administrator)},
		{"AD1", person("AD2", true, people.Administrator)},
		{"AD1", person("NT1", true, people.Technologist)},
		{"AD2", person("AD1", false, people.Administrator)},
	} {
		records = append(records, journal.Record{By: r.by, Recorded: now, Fact: r.fact})
	}
	if _, err := sealBehind(t.Context(), log, journal.Head{}, records); err != nil {
		t.Fatal(err)
	}
	return path
}

// A site that is locked out is let in by who has the machine in hand: an
// administrator, once, and with an entry that says so; nobody gets other rights.
func TestAdmit(t *testing.T) {
	path := lockedOut(t)
	admit := func(status int, words string, args ...string) string {
		t.Helper()
		return want(t, status, words, append([]string{"admit", "--journal", path, "--reason", "nobody could sign in"}, args...)...)
	}
	admit(2, "there is no account X", "X")
	admit(2, "AD1, AD2", "AD9")
	admit(2, "only an administrator can be let in", "NT1")
	admit(2, "AD1 is AD1 Example already", "AD1", "--name", "Somebody Else")
	admit(2, "has the name", "AD9", "--name", "AD2 Example")
	admit(2, "id", "no id", "--name", "A. Nother")
	first := map[string]string{}
	for id, args := range map[string][]string{"AD1": {"AD1"}, "AD2": {"AD2"}, "AD3": {"AD3", "--name", "A. Nother"}} {
		said := admit(0, "is entry", args...)
		first[id] = regexp.MustCompile(`first password (\S+),`).FindStringSubmatch(said)[1]
	}
	log, err := openJournal(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	books, _, err := booksOf(t.Context(), log)
	if err != nil {
		t.Fatal(err)
	}
	for id, password := range first {
		p, _ := books.People().Of(id)
		if !p.Active || len(p.Roles) != 1 || !p.Has(people.Administrator) {
			t.Errorf("%s is %+v", id, p)
		}
		signsInOnce(t, path, books.People(), id, password)
	}
	seenUnderPeople(t, path, admit)
	entries := 0
	for _, r := range books.Last(99) {
		if x, ok := r.Fact.(*fact.FirstPassword); ok {
			if entries++; r.By != people.OnMachine || x.Reason != "nobody could sign in" || strings.Contains(fact.KindOf(x).Past, first[x.Of]) {
				t.Errorf("the entry is %+v by %s", x, r.By)
			}
		}
		if body, err := r.Marshal(); err != nil || containsAny(string(body), first) {
			t.Errorf("record %d holds a password, or %v", r.N, err)
		}
	}
	if entries != len(first) || len(books.People().Refused()) != 0 {
		t.Errorf("%d entries for %d first passwords, %d refused", entries, len(first), len(books.People().Refused()))
	}
}

// seenUnderPeople wants the list of people to say who was let in by a command. One more
// is, and signs in with the password that this gives.
func seenUnderPeople(t *testing.T, path string, admit func(int, string, ...string) string) {
	t.Helper()
	said := admit(0, "is entry", "AD4", "--name", "A. Fourth")
	first := regexp.MustCompile(`first password (\S+),`).FindStringSubmatch(said)[1]
	p := serve(t, "--journal", path, "--zone", "Atlantic/Azores")
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b := &person{t, "AD4", &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}, p}
	for _, form := range []struct {
		path string
		v    url.Values
	}{
		{"/sign-in", url.Values{"id": {"AD4"}, "password": {first}}},
		{"/me/password", url.Values{"password": {"ferry quartz lantern moss"}}},
	} {
		if a, err := b.send(form.path, form.v); err != nil || a.status != http.StatusSeeOther {
			t.Fatalf("%s: %v %v", form.path, a, err)
		}
	}
	a, err := b.get("/people")
	for _, id := range []string{"AD1", "AD2", "AD3", "AD4"} {
		if err != nil || !strings.Contains(a.body, id+" was given a first password by who had the machine in hand. Reason: nobody could sign in.") {
			t.Errorf("the list of people does not say that %s was let in: %v %v", id, a, err)
		}
	}
	p.kill()
}

func containsAny(text string, words map[string]string) bool {
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}

// signsInOnce wants a first password to open one session.
func signsInOnce(t *testing.T, path string, d *people.Directory, id, password string) {
	t.Helper()
	v, err := openVault(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer v.Close()
	s, err := accountsOf(t.Context(), v, path+".key", &edge{now: time.Now}, d.Of)
	if err != nil {
		t.Fatal(err)
	}
	place := accounts.Place{Remote: "192.0.2.1"}
	if _, err := s.SignIn(context.Background(), id, password, place); err != nil {
		t.Errorf("%s does not sign in: %v", id, err)
	}
	if _, err := s.SignIn(context.Background(), id, password, place); err == nil {
		t.Errorf("%s signs in twice with a first password", id)
	}
}
