package web_test

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/people"
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
	if c := l.As("RP1").Client.Jar.Cookies(u); len(c) != 2 { // of the session, and by which the browser is known again
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
	if len(all) != 3 || !strings.HasPrefix(all[0], "__Host-vialwright-browser=") || !strings.HasPrefix(all[1], "__Host-vialwright=") {
		t.Errorf("the cookies are %q", all)
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

// Two people at one step: the second is told what the first recorded, finds
// the own entry still there, and decides again.
func TestConflict(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Clock.Set("11:10")
	other := s.As("T2")
	v := other.Get(webtest.Bench + "/step/draw").Form("step")
	v.Set("p0.volume", "2.0")
	s.Draw()
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
	if got := again.Form("step").Get("p0.at"); !strings.HasPrefix(got, "2027-03-04T10:20") {
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
	s.Assay()
	if s.Draft("T1", at) != "" {
		t.Error("the draft is kept although it was recorded")
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
	v.Set("setup", "K7MP")
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
	b.Get("/").Says(200, "Board", "V. Example")
	admin.Fill("/people/T3", "change", "/people/T3", "active", "no").Recorded()
	if p := b.Get("/"); p.Status != http.StatusSeeOther {
		t.Errorf("an account switched off still works: %d", p.Status)
	}
	admin.Fill("/people/AD1", "change", "/people/AD1", "active", "no").Says(http.StatusUnprocessableEntity, "Nobody changes their own account")
}

// A signature takes the right PIN; a wrong one records nothing and keeps the
// entry.
func TestSignature(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	s.RP.Look("/")
	p := s.RP.Fill(webtest.Bench+"/step/release", "step", webtest.Bench+"/step/release", "p0.serial", s.Serial, "pin", "1357")
	p.Says(http.StatusUnprocessableEntity, "that is not right")
	if p.Form("step").Get("p0.serial") != s.Serial || p.Form("step").Get("pin") != "" || s.Releases() != 0 {
		t.Error("the scan is gone, the PIN is shown, or it was recorded")
	}
	if got := p.Form("step").Get("p0.at"); got != "" {
		t.Errorf("a release that failed keeps its time %s", got)
	}
	p = s.Step(s.RP, "release", "p0.serial", webtest.AnotherSerial())
	p.Says(http.StatusForbidden, "is no label of order P1")
	s.Release()
	if s.Releases() != 1 {
		t.Error("the release was not recorded")
	}
}

// A time-out at which something else is read out is refused, each time with
// what differs.
func TestTimeOutDiffers(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
	s.Clock.Set("13:25")
	for _, c := range []struct {
		field, value string
		status       int
		says         string
	}{
		{"p0.patient", "DEMO-0024", http.StatusForbidden, "identifier"},
		{"p0.territory", "left lobe", http.StatusForbidden, "territory"},
		{"p0.activity", "1.36", http.StatusForbidden, "activity"},
		{"p0.with", "T1", http.StatusForbidden, "no authorised physician"},
		{"p0.with", "ZZ", http.StatusUnprocessableEntity, "no account"},
		{"p0.with", "SN1", http.StatusUnprocessableEntity, "that is you"},
		{"p0.with", "OB1", http.StatusUnprocessableEntity, "may not take part in a time-out"},
		{"pin2", "", http.StatusUnprocessableEntity, "The other person types their own PIN"},
		{"pin2", "1357", http.StatusUnprocessableEntity, "the PIN of DR1: that is not right"},
	} {
		right := []string{
			"p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", webtest.PIN, c.field, c.value,
		}
		s.Nurse.Fill(webtest.Bench+"/time-out", "step", webtest.Bench+"/time-out", right...).Says(c.status, c.says)
	}
	s.TimeOut()
}

// A correction stands beside the old entry, moves the figures, and makes the
// second check stale.
func TestCorrection(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	history := "/history"
	f := webtest.Case(s)
	n := 0
	for _, e := range f.Entries() {
		if e.First.Kind() == "read" {
			n = e.Number // the reading of what is left
		}
	}
	at := "/entry/" + strconv.Itoa(n) + "/correct"
	s.T1.Fill(at, "correct", at, "p0.with.read.gross", "1.86 GBq").Says(http.StatusUnprocessableEntity, "it is empty")
	s.T1.Fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 liters").Says(http.StatusUnprocessableEntity, "Error")
	s.T1.Fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 GBq").Recorded()
	s.T1.Look(history).Says(200, "1.87 GBq", "1.86 GBq", "digits exchanged", "Corrected")
	s.T1.Get(webtest.Bench).Says(200, "1.339")
	v := url.Values{"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.size": {"administration-vial"}}
	if p := s.T1.Post(webtest.Bench+"/step/label", v); p.Status == http.StatusSeeOther {
		t.Error("a label was printed on a check from before the correction")
	}
}

// The health is one word for who is not signed in; the counters take a token.
func TestHealthAndMetrics(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	if p := l.Browser().Get("/health"); p.Status != 200 || p.Body != "ok\n" {
		t.Errorf("%d %q", p.Status, p.Body)
	}
	r := mustRequest(t, http.MethodGet, l.HTTP.URL+"/metrics")
	r.Header.Set("Authorization", "Bearer scrape")
	p := l.Browser().Do(r)
	for _, want := range []string{`vialwright_requests_total{method="GET",route="/health",status="200"} 1`, "vialwright_journal_records " + strconv.Itoa(webtest.Settings), "vialwright_journal_broken 0", `_bucket{le="+Inf"} 1`} {
		if !strings.Contains(p.Body, want) {
			t.Errorf("the counters do not say %s:\n%s", want, p.Body)
		}
	}
	r.Header.Set("Authorization", "Bearer wrong")
	if p := l.Browser().Do(r); p.Status != http.StatusUnauthorized {
		t.Errorf("a wrong token: %d", p.Status)
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
