package accounts_test

import (
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
