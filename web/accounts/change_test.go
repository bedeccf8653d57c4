package accounts_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// At a shared bench a person is changed by name and PIN. Who comes in between does
// one thing; then the page is locked as that of the person it belongs to, whose PIN
// opens it. A wrong PIN lets nobody in, and neither does the id of somebody who has
// not signed in here.
func TestChangeOfPerson(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	b := s.As("T2") // signs in with the password, and lets T1 take over
	b.Get("/change").Says(200, "Nobody else has signed in at this bench")
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	change := func(who, pin string) *webtest.Page {
		return b.Post("/change", url.Values{"who": {who}, "pin": {pin}, "next": {webtest.Bench}})
	}
	b.Get("/change").Says(200, "(T2)", "locked again as that of")
	change("T2", "0000").Says(403, "Error")
	change("DR1", webtest.PIN).Says(403, "Nobody with this id has signed in at this bench")
	b.Get("/").Says(200, "T. Example")
	change("T2", webtest.PIN).Leads(webtest.Bench)
	b.Get("/change").Says(200, "The page belongs to T. Example")
	p := b.Fill(webtest.Bench, "note", webtest.Bench+"/step/note", "p0.text", "the tongs lie in the second drawer")
	if p.Status != 303 {
		t.Fatalf("T2 records a note: %d %s", p.Status, p.Text())
	}
	at := b.Get(webtest.Bench)
	if !strings.HasPrefix(at.Location, "/pin?") {
		t.Fatalf("after the act of a visitor the page is %d at %q", at.Status, at.Location)
	}
	b.Get(at.Location).Says(200, "This page is locked", "T. Example (T1)")
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {webtest.Bench}}).Leads(webtest.Bench)
	b.Get(webtest.Bench).Says(200, "T. Example")
	s.RP.Look("/history").Says(200, "the tongs lie in the second drawer")
	if by := s.Facts("note"); len(by) != 1 {
		t.Errorf("there are %d notes", len(by))
	}
}

// A visitor who signs out gives the page back; somebody whose session was ended is no
// longer known at the bench.
func TestVisitorLeaves(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	b := s.As("T2")
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}})
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Post("/sign-out", nil).Leads("/pin")
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Get("/change").Says(200, "Nobody else has signed in at this bench")
}

// What a visitor records gives the page back whichever page it was recorded on, and
// also where the answer to the first press was lost and the second is answered.
func TestVisitorGoesBackAfterAnyEntry(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	b := s.As("AD1")
	b.Post("/sign-in", url.Values{"id": {"T2"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	visit := func(who string) {
		b.Post("/change", url.Values{"who": {who}, "pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	}
	back := func(at string) {
		t.Helper()
		if p := b.Get(at); !strings.HasPrefix(p.Location, "/pin?") {
			t.Errorf("after the entry of a visitor %s is %d at %q: %s", at, p.Status, p.Location, p.Text())
		}
		b.Get("/pin").Says(200, "T. Example (T1)")
		b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	}
	visit("AD1")
	b.Fill("/people", "person", "/people", "id", "T9", "name", "T9 Example", "role", "technologist").Says(200, webtest.Given)
	back("/people")
	visit("AD1")
	b.Fill("/people/T9", "change", "/people/T9", "name", "T9 Sample", "active", "yes", "role", "technologist").Leads("/people")
	back("/people")

	visit("T2")
	at, err := url.Parse(s.HTTP.URL)
	if err != nil {
		t.Fatal(err)
	}
	visits := b.Client.Jar.Cookies(at)
	v := b.Get(webtest.Bench).Form("note")
	v.Set("p0.text", "the tongs lie in the second drawer")
	b.Post(webtest.Bench+"/step/note", v).Recorded()
	b.Client.Jar.SetCookies(at, visits) // the answer was lost
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Post(webtest.Bench+"/step/note", v).Recorded()
	b.Get("/pin").Says(200, "Recorded")
	back(webtest.Bench)
	visit("T2")
	visits = b.Client.Jar.Cookies(at)
	v = b.Get(webtest.Bench).Form("note")
	v.Set("p0.text", "the lamp is broken")
	b.Post(webtest.Bench+"/step/note", v).Recorded()
	b.Client.Jar.SetCookies(at, visits) // a double click: the second press goes out with the first
	b.Post(webtest.Bench+"/step/note", v)
	b.Get("/pin").Says(200, "Recorded")
	back(webtest.Bench)
	if d := s.Draft("T2", webtest.Bench+"/step/note"); d != "" {
		t.Errorf("a note that was recorded is kept as one that is not: %s", d)
	}
	home := b.Client.Jar.Cookies(at)
	b.Client.Jar.SetCookies(at, visits) // the page of before, locked by now, with another text
	v.Set("p0.text", "the lamp is broken, and the switch")
	b.Post(webtest.Bench+"/step/note", v)
	if text := b.Get("/pin").Text(); strings.Contains(text, "recorded once") {
		t.Errorf("what says something else is said to be recorded: %s", text)
	}
	if d := s.Draft("T2", webtest.Bench+"/step/note"); !strings.Contains(d, "the+switch") {
		t.Errorf("what was typed after the note was recorded is not kept: %q", d)
	}
	b.Client.Jar.SetCookies(at, home)
	if all := s.Facts("note"); len(all) != 2 {
		t.Errorf("there are %d notes", len(all))
	}

	visit("T2")
	b.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "S1", "p0.gross", "3,24", "p0.gross.unit", "GBq", "p0.background", "0", "p0.background.unit", "MBq").Recorded()
	if text := b.Get("/pin").Says(200, "T. Example (T1)", "Recorded").Text(); strings.Contains(text, "3.24") {
		t.Errorf("the reading of a visitor stands on the page of who may be blind to it: %s", text)
	}
}

// A form is its person's: from a page that stood open while the person was changed
// nothing is recorded by who works there now, and nothing of it is kept as theirs.
func TestFormOfAnother(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	b := s.As("T2")
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	v := b.Get(webtest.Bench).Form("note")
	v.Set("p0.text", "the tongs lie in the second drawer")
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Post(webtest.Bench+"/step/note", v).Says(409, "This page was opened by T1", "nothing was recorded")
	b.Post(webtest.Keeper(webtest.Bench+"/step/note"), v).Says(409)
	w := b.Get(webtest.Bench).Form("note")
	w.Set("p0.text", "the lid is cracked")
	b.Post("/sign-out", nil).Leads("/pin")
	if p := b.Post(webtest.Bench+"/step/note", w); !strings.HasPrefix(p.Location, "/pin?") {
		t.Errorf("a form at a locked page: %d at %q", p.Status, p.Location)
	}
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	if text := b.Get(webtest.Bench).Text(); strings.Contains(text, "the lid is cracked") || strings.Contains(text, "What you typed") {
		t.Errorf("T1 is given what T2 typed: %s", text)
	}
	if all := s.Facts("note"); len(all) != 0 {
		t.Errorf("there are %d notes", len(all))
	}
}

// From a locked page that leads to the board the change of person leads there too,
// and not back to the question for a PIN that was just given.
func TestChangeFromALockedPage(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	b := s.As("T2")
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	r, err := http.NewRequest(http.MethodGet, s.HTTP.URL+"/change?next=%2F", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Referer", s.HTTP.URL+"/pin?next=%2F")
	if next := b.Do(r).Form("change").Get("next"); next != "/" {
		t.Errorf("the change of person leads to %q", next)
	}
}
