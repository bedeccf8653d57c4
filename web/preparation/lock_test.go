package preparation_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/web/webtest"
)

// TestLockedPage: a page of a session that waits for its PIN says that it is
// locked and whose it is, to who opens it and to a page that looks by itself,
// and lets that person or somebody else in.
func TestLockedPage(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.T1.Look(webtest.Bench)
	s.Clock.Add(20 * time.Minute)
	p := s.T1.Get(webtest.Bench)
	if p.Status != http.StatusSeeOther || !strings.HasPrefix(p.Location, "/pin") {
		t.Fatalf("answered %d %s", p.Status, p.Location)
	}
	says := []string{"This page is locked", "T. Example (T1)", "Another person"}
	s.T1.Get(p.Location).Says(200, says...)
	live := liveRequest(s.T1, webtest.Bench)
	live.Says(http.StatusUnauthorized, says...)
	if !strings.Contains(live.Body, `id="locked"`) || live.Form("pin").Get("next") != webtest.Bench {
		t.Errorf("a page that looks by itself cannot show the lock: %s", live.Text())
	}
	other := s.T1.Get("/sign-in?other=yes&next=" + webtest.Bench)
	if got := other.Form("sign-in").Get("id"); got != "" {
		t.Errorf("somebody else is asked for the password of %s", got)
	}
	s.T1.Get("/sign-in?next="+webtest.Bench).Says(200, "Sign in")
}

// liveRequest fetches a page as it does by itself.
func liveRequest(b *webtest.Browser, path string) *webtest.Page {
	b.Helper()
	r, err := http.NewRequest(http.MethodGet, b.HTTP.URL+path, nil)
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("X-Live", "1")
	return b.Do(r)
}

// TestPageOfOneStep: the address of the bench shows the step that is due, and
// the page says which one it is, so that it is never refreshed by another.
func TestPageOfOneStep(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	if p := s.T1.Look(webtest.Bench); !strings.Contains(p.Body, `data-here="`+webtest.Bench+`/step/assay"`) {
		t.Error("the page does not say which step it shows")
	}
	s.Go("assay")
	if p := s.T1.Look(webtest.Bench + "/step/assay"); !strings.Contains(p.Body, `data-here="`+webtest.Bench+`/step/assay"`) {
		t.Error("the page of a step is that of another")
	}
}
