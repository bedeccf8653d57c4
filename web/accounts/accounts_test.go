package accounts_test

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/people"
	"vialwright/web"
	"vialwright/web/webtest"
)

// Sign-in leads to addresses of ours only.
func TestNextStaysHere(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	for _, next := range []string{"https://elsewhere.example/", "//elsewhere.example", `/\elsewhere.example`, "javascript:alert(1)", "elsewhere", ""} {
		p := l.Elsewhere().Post("/sign-in", url.Values{"id": {"RP1"}, "password": {webtest.Password}, "next": {next}})
		if p.Location != "/" {
			t.Errorf("next %q leads to %q", next, p.Location)
		}
	}
}

// Wrong passwords lock the account, many tries the address; the answer never
// says whether the id exists.
func TestGuessing(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	try := func(id, word string) *webtest.Page {
		return l.Browser().Post("/sign-in", url.Values{"id": {id}, "password": {word}})
	}
	a, b := try("RP1", "wrong"), try("ZZ9", "wrong")
	if a.Status != b.Status || strings.ReplaceAll(a.Text(), "RP1", "") != strings.ReplaceAll(b.Text(), "ZZ9", "") {
		t.Errorf("an id that exists is told from one that does not:\n%s\n%s", a.Text(), b.Text())
	}
	try("RP1", "wrong")
	try("RP1", "wrong").Says(http.StatusForbidden)
	try("RP1", webtest.Password).Says(http.StatusTooManyRequests, "wrong several times", "30 s")
	if p := l.Elsewhere().Post("/sign-in", url.Values{"id": {"RP1"}, "password": {webtest.Password}}); p.Status != http.StatusSeeOther {
		t.Errorf("its owner on another machine: %d %s", p.Status, p.Text())
	}
	l.Clock.Add(31 * time.Second)
	if p := try("RP1", webtest.Password); p.Status != http.StatusSeeOther {
		t.Errorf("after the wait: %d %s", p.Status, p.Text())
	}
	known := l.As("SN1")
	for i := range 20 {
		try("nobody"+strconv.Itoa(i), "x")
	}
	try("T2", webtest.Password).Says(http.StatusTooManyRequests, "too many wrong tries")
	known.Post("/sign-out", nil)
	if p := known.Post("/sign-in", url.Values{"id": {"SN1"}, "password": {webtest.Password}}); p.Status != http.StatusSeeOther {
		t.Errorf("a browser that was signed in before: %d %s", p.Status, p.Text())
	}
}

// The first account takes the setup code, is an administrator, and is made
// once.
func TestFirstAccount(t *testing.T) {
	l := webtest.New(t, func(c *web.Config) { c.Setup = "K7MP" })
	b := l.Browser()
	if p := b.Get("/"); p.Location != "/first" {
		t.Errorf("an empty roster leads to %q", p.Location)
	}
	v := url.Values{"setup": {"wrong"}, "id": {"AD1"}, "name": {"A. Example"}, "password": {webtest.Password}, "pin": {webtest.PIN}}
	b.Post("/first", v).Says(http.StatusForbidden, "setup code")
	wrong := url.Values{"setup": {"k7mp"}, "id": {"A D"}, "name": {" "}, "password": {"short"}, "pin": {"1111"}}
	if p := b.Post("/first", wrong).Says(http.StatusUnprocessableEntity, "an id has", "a name has", "15", "repeats itself"); strings.Count(p.Body, "aria-invalid") != 4 || strings.Count(p.Body, "autofocus") != 1 || !strings.Contains(p.Body, `autofocus aria-invalid`) {
		t.Errorf("not each fault stands beside its field, or the first of them has not the focus: %s", p.Body)
	}
	v.Set("setup", " k7 Mp ") // as somebody types it
	v.Set("password", "short")
	b.Post("/first", v).Says(http.StatusUnprocessableEntity, "15")
	v.Set("password", webtest.Password)
	b.Post("/first", v).Recorded()
	b.Get("/people").Says(200, "AD1", "administrator")
	v.Set("id", "AD2")
	v.Set("name", "B. Example")
	if p := l.Browser().Post("/first", v); p.Location == "/people" {
		t.Error("a second first account was made")
	}
	if n := len(l.Server.Roster()); n != 1 {
		t.Errorf("%d accounts", n)
	}
}

// An administrator adds a person, whose first password is good for one thing:
// choosing another. Switching the account off ends its sessions at once.
func TestPerson(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	admin := l.As("AD1")
	v := []string{"id", "T3", "name", "V. Example", "role", string(people.Technologist)}
	admin.Post("/people", url.Values{"id": {"T3"}, "name": {"V. Example"}, "role": {string(people.Technologist)}, "pin": {webtest.PIN}}).Says(http.StatusBadRequest, "has no number")
	admin.Fill("/people", "person", "/people", append(v, "pin", "0000")...).Says(http.StatusUnprocessableEntity, "not right")
	text := admin.Fill("/people", "person", "/people", v...).Says(200, webtest.Given).Text()
	_, first, _ := strings.Cut(text, webtest.Given)
	first, _, _ = strings.Cut(first, " ")
	b := l.Browser()
	if p := b.Post("/sign-in", url.Values{"id": {"T3"}, "password": {first}}); p.Location != "/me" {
		t.Fatalf("leads to %q: %s", p.Location, p.Text())
	}
	if p := b.Get("/"); p.Location != "/me" {
		t.Errorf("the board opens with a first password: %d", p.Status)
	}
	b.Post("/me/password", url.Values{"old": {first}, "password": {"copper violin harbour tea"}}).Recorded()
	b.Get("/me").Says(200, "You have no PIN", "Set PIN")
	b.Post("/me/pin", url.Values{"old": {"copper violin harbour tea"}, "pin": {webtest.PIN}}).Leads("/")
	b.Get("/").Says(200, "Board", "V. Example")
	p := admin.Fill("/people/T3", "change", "/people/T3", "active", "no", "name", "V. Sample", "role", string(people.Observer), "pin", "0000")
	if f := p.Says(http.StatusUnprocessableEntity, "not right").Form("change"); f.Get("active") != "no" || f.Get("name") != "V. Sample" || !slices.Contains(f["role"], string(people.Observer)) {
		t.Errorf("after a wrong PIN the form says %v", f)
	}
	admin.Fill("/people", "person", "/people", "id", "t3", "name", "W. Example", "role", string(people.Technologist), "pin", "0000").Says(http.StatusUnprocessableEntity, "The id T3 is that of")
	beside := []string{"id", "T4", "name", "W. Example", "role", string(people.Administrator), "with", "rp1", "pin2", webtest.PIN}
	admin.Fill("/people", "person", "/people", beside...).Says(200, webtest.Given)
	admin.Fill("/people/T3", "change", "/people/T3", "active", "no").Recorded()
	if p := b.Get("/"); p.Status != http.StatusSeeOther {
		t.Errorf("an account switched off still works: %d", p.Status)
	}
	admin.Fill("/people/AD1", "change", "/people/AD1", "active", "no").Says(http.StatusUnprocessableEntity, "Nobody changes their own account")
}

// A new password ends the sessions that the old one opened, in every browser
// but the one it was changed in.
func TestNewPasswordEndsSessions(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	here, there := l.As("RP1"), l.As("RP1")
	l.Clock.Add(time.Minute)
	here.Post("/me/password", url.Values{"old": {webtest.Password}, "password": {"copper violin harbour tea"}}).Recorded()
	here.Get("/").Says(200, "Board")
	if p := there.Get("/"); p.Status != http.StatusSeeOther {
		t.Errorf("the other browser goes on: %d", p.Status)
	}
}
