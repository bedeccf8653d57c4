package web

import (
	"net/http"
	"strings"
	"testing"
	"time"
)

// TestLockedPage: a page of a session that waits for its PIN says that it is
// locked and whose it is, to who opens it and to a page that looks by itself,
// and lets that person or somebody else in.
func TestLockedPage(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.t1.look(theBench)
	s.clock.add(20 * time.Minute)
	p := s.t1.get(theBench)
	if p.status != http.StatusSeeOther || !strings.HasPrefix(p.location, "/pin") {
		t.Fatalf("answered %d %s", p.status, p.location)
	}
	says := []string{"This page is locked", "T. Example (T1)", "Somebody else signs in"}
	s.t1.get(p.location).says(200, says...)
	live := s.t1.live(theBench)
	live.says(http.StatusUnauthorized, says...)
	if !strings.Contains(live.body, `id="locked"`) || live.form("pin").Get("next") != theBench {
		t.Errorf("a page that looks by itself cannot show the lock: %s", live.text())
	}
	other := s.t1.get("/sign-in?other=yes&next=" + theBench)
	if got := other.form("sign-in").Get("id"); got != "" {
		t.Errorf("somebody else is asked for the password of %s", got)
	}
	s.t1.get("/sign-in?next="+theBench).says(200, "Sign in")
}

// live fetches a page as it does by itself.
func (b *browser) live(path string) *page {
	b.Helper()
	r, err := http.NewRequest(http.MethodGet, b.http.URL+path, nil)
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("X-Live", "1")
	return b.do(r)
}

// TestPageOfOneStep: the address of the bench shows the step that is due, and
// the page says which one it is, so that it is never refreshed by another.
func TestPageOfOneStep(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	if p := s.t1.look(theBench); !strings.Contains(p.body, `data-here="`+theBench+`/step/assay"`) {
		t.Error("the page does not say which step it shows")
	}
	s.assay()
	if p := s.t1.look(theBench + "/step/assay"); !strings.Contains(p.body, `data-here="`+theBench+`/step/assay"`) {
		t.Error("the page of a step is that of another")
	}
}
