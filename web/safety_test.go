package web_test

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/web"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// A cookie that no sign-in gave opens nothing, and neither does one that was
// signed out.
func TestForgedSession(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	for _, value := range []string{"x", strings.Repeat("A", 43), "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAE"} {
		b := l.Browser()
		r, _ := http.NewRequest(http.MethodGet, l.HTTP.URL+"/", nil)
		r.AddCookie(&http.Cookie{Name: "vialwright", Value: value})
		if p := b.Do(r); p.Status != http.StatusSeeOther || !strings.HasPrefix(p.Location, "/sign-in") {
			t.Errorf("%q: %d %s", value, p.Status, p.Location)
		}
	}
	b := l.As("RP1")
	u, _ := url.Parse(l.HTTP.URL)
	old := b.Client.Jar.Cookies(u)
	b.Post("/sign-out", nil).Recorded()
	r, _ := http.NewRequest(http.MethodGet, l.HTTP.URL+"/", nil)
	for _, c := range old {
		r.AddCookie(c)
	}
	if p := l.Browser().Do(r); p.Status != http.StatusSeeOther {
		t.Errorf("a session that was ended: %d", p.Status)
	}
	if c := l.As("RP1").Client.Jar.Cookies(u); len(c) != 3 { // of the session, of who else is signed in here, and by which the browser is known again
		t.Errorf("%d cookies", len(c))
	}
}

// The cookie is for this host, for TLS, for no script, and for no other site.
func TestCookie(t *testing.T) {
	l := webtest.New(t, func(c *web.Config) { c.PlainHTTP = false }).Hire()
	p := l.Browser().Post("/sign-in", url.Values{"id": {"RP1"}, "password": {webtest.Password}})
	all := append(p.Header.Values("Set-Cookie"), l.Browser().Post("/theme", nil).Header.Values("Set-Cookie")...)
	for _, got := range all {
		for _, want := range []string{"Path=/", "HttpOnly", "Secure", "SameSite=Strict"} {
			if !strings.Contains(got, want) {
				t.Errorf("the cookie has no %s: %s", want, got)
			}
		}
	}
	for _, name := range []string{"__Host-vialwright-browser=", "__Host-vialwright="} {
		if !slices.ContainsFunc(all, func(c string) bool { return strings.HasPrefix(c, name) }) {
			t.Errorf("no cookie is %s: %q", name, all)
		}
	}
}

// A form that is sent twice is recorded once, and both answers are the same;
// also when both come at the same time.
func TestReplay(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("11:00")
	v := s.T1.Look(webtest.Bench + "/step/assay").Form("step")
	for name, value := range map[string]string{"p0.gross": "3.24", "p0.gross.unit": "GBq", "p0.background": "0.2", "p0.background.unit": "MBq"} {
		v.Set(name, value)
	}
	before := webtest.Case(s).Newest
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if p := s.T1.Post(webtest.Bench+"/step/assay", v); p.Status != http.StatusSeeOther || p.Location != webtest.Bench {
				t.Errorf("answered %d %s", p.Status, p.Location)
			}
		})
	}
	all.Wait()
	if got := webtest.Case(s).Newest; got != before+1 {
		t.Errorf("%d records for one form", got-before)
	}
	// After a restart the nonce is found among those kept.
	s.Restart()
	s.T1.Post(webtest.Bench+"/step/assay", v).Says(http.StatusSeeOther)
	if got := webtest.Case(s).Newest; got != before+1 {
		t.Errorf("%d records after a restart", got-before)
	}
}

// A form that is sent twice at the same time and refused says both times when it was
// first sent, so that the time of the reading is not that of the mended unit.
func TestReplayOfARefusedTry(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("11:00")
	v := s.T1.Look(webtest.Bench + "/step/assay").Form("step")
	v.Set("p0.gross", "3.24")
	var all sync.WaitGroup
	for range 16 {
		all.Go(func() {
			p := s.T1.Post(webtest.Bench+"/step/assay", v).Says(http.StatusUnprocessableEntity, "there is no unit")
			if at := p.Form("step").Get("p0.at"); at != "11:00" {
				t.Errorf("after the try there stands %q", at)
			}
		})
	}
	all.Wait()
}

// Two people at one step: the second is told what the first recorded, finds
// the own entry still there, and decides again.
func TestConflict(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Clock.Set("11:10")
	other := s.As("T2")
	v := other.Get(webtest.Bench + "/step/draw").Form("step")
	v.Set("p0.volume", "2.0")
	s.Go("draw")
	p := other.Post(webtest.Bench+"/step/draw", v)
	p.Says(http.StatusConflict, "Look again", "T1, drawn", "Nothing of yours was recorded")
	if strings.Contains(p.Text(), "2.2 mL") {
		t.Error("who might still check the dose is told what was drawn")
	}
	if got := p.Form("step").Get("p0.volume"); got != "2.0" {
		t.Errorf("what was typed became %q", got)
	}
}

// A page of another site cannot send a form, with or without headers that say
// so; and a form is a form, of limited size.
func TestWrongRequests(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	before := webtest.Case(s).Newest
	send := func(kind, body string, header ...string) *webtest.Page {
		r, err := http.NewRequest(http.MethodPost, s.HTTP.URL+"/day/enter/note", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", kind)
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		return s.T1.Do(r)
	}
	const form = "application/x-www-form-urlencoded"
	note := "nonce=1&head=" + webtest.Decimal(before) + "&p0.text=hello"
	for _, c := range []struct {
		name   string
		page   *webtest.Page
		status int
	}{
		{"another origin", send(form, note, "Origin", "https://elsewhere.example"), 403},
		{"another site, by its fetch metadata", send(form, note, "Sec-Fetch-Site", "cross-site"), 403},
		{"json", send("application/json", `{"p0.text":"hello"}`), 415},
		{"multipart", send("multipart/form-data; boundary=x", "--x--"), 415},
		{"no type", send("", note), 415},
		{"too large", send(form, "p0.text="+strings.Repeat("a", 64<<10)), 413},
		{"not readable", send(form, "p0.text=%zz"), 400},
		{"another method", s.T1.Do(mustRequest(t, http.MethodDelete, s.HTTP.URL+"/day")), 404},
		{"no such page", s.T1.Get("/nothing"), 404},
		{"no such order", s.T1.Get("/order/nothing"), 404},
		{"no such order", s.T1.Get("/order/P9"), 404},
		{"no such step", s.T1.Get(webtest.Bench + "/step/nothing"), 404},
		{"no such entry", s.T1.Get(webtest.Entry(999)), 404},
		{"no such label", s.T1.Get("/labels/K7MP3YWD9CK2.pdf"), 404},
	} {
		if c.page.Status != c.status {
			t.Errorf("%s: %d, want %d", c.name, c.page.Status, c.status)
		}
	}
	if got := webtest.Case(s).Newest; got != before {
		t.Error("one of them was recorded")
	}
}

func mustRequest(t *testing.T, method, to string) *http.Request {
	t.Helper()
	r, err := http.NewRequest(method, to, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What looks like a script is text, wherever it was typed.
func TestScriptIsText(t *testing.T) {
	const nasty = `<script>alert("x")</script>'"><img src=x onerror=alert(1)>`
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.T1.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", nasty).Recorded()
	wrong := s.T1.Fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", nasty, "p0.lot", nasty)
	for _, p := range []*webtest.Page{wrong, s.T1.Get("/history"), s.T1.Get("/day"), s.T1.Get("/sign-in?next=" + url.QueryEscape(nasty))} {
		if strings.Contains(p.Body, "<script>alert") || strings.Contains(p.Body, "<img") {
			t.Errorf("it came through as it was: %s", p.Body)
		}
		if csp := p.Header.Get("Content-Security-Policy"); !strings.Contains(csp, "script-src 'self'") || strings.Contains(csp, "unsafe") {
			t.Errorf("policy %q", csp)
		}
		if strings.Contains(p.Body, " style=") || strings.Contains(p.Body, " onclick=") {
			t.Error("a style or a handler stands in the page; the policy forbids it")
		}
	}
}

// A session that was not used asks for the PIN, and what was typed is there
// again; five wrong PINs end it, and the password brings the entry back. It is
// there for nobody else.
func TestNothingTypedIsLost(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	v := s.T1.Look(webtest.Bench + "/step/assay").Form("step")
	v.Set("p0.gross", "3.24")
	s.Clock.Add(20 * time.Minute)
	p := s.T1.Post(webtest.Bench+"/step/assay", v)
	if p.Status != http.StatusSeeOther || !strings.HasPrefix(p.Location, "/pin") {
		t.Fatalf("answered %d %s", p.Status, p.Location)
	}
	for range 5 {
		s.Clock.Add(11 * time.Second)
		s.T1.Post("/pin", url.Values{"pin": {"0000"}, "next": {webtest.Bench + "/step/assay"}}).Says(http.StatusForbidden)
	}
	s.Clock.Add(11 * time.Second)
	p = s.T1.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {webtest.Bench + "/step/assay"}})
	if p.Status != http.StatusSeeOther || !strings.HasPrefix(p.Location, "/sign-in") {
		t.Errorf("after five wrong PINs: %d %s", p.Status, p.Location)
	}
	again := s.AsElsewhere("T1").Get(webtest.Bench + "/step/assay")
	if got := again.Form("step").Get("p0.gross"); got != "3.24" {
		t.Errorf("what was typed became %q", got)
	}
	again.Says(200, "It is not recorded yet")
	if got := again.Form("step").Get("p0.at"); got != "10:20" {
		t.Errorf("a reading that was sent at 10:20 is at %q", got)
	}
	if got := s.AsElsewhere("T2").Get(webtest.Bench + "/step/assay").Form("step").Get("p0.gross"); got != "" {
		t.Errorf("somebody else sees %q", got)
	}
}

// A draft is kept while it is typed, without secrets, and goes once recorded.
func TestDraft(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("11:00")
	at := webtest.Bench + "/step/assay"
	if p := s.T1.Look("/"); p.Status != 200 {
		t.Fatal(p.Status)
	}
	if p := s.T1.Post(webtest.Keeper(at), url.Values{"p0.gross": {"3.2"}, "pin": {webtest.PIN}, "nonce": {"n"}}); p.Status != http.StatusNoContent {
		t.Fatalf("%d %s", p.Status, p.Text())
	}
	if d := s.Draft("T1", at); strings.Contains(d, webtest.PIN) || !strings.Contains(d, "3.2") {
		t.Errorf("kept %q", d)
	}
	s.Restart()
	if got := s.T1.Look(at).Form("step").Get("p0.gross"); got != "3.2" {
		t.Errorf("after a restart there stands %q", got)
	}
	// What had to wait for the program is of when it was typed.
	s.T1.Post(webtest.Keeper(at)+"&ago=600", url.Values{"p0.gross": {"3.3"}, "nonce": {"n"}}).Says(http.StatusNoContent)
	if got := s.T1.Look(at).Says(200, "What you typed at 10:50 is here again").Form("step").Get("p0.at"); got != "10:50" {
		t.Errorf("a reading typed at 10:50 is of %q", got)
	}
	s.Go("assay")
	if s.Draft("T1", at) != "" {
		t.Error("the draft is kept although it was recorded")
	}
}

// A signature takes the right PIN; a wrong one records nothing and keeps the
// entry.
func TestSignature(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	s.RP.Look("/")
	p := s.RP.Fill(webtest.Bench+"/step/release", "step", webtest.Bench+"/step/release", "p0.serial", s.Serial, "pin", "1357")
	p.Says(http.StatusUnprocessableEntity, "that is not right")
	if p.Form("step").Get("p0.serial") != s.Serial || p.Form("step").Get("pin") != "" || len(s.Facts("release")) != 0 {
		t.Error("the scan is gone, the PIN is shown, or it was recorded")
	}
	if got := p.Form("step").Get("p0.at"); got != "" {
		t.Errorf("a release that failed keeps its time %s", got)
	}
	p = s.Step(s.RP, "release", "p0.serial", webtest.AnotherSerial())
	p.Says(http.StatusForbidden, "is no label of order P1")
	s.Go("release")
	if len(s.Facts("release")) != 1 {
		t.Error("the release was not recorded")
	}
}

// Practice marks every page, and its label can be of practice only.
func TestPractice(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Practice = true }).Hire()).Until("label")
	if !strings.HasPrefix(s.Serial, "X") {
		t.Errorf("the serial %s is not one of practice", s.Serial)
	}
	for _, path := range []string{"/", "/day", webtest.Bench, webtest.Bench + "/check", "/me", "/nothing", "/sign-in"} {
		if p := s.T1.Look(path); strings.Count(p.Text(), kit.PracticeMark) < 2 {
			t.Errorf("%s is not marked above and below", path)
		}
	}
	patients := webtest.New(t, nil)
	patients.Config.Vault = s.Vault
	u, _ := url.Parse(s.HTTP.URL)
	patients.Restart()
	r := mustRequest(t, http.MethodGet, patients.HTTP.URL+"/")
	for _, c := range s.T1.Client.Jar.Cookies(u) {
		r.AddCookie(c)
	}
	if p := patients.Browser().Do(r); p.Status != http.StatusSeeOther {
		t.Errorf("a session of practice opens patients' work: %d", p.Status)
	}
}

// TestCautionsOnEveryPage: what the figures are not for stands on every page.
func TestCautionsOnEveryPage(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	for _, path := range []string{"/", "/day", webtest.Bench, webtest.Bench + "/check", "/me", "/nothing", "/sign-in"} {
		p := s.T1.Look(path)
		for _, words := range []string{"Not a medical device", "Verify every figure independently", "package insert"} {
			if !strings.Contains(p.Text(), words) {
				t.Errorf("%s does not say %q", path, words)
			}
		}
	}
}
