package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/webtest"
)

// TestBlindAtTheBenchOfAnother: who may still check a dose works at the bench of the
// person who prepared it, as a visitor and as the one who is visited. Neither way a
// page gives them a figure they may not see.
func TestBlindAtTheBenchOfAnother(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	signIn := func(b *webtest.Browser, id string) {
		b.Post("/sign-in", url.Values{"id": {id}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	}
	change := func(b *webtest.Browser, id string) {
		b.Post("/change", url.Values{"who": {id}, "pin": {webtest.PIN}, "next": {webtest.Bench}}).Leads(webtest.Bench)
	}
	b := s.As("MP1")
	signIn(b, "T1")
	b.Get(webtest.Bench).Says(200, "T. Example")
	change(b, "MP1")
	showsNone(t, "the checker visits", everyPage(s, b), withheld(s, "P1"))

	b = s.As("T1")
	signIn(b, "MP1")
	change(b, "T1")
	b.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "S1", "p0.gross", "1,89", "p0.gross.unit", "GBq", "p0.background", "0", "p0.background.unit", "MBq").Recorded()
	locked := b.Get("/pin")
	locked.Says(200, "P. Example (MP1)", "Recorded")
	showsNone(t, "the locked page of the checker", map[string]string{"/pin": locked.Body, "/change": b.Get("/change").Body}, withheld(s, "P1"))
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	showsNone(t, "the checker is visited", everyPage(s, b), withheld(s, "P1"))
}

// TestCheckThatDiffersNowhere: while a second check differs, who prepared the dose is
// sent its figures by no page, sheet, export or archive; who may decide is.
func TestCheckThatDiffersNowhere(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("11:40")
	at := webtest.Bench + "/check"
	s.MP.Fill(at, "step", at, "p0.gross", "1.937", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.2537", "p0.activity.unit", "GBq").Recorded()
	x, _ := s.Facts("second-check")[0].(*fact.SecondCheck)
	figures := map[string]string{}
	for what, a := range map[string]quantity.Activity{"its reading": x.Gross.Value, "its figure": x.Activity.Value} {
		for _, text := range spellings(a) {
			figures[text] = what
		}
	}
	pages := everyPage(s, s.T1)
	if sheet := pages["/sheet/P1.pdf"]; !strings.HasPrefix(sheet, "%PDF") {
		t.Errorf("who prepared gets no sheet: %.200s", sheet)
	}
	showsNone(t, "a check differs", pages, figures)
	s.RP.Fill(webtest.Bench, "see-figures", webtest.Bench+"/step/see-figures").Recorded()
	s.RP.Look(at).Says(200, "1.254")
}

// TestNoOtherSiteSendsAnything: whatever address takes something refuses it from a page
// of another site, no matter who is signed in; and to look at a page records nothing, so that
// a link of a stranger does nothing either.
func TestNoOtherSiteSendsAnything(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	all := strings.NewReplacer("{order}", "P1", "{key}", "note", "{form}", "note", "{entry}", "20", "{id}", "T2", "{run}", "1")
	posts := 0
	for _, r := range s.Server.Routes {
		if r.Method == http.MethodGet {
			continue
		}
		for _, from := range [][2]string{{"Origin", "https://elsewhere.example"}, {"Origin", "null"}, {"Sec-Fetch-Site", "cross-site"}, {"Sec-Fetch-Site", "same-site"}} {
			q := mustRequest(t, r.Method, s.HTTP.URL+all.Replace(r.Path))
			q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			q.Header.Set(from[0], from[1])
			if p := s.T1.Do(q); p.Status != http.StatusForbidden || len(p.Header.Values("Set-Cookie")) > 0 || !strings.Contains(p.Text(), "open the page there") {
				t.Errorf("%s %s with %v: %d, cookies %q", r.Method, r.Path, from, p.Status, p.Header.Values("Set-Cookie"))
			}
		}
		posts++
	}
	if posts < 20 {
		t.Fatalf("only %d addresses were tried", posts)
	}
	before := webtest.Case(s).Newest
	for _, b := range []*webtest.Browser{s.T1, s.RP, s.MP, s.As("AD1")} {
		looks(s, b)
	}
	if got := webtest.Case(s).Newest; got != before {
		t.Errorf("to look at the pages recorded %d entries", got-before)
	}
}
