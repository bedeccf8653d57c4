package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/people"
)

// A cookie that no sign-in gave opens nothing, and neither does one that was
// signed out.
func TestForgedSession(t *testing.T) {
	l := newLab1(t, nil).hire()
	for _, value := range []string{"x", strings.Repeat("A", 43), "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAE"} {
		b := l.browser()
		r, _ := http.NewRequest(http.MethodGet, l.http.URL+"/", nil)
		r.AddCookie(&http.Cookie{Name: "vialwright", Value: value})
		if p := b.do(r); p.status != http.StatusSeeOther || !strings.HasPrefix(p.location, "/sign-in") {
			t.Errorf("%q: %d %s", value, p.status, p.location)
		}
	}
	b := l.as("RP1")
	u, _ := url.Parse(l.http.URL)
	old := b.client.Jar.Cookies(u)
	b.post("/sign-out", nil).recorded()
	r, _ := http.NewRequest(http.MethodGet, l.http.URL+"/", nil)
	for _, c := range old {
		r.AddCookie(c)
	}
	if p := l.browser().do(r); p.status != http.StatusSeeOther {
		t.Errorf("a session that was ended: %d", p.status)
	}
	if c := l.as("RP1").client.Jar.Cookies(u); len(c) != 1 {
		t.Errorf("%d cookies", len(c))
	}
}

// The cookie is for this host, for TLS, for no script, and for no other site.
func TestCookie(t *testing.T) {
	l := newLab1(t, func(c *Config) { c.PlainHTTP = false }).hire()
	p := l.browser().post("/sign-in", url.Values{"id": {"RP1"}, "password": {password}})
	got := p.header.Get("Set-Cookie")
	for _, want := range []string{"__Host-vialwright=", "Path=/", "HttpOnly", "Secure", "SameSite=Strict"} {
		if !strings.Contains(got, want) {
			t.Errorf("the cookie has no %s: %s", want, got)
		}
	}
}

// A form that is sent twice is recorded once, and both answers are the same;
// also when both come at the same time.
func TestReplay(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("11:00")
	v := s.t1.look(theBench + "/step/assay").form("step")
	for name, value := range map[string]string{"p0.gross": "3.24", "p0.gross.unit": "GBq", "p0.background": "0.2", "p0.background.unit": "MBq"} {
		v.Set(name, value)
	}
	before := mustCase(s).Newest
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if p := s.t1.post(theBench+"/step/assay", v); p.status != http.StatusSeeOther || p.location != theBench {
				t.Errorf("answered %d %s", p.status, p.location)
			}
		})
	}
	all.Wait()
	if got := mustCase(s).Newest; got != before+1 {
		t.Errorf("%d records for one form", got-before)
	}
	// After a restart the nonce is found among those kept.
	s.srv.nonces = newNonces()
	s.t1.post(theBench+"/step/assay", v).says(http.StatusSeeOther)
	if got := mustCase(s).Newest; got != before+1 {
		t.Errorf("%d records after a restart", got-before)
	}
}

// Two people at one step: the second is told what the first recorded, finds
// the own entry still there, and decides again.
func TestConflict(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	s.clock.set("11:10")
	other := s.as("T2")
	v := other.get(theBench + "/step/draw").form("step")
	v.Set("p0.volume", "2.0")
	s.draw()
	p := other.post(theBench+"/step/draw", v)
	p.says(http.StatusConflict, "Look again", "T1, drawn", "Nothing of yours was recorded")
	if strings.Contains(p.text(), "2.2 mL") {
		t.Error("who might still check the dose is told what was drawn")
	}
	if got := p.form("step").Get("p0.volume"); got != "2.0" {
		t.Errorf("what was typed became %q", got)
	}
}

// A page of another site cannot send a form, with or without headers that say
// so; and a form is a form, of limited size.
func TestWrongRequests(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	before := mustCase(s).Newest
	send := func(kind, body string, header ...string) *page {
		r, err := http.NewRequest(http.MethodPost, s.http.URL+"/day/enter/note", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", kind)
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		return s.t1.do(r)
	}
	const form = "application/x-www-form-urlencoded"
	note := "nonce=1&head=" + decimal(before) + "&p0.text=hello"
	for _, c := range []struct {
		name   string
		page   *page
		status int
	}{
		{"another origin", send(form, note, "Origin", "https://elsewhere.example"), 403},
		{"another site, by its fetch metadata", send(form, note, "Sec-Fetch-Site", "cross-site"), 403},
		{"json", send("application/json", `{"p0.text":"hello"}`), 415},
		{"multipart", send("multipart/form-data; boundary=x", "--x--"), 415},
		{"no type", send("", note), 415},
		{"too large", send(form, "p0.text="+strings.Repeat("a", mostBody)), 413},
		{"not readable", send(form, "p0.text=%zz"), 400},
		{"another method", s.t1.do(mustRequest(t, http.MethodDelete, s.http.URL+"/day")), 404},
		{"no such page", s.t1.get("/nothing"), 404},
		{"no such order", s.t1.get("/order/nothing"), 404},
		{"no such order", s.t1.get("/order/P9"), 404},
		{"no such step", s.t1.get(theBench + "/step/nothing"), 404},
		{"no such entry", s.t1.get(entry(999)), 404},
		{"no such label", s.t1.get("/labels/K7MP3YWD9CK2.pdf"), 404},
	} {
		if c.page.status != c.status {
			t.Errorf("%s: %d, want %d", c.name, c.page.status, c.status)
		}
	}
	if got := mustCase(s).Newest; got != before {
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
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.t1.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", nasty).recorded()
	wrong := s.t1.fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", nasty, "p0.lot", nasty)
	for _, p := range []*page{wrong, s.t1.get("/history"), s.t1.get("/day"), s.t1.get("/sign-in?next=" + url.QueryEscape(nasty))} {
		if strings.Contains(p.body, "<script>alert") || strings.Contains(p.body, "<img") {
			t.Errorf("it came through as it was: %s", p.body)
		}
		if csp := p.header.Get("Content-Security-Policy"); !strings.Contains(csp, "script-src 'self'") || strings.Contains(csp, "unsafe") {
			t.Errorf("policy %q", csp)
		}
		if strings.Contains(p.body, " style=") || strings.Contains(p.body, " onclick=") {
			t.Error("a style or a handler stands in the page; the policy forbids it")
		}
	}
}

// Sign-in leads to addresses of ours only.
func TestNextStaysHere(t *testing.T) {
	l := newLab1(t, nil).hire()
	for _, next := range []string{"https://elsewhere.example/", "//elsewhere.example", `/\elsewhere.example`, "javascript:alert(1)", "elsewhere", ""} {
		p := l.browser().post("/sign-in", url.Values{"id": {"RP1"}, "password": {password}, "next": {next}})
		if p.location != "/" {
			t.Errorf("next %q leads to %q", next, p.location)
		}
		l.srv.limits = newAddresses()
	}
}

// Wrong passwords lock the account, many tries the address; the answer never
// says whether the id exists.
func TestGuessing(t *testing.T) {
	l := newLab1(t, nil).hire()
	try := func(id, word string) *page {
		return l.browser().post("/sign-in", url.Values{"id": {id}, "password": {word}})
	}
	a, b := try("RP1", "wrong"), try("ZZ9", "wrong")
	if a.status != b.status || strings.ReplaceAll(a.text(), "RP1", "") != strings.ReplaceAll(b.text(), "ZZ9", "") {
		t.Errorf("an id that exists is told from one that does not:\n%s\n%s", a.text(), b.text())
	}
	try("RP1", "wrong")
	try("RP1", "wrong").says(http.StatusForbidden)
	try("RP1", password).says(http.StatusForbidden, "wrong several times", "30 s")
	l.clock.add(31 * time.Second)
	if p := try("RP1", password); p.status != http.StatusSeeOther {
		t.Errorf("after the wait: %d %s", p.status, p.text())
	}
	for range 12 {
		try("T1", "x")
	}
	try("T1", password).says(http.StatusTooManyRequests, "too many tries")
}

// A session that was not used asks for the PIN, and what was typed is there
// again; five wrong PINs end it, and the password brings the entry back. It is
// there for nobody else.
func TestNothingTypedIsLost(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	v := s.t1.look(theBench + "/step/assay").form("step")
	v.Set("p0.gross", "3.24")
	s.clock.add(20 * time.Minute)
	p := s.t1.post(theBench+"/step/assay", v)
	if p.status != http.StatusSeeOther || !strings.HasPrefix(p.location, "/pin") {
		t.Fatalf("answered %d %s", p.status, p.location)
	}
	for range 5 {
		s.clock.add(11 * time.Second)
		s.t1.post("/pin", url.Values{"pin": {"0000"}, "next": {theBench + "/step/assay"}}).says(http.StatusForbidden)
	}
	s.clock.add(11 * time.Second)
	p = s.t1.post("/pin", url.Values{"pin": {pin}, "next": {theBench + "/step/assay"}})
	if p.status != http.StatusSeeOther || !strings.HasPrefix(p.location, "/sign-in") {
		t.Errorf("after five wrong PINs: %d %s", p.status, p.location)
	}
	again := s.as2("T1").get(theBench + "/step/assay")
	if got := again.form("step").Get("p0.gross"); got != "3.24" {
		t.Errorf("what was typed became %q", got)
	}
	again.says(200, "It is not recorded yet")
	if got := again.form("step").Get("p0.at"); !strings.HasPrefix(got, "2027-03-04T10:20") {
		t.Errorf("a reading that was sent at 10:20 is at %q", got)
	}
	if got := s.as2("T2").get(theBench + "/step/assay").form("step").Get("p0.gross"); got != "" {
		t.Errorf("somebody else sees %q", got)
	}
}

// A draft is kept while it is typed, without secrets, and goes once recorded.
func TestDraft(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("11:00")
	at := theBench + "/step/assay"
	if p := s.t1.look("/"); p.status != 200 {
		t.Fatal(p.status)
	}
	if p := s.t1.post(keeper(at), url.Values{"p0.gross": {"3.2"}, "pin": {pin}, "nonce": {"n"}}); p.status != http.StatusNoContent {
		t.Fatalf("%d %s", p.status, p.text())
	}
	d, found, err := s.srv.kept.draft(context.Background(), "T1", at)
	if err != nil || !found || strings.Contains(d.Text, pin) || !strings.Contains(d.Text, "3.2") {
		t.Errorf("kept %q, %v, %v", d.Text, found, err)
	}
	s.assay()
	if _, found, _ := s.srv.kept.draft(context.Background(), "T1", at); found {
		t.Error("the draft is kept although it was recorded")
	}
}

// The first account takes the setup code, is an administrator, and is made
// once.
func TestFirstAccount(t *testing.T) {
	l := newLab1(t, func(c *Config) { c.Setup = "K7MP" })
	b := l.browser()
	if p := b.get("/"); p.location != "/first" {
		t.Errorf("an empty roster leads to %q", p.location)
	}
	v := url.Values{"setup": {"wrong"}, "id": {"AD1"}, "name": {"A. Example"}, "password": {password}, "pin": {pin}}
	b.post("/first", v).says(http.StatusForbidden, "setup code")
	v.Set("setup", "K7MP")
	v.Set("password", "short")
	b.post("/first", v).says(http.StatusUnprocessableEntity, "15")
	v.Set("password", password)
	b.post("/first", v).recorded()
	b.get("/people").says(200, "AD1", "administrator")
	v.Set("id", "AD2")
	v.Set("name", "B. Example")
	if p := l.browser().post("/first", v); p.location == "/people" {
		t.Error("a second first account was made")
	}
	if all, _ := l.srv.kept.accounts(context.Background()); len(all) != 1 {
		t.Errorf("%d accounts", len(all))
	}
}

var given = "First password, for one sign-in "

// An administrator adds a person, whose first password is good for one thing:
// choosing another. Switching the account off ends its sessions at once.
func TestPerson(t *testing.T) {
	l := newLab1(t, nil).hire()
	admin := l.as("AD1")
	v := url.Values{"id": {"T3"}, "name": {"V. Example"}, "role": {string(people.Technologist)}, "pin": {"0000"}}
	admin.post("/people", v).says(http.StatusUnprocessableEntity, "not right")
	v.Set("pin", pin)
	text := admin.post("/people", v).says(200, given).text()
	_, first, _ := strings.Cut(text, given)
	first, _, _ = strings.Cut(first, " ")
	b := l.browser()
	if p := b.post("/sign-in", url.Values{"id": {"T3"}, "password": {first}}); p.location != "/me" {
		t.Fatalf("leads to %q: %s", p.location, p.text())
	}
	if p := b.get("/"); p.location != "/me" {
		t.Errorf("the board opens with a first password: %d", p.status)
	}
	b.post("/me/password", url.Values{"old": {first}, "password": {"copper violin harbour tea"}}).recorded()
	b.get("/").says(200, "Board", "V. Example")
	admin.post("/people/T3", url.Values{"name": {"V. Example"}, "role": {string(people.Technologist)}, "active": {"no"}, "pin": {pin}}).recorded()
	if p := b.get("/"); p.status != http.StatusSeeOther {
		t.Errorf("an account switched off still works: %d", p.status)
	}
	admin.post("/people/AD1", url.Values{"name": {"A. Example"}, "role": {"administrator"}, "active": {"no"}, "pin": {pin}}).says(http.StatusUnprocessableEntity, "Nobody changes their own account")
}

// A signature takes the right PIN; a wrong one records nothing and keeps the
// entry.
func TestSignature(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	s.rp.look("/")
	p := s.rp.fill(theBench+"/step/release", "step", theBench+"/step/release", "p0.serial", s.serial, "pin", "1357")
	p.says(http.StatusUnprocessableEntity, "that is not right")
	if p.form("step").Get("p0.serial") != s.serial || p.form("step").Get("pin") != "" || s.releases() != 0 {
		t.Error("the scan is gone, the PIN is shown, or it was recorded")
	}
	if got := p.form("step").Get("p0.at"); got != "" {
		t.Errorf("a release that failed keeps its time %s", got)
	}
	p = s.step(s.rp, "release", "p0.serial", s.srv.newSerialForTest())
	p.says(http.StatusForbidden, "is no label of order P1")
	s.release()
	if s.releases() != 1 {
		t.Error("the release was not recorded")
	}
}

// A time-out at which something else is read out is refused, each time with
// what differs.
func TestTimeOutDiffers(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("hand-over")
	s.clock.set("13:25")
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
		{"pin2", "", http.StatusUnprocessableEntity, "the other person types their own PIN"},
		{"pin2", "1357", http.StatusUnprocessableEntity, "the PIN of DR1: that is not right"},
	} {
		right := []string{
			"p0.patient", "DEMO-0042", "p0.territory", "right lobe", "p0.activity", "1.33", "p0.activity.unit", "GBq", "p0.with", "DR1", "pin2", pin, c.field, c.value,
		}
		s.nurse.fill(theBench+"/time-out", "step", theBench+"/time-out", right...).says(c.status, c.says)
	}
	s.timeOut()
}

// A correction stands beside the old entry, moves the figures, and makes the
// second check stale.
func TestCorrection(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("second-check")
	history := "/history"
	f := mustCase(s)
	n := 0
	for _, e := range f.Entries() {
		if e.First.Kind() == "read" {
			n = e.Number // the reading of what is left
		}
	}
	at := "/entry/" + strconv.Itoa(n) + "/correct"
	s.t1.fill(at, "correct", at, "p0.with.read.gross", "1.86 GBq").says(http.StatusUnprocessableEntity, "it is empty")
	s.t1.fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 liters").says(http.StatusUnprocessableEntity, "Error")
	s.t1.fill(at, "correct", at, "p0.reason", "digits exchanged", "p0.with.read.gross", "1.86 GBq").recorded()
	s.t1.look(history).says(200, "1.87 GBq", "1.86 GBq", "digits exchanged", "Corrected")
	s.t1.get(theBench).says(200, "1.339")
	v := url.Values{"nonce": {"n"}, "head": {decimal(mustCase(s).Newest)}, "pin": {pin}, "p0.size": {"administration-vial"}}
	if p := s.t1.post(theBench+"/step/label", v); p.status == http.StatusSeeOther {
		t.Error("a label was printed on a check from before the correction")
	}
}

// The health is one word for who is not signed in; the counters take a token.
func TestHealthAndMetrics(t *testing.T) {
	l := newLab1(t, nil).hire()
	if p := l.browser().get("/health"); p.status != 200 || p.body != "ok\n" {
		t.Errorf("%d %q", p.status, p.body)
	}
	r := mustRequest(t, http.MethodGet, l.http.URL+"/metrics")
	r.Header.Set("Authorization", "Bearer scrape")
	p := l.browser().do(r)
	for _, want := range []string{`vialwright_requests_total{method="GET",route="/health",status="200"} 1`, "vialwright_journal_records 3", "vialwright_journal_broken 0", `_bucket{le="+Inf"} 1`} {
		if !strings.Contains(p.body, want) {
			t.Errorf("the counters do not say %s:\n%s", want, p.body)
		}
	}
	r.Header.Set("Authorization", "Bearer wrong")
	if p := l.browser().do(r); p.status != http.StatusUnauthorized {
		t.Errorf("a wrong token: %d", p.status)
	}
}

// Practice marks every page, and its label can be of practice only.
func TestPractice(t *testing.T) {
	s := newStory(newLab1(t, func(c *Config) { c.Practice = true }).hire()).until("label")
	if !strings.HasPrefix(s.serial, "X") {
		t.Errorf("the serial %s is not one of practice", s.serial)
	}
	for _, path := range []string{"/", "/day", theBench, theBench + "/check", "/me", "/nothing", "/sign-in"} {
		if p := s.t1.look(path); strings.Count(p.text(), PracticeMark) < 2 {
			t.Errorf("%s is not marked above and below", path)
		}
	}
	patients := newLab1(t, nil)
	patients.cfg.Vault = s.vault
	u, _ := url.Parse(s.http.URL)
	other, err := New(context.Background(), patients.cfg)
	if err != nil {
		t.Fatal(err)
	}
	patients.srv.handler = other.handler
	r := mustRequest(t, http.MethodGet, patients.http.URL+"/")
	for _, c := range s.t1.client.Jar.Cookies(u) {
		r.AddCookie(c)
	}
	if p := patients.browser().do(r); p.status != http.StatusSeeOther {
		t.Errorf("a session of practice opens patients' work: %d", p.status)
	}
}

// A new password ends the sessions that the old one opened, in every browser
// but the one it was changed in.
func TestNewPasswordEndsSessions(t *testing.T) {
	l := newLab1(t, nil).hire()
	here, there := l.as("RP1"), l.as("RP1")
	l.clock.add(time.Minute)
	here.post("/me/password", url.Values{"old": {password}, "password": {"copper violin harbour tea"}}).recorded()
	here.get("/").says(200, "Board")
	if p := there.get("/"); p.status != http.StatusSeeOther {
		t.Errorf("the other browser goes on: %d", p.status)
	}
}

// TestCautionsOnEveryPage: what the figures are not for stands on every page.
func TestCautionsOnEveryPage(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	for _, path := range []string{"/", "/day", theBench, theBench + "/check", "/me", "/nothing", "/sign-in"} {
		p := s.t1.look(path)
		for _, words := range []string{"Not a medical device", "Verify every figure independently", "package insert"} {
			if !strings.Contains(p.text(), words) {
				t.Errorf("%s does not say %q", path, words)
			}
		}
	}
}
