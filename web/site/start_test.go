package site_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/people"
	"vialwright/web"
	"vialwright/web/webtest"
)

// standing is what the first start says of its steps, in their order.
func standing(p *webtest.Page) string {
	var out []string
	for _, m := range regexp.MustCompile(`(?s)<li( aria-current="step")?>\s*<h2>([^<]*)</h2>\s*<p class="notice \w+"><strong>([^<]*)</strong>`).FindAllStringSubmatch(p.Body, -1) {
		text := m[2] + ": " + m[3]
		if m[1] != "" {
			text = "> " + text
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// TestFirstStart walks a new site from the setup code to its first order. The
// list says where it stands, says the same after the program was started anew,
// and is left when there is an order and what was printed was read.
func TestFirstStart(t *testing.T) {
	l := webtest.New(t, func(c *web.Config) { c.Setup, c.Site = "K7MP", nil })
	admin := l.Browser()
	if p := admin.Post("/first", url.Values{"setup": {"K7MP"}, "id": {"AD1"}, "name": {"A. Example"}, "password": {webtest.Password}, "pin": {webtest.PIN}}); p.Location != "/start" {
		t.Fatalf("the first account leads to %q: %s", p.Location, p.Text())
	}
	stands := func(b *webtest.Browser, want string) *webtest.Page {
		t.Helper()
		p := b.Look("/start")
		if got := standing(p); p.Status != http.StatusOK || got != want {
			t.Fatalf("answered %d and stands at\n %s, want\n %s\n%s", p.Status, got, want, p.Text())
		}
		return p
	}
	stands(admin, "> People: To do, Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		Says(200, "Sign an order nobody yet", "Who may do this")
	admin.Get("/").Says(200, "First start")

	rp := newPerson(admin, "RP1", people.Radiopharmacist)
	newPerson(admin, "DR1", people.Physician)
	stands(rp, "> People: To do, Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		Says(200, "Set a meter and its factors nobody yet")
	newPerson(admin, "MP1", people.Physicist)
	t1 := newPerson(admin, "T1", people.Technologist)
	stands(t1, "People: Done, > Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		Says(200, "Atlantic/Azores, and it is 2027-03-04 10:00")

	t1.Fill("/start", "site-clock", "/start/enter/site-clock", "p0.result", "fail").Recorded()
	stands(t1, "People: Done, > Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").Says(200, "Found wrong on")
	l.Clock.Set("10:05")
	t1.Fill("/start", "site-clock", "/start/enter/site-clock", "p0.result", "pass").Recorded()

	// Started again: what is done is read from the journal and the accounts.
	l.Restart()
	rp, t1 = l.As("RP1"), l.As("T1")
	mp := l.As("MP1")
	stands(t1, "People: Done, Clock and zone: Done, > Settings: To do, Activity meters: To do, Test print: To do, First order: To do")

	rp.Fill("/settings?group=dose", "policy", "/settings?group=dose", "p0.tolerance", "10", "p0.confidence", "95", "p0.reason", "decided at the start").Recorded()
	rp.Fill("/settings?group=dose", "policy", "/settings?group=dose", "p0.tolerance", "0.1", "p0.reason", "a slip").Says(http.StatusUnprocessableEntity, "is it 10 %?", "Nothing is recorded before the answer.")
	// What was said to be so stands with the entry, and goes no further than it.
	odd := rp.Fill("/settings?group=dose", "policy", "/settings?group=dose", "p0.tolerance", "0.1", "p0.reason", "decided by the board").Says(http.StatusUnprocessableEntity, "is it 10 %?")
	rp.Post("/settings?group=dose", odd.Answered("policy", "p0.tolerance", 2)).Recorded()
	rp.Look("/history").Says(200, "Asked about, and confirmed", "tolerance: 0.1 %")
	rp.Fill("/settings?group=dose", "policy", "/settings?group=dose", "p0.tolerance", "10", "p0.reason", "decided again").Recorded()
	if _, policy, _ := l.Server.SettingsInForce(l.Clock.Now()); policy.Confirmed != "" {
		t.Errorf("a tolerance of 10 %% was confirmed: %s", policy.Confirmed)
	}
	rp.Fill("/settings?group=draw", "policy", "/settings?group=draw", "p0.draw-yield.q", "97", "p0.draw-yield.u", "3", "p0.reason", "measured with water").Recorded()
	if _, policy, _ := l.Server.SettingsInForce(l.Clock.Now()); policy == nil || policy.Tolerance.Text == "" || policy.DrawYield.Q.Text == "" {
		t.Fatalf("a group of settings took the others out of force: %+v", policy)
	}
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, > Activity meters: To do, Test print: To do, First order: To do").Says(200, "The dose 2 of 5 set")
	mp.Fill("/meters", "meter", "/meters", "p0.id", "M1", "p0.calibration-u", "2", "p0.repeatability", "0.8", "p0.geometry.syringe.0.factor", "95", "p0.geometry.syringe.0.u", "1",
		"p0.geometry.syringe.0.basis", "label", "p0.reason", "calibrated").Says(http.StatusUnprocessableEntity, "95 times the activity: is it so?")
	mp.Fill("/meters", "meter", "/meters", "p0.id", "M1", "p0.calibration-u", "2", "p0.repeatability", "0.8", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.u", "1",
		"p0.geometry.syringe.0.basis", "label", "p0.reason", "calibrated").Recorded()
	if p := t1.Look("/start/label.pdf"); p.Status != http.StatusOK || !strings.HasPrefix(p.Body, "%PDF") {
		t.Fatalf("the test label: %d %s", p.Status, p.Text())
	}
	if text := t1.Printed("/start/label.pdf"); !strings.Contains(text, "Volume 5 mL") || !strings.Contains(text, "1 GBq") {
		t.Errorf("the test label: %s", text)
	}
	rp.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P1", "p0.patient", "DEMO-0042", "p0.prescribed", "1.3", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T13:30", "p0.by", "D. Example").Recorded()
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, Activity meters: Done, > Test print: To do, First order: Done")
	rp.Look("/").Says(200, "First start: not confirmed yet: the test print")
	t1.Fill("/start", "test-print", "/start/enter/test-print", "p0.result", "fail").Recorded()
	rp.Look("/").Says(200, "First start: not confirmed yet: the test print")
	t1.Fill("/start", "test-print", "/start/enter/test-print", "p0.result", "pass").Recorded()
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, Activity meters: Done, Test print: Done, First order: Done")
	if strings.Contains(rp.Look("/").Text(), "First start") {
		t.Error("the board of a site with an order and a test print that was read still leads to the first start")
	}
}

// newPerson has the administrator add a person, who then chooses a password and a
// PIN.
func newPerson(b *webtest.Browser, id string, role people.Role) *webtest.Browser {
	b.Helper()
	text := b.Fill("/people", "person", "/people", "id", id, "name", id+" Example", "role", string(role)).Says(200, webtest.Given).Text()
	_, first, _ := strings.Cut(text, webtest.Given)
	first, _, _ = strings.Cut(first, " ")
	n := b.Elsewhere()
	n.ID = id
	n.Post("/sign-in", url.Values{"id": {id}, "password": {first}}).Recorded()
	n.Post("/me/password", url.Values{"old": {first}, "password": {webtest.Password}}).Recorded()
	n.Post("/me/pin", url.Values{"old": {webtest.Password}, "pin": {webtest.PIN}}).Recorded()
	return n
}

// A group of settings that a locked page sends is kept for the form of that group.
func TestLockedGroupOfSettings(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	b := l.As("RP1")
	typed := b.Get("/settings?group=dose").Form("policy")
	typed.Set("p0.tolerance", "12")
	l.Clock.Add(16 * time.Minute) // nobody touched it
	b.Post("/settings?group=dose", typed)
	if d := l.Draft("RP1", "/settings?group=dose"); !strings.Contains(d, "p0.tolerance=12") {
		t.Errorf("it is kept as %q", d)
	}
}
