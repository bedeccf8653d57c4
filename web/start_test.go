package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"vialwright/people"
)

// standing is what the first start says of its steps, in their order.
func (p *page) standing() string {
	var out []string
	for _, m := range regexp.MustCompile(`(?s)<li( aria-current="step")?>\s*<h2>([^<]*)</h2>\s*<p class="notice \w+"><strong>([^<]*)</strong>`).FindAllStringSubmatch(p.body, -1) {
		text := m[2] + ": " + m[3]
		if m[1] != "" {
			text = "> " + text
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// newPerson has the administrator add a person, who then chooses a password and a
// PIN.
func (b *browser) newPerson(id string, role people.Role) *browser {
	b.Helper()
	text := b.post("/people", url.Values{"id": {id}, "name": {id + " Example"}, "role": {string(role)}, "pin": {pin}}).says(200, given).text()
	_, first, _ := strings.Cut(text, given)
	first, _, _ = strings.Cut(first, " ")
	b.srv.limits = newAddresses()
	n := b.browser()
	n.id = id
	n.post("/sign-in", url.Values{"id": {id}, "password": {first}}).recorded()
	n.post("/me/password", url.Values{"old": {first}, "password": {password}}).recorded()
	n.post("/me/pin", url.Values{"old": {password}, "pin": {pin}}).recorded()
	return n
}

// TestFirstStart walks a new site from the setup code to its first order. The
// list says where it stands, says the same after the program was started anew,
// and is left when there is an order.
func TestFirstStart(t *testing.T) {
	l := newLab1(t, func(c *Config) { c.Setup, c.Site = "K7MP", nil })
	admin := l.browser()
	if p := admin.post("/first", url.Values{"setup": {"K7MP"}, "id": {"AD1"}, "name": {"A. Example"}, "password": {password}, "pin": {pin}}); p.location != "/start" {
		t.Fatalf("the first account leads to %q: %s", p.location, p.text())
	}
	stands := func(b *browser, want string) *page {
		t.Helper()
		p := b.look("/start")
		if got := p.standing(); p.status != http.StatusOK || got != want {
			t.Fatalf("answered %d and stands at\n %s, want\n %s\n%s", p.status, got, want, p.text())
		}
		return p
	}
	stands(admin, "> People: To do, Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		says(200, "Sign an order nobody yet", "Who may do this")
	admin.get("/").says(200, "First start")

	rp := admin.newPerson("RP1", people.Radiopharmacist)
	admin.newPerson("DR1", people.Physician)
	stands(rp, "> People: To do, Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		says(200, "Set a meter and its factors nobody yet")
	admin.newPerson("MP1", people.Physicist)
	t1 := admin.newPerson("T1", people.Technologist)
	stands(t1, "People: Done, > Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").
		says(200, "Atlantic/Azores, and it is 2027-03-04 10:00")

	t1.fill("/start", "site-clock", "/start/enter/site-clock", "p0.result", "fail").recorded()
	stands(t1, "People: Done, > Clock and zone: To do, Settings: To do, Activity meters: To do, Test print: To do, First order: To do").says(200, "Found wrong on")
	l.clock.set("10:05")
	t1.fill("/start", "site-clock", "/start/enter/site-clock", "p0.result", "pass").recorded()

	// Started anew: what is done is read from the journal and the accounts.
	l.srv.Close()
	srv, err := New(context.Background(), l.cfg)
	if err != nil {
		t.Fatal(err)
	}
	l.srv = srv
	old := l.http
	l.http = httptest.NewServer(srv)
	t.Cleanup(func() { srv.Close(); l.http.Close() })
	old.Close()
	rp, t1 = l.as("RP1"), l.as("T1")
	mp := l.as("MP1")
	stands(t1, "People: Done, Clock and zone: Done, > Settings: To do, Activity meters: To do, Test print: To do, First order: To do")

	rp.fill("/settings?group=dose", "policy", "/settings?group=dose", "p0.tolerance", "10", "p0.confidence", "95", "p0.reason", "decided at the start").recorded()
	rp.fill("/settings?group=draw", "policy", "/settings?group=draw", "p0.draw-yield.q", "97", "p0.draw-yield.u", "3", "p0.reason", "measured with water").recorded()
	if _, policy, _ := srv.settingsInForce(l.clock.now()); policy == nil || policy.Tolerance.Text == "" || policy.DrawYield.Q.Text == "" {
		t.Fatalf("a group of settings took the others out of force: %+v", policy)
	}
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, > Activity meters: To do, Test print: To do, First order: To do").says(200, "The dose 2 of 5 set")
	mp.fill("/meters", "meter", "/meters", "p0.id", "M1", "p0.calibration-u", "2", "p0.repeatability", "0.8", "p0.geometry.syringe.0.factor", "0.95", "p0.geometry.syringe.0.u", "1",
		"p0.geometry.syringe.0.basis", "label", "p0.reason", "calibrated").recorded()
	if p := t1.look("/start/label.pdf"); p.status != http.StatusOK || !strings.HasPrefix(p.body, "%PDF") {
		t.Fatalf("the test label: %d %s", p.status, p.text())
	}
	t1.fill("/start", "test-print", "/start/enter/test-print", "p0.result", "pass").recorded()
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, Activity meters: Done, Test print: Done, > First order: To do")
	rp.fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P1", "p0.patient", "DEMO-0042", "p0.prescribed", "1.3", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T13:30", "p0.by", "D. Example").recorded()
	stands(rp, "People: Done, Clock and zone: Done, Settings: Done, Activity meters: Done, Test print: Done, First order: Done")
	if strings.Contains(rp.look("/").text(), "First start") {
		t.Error("the board of a site with an order still leads to the first start")
	}
}

// TestSettingGroups: each setting is in one group, of at most five.
func TestSettingGroups(t *testing.T) {
	n := 0
	for _, g := range settingGroups {
		of := settingsOf(g)
		if len(of) == 0 || len(of) > 5 || of[0].path != g.first {
			t.Errorf("%s has %d settings, from %v", g.title, len(of), of)
		}
		n += len(of)
	}
	if n != len(policySettings) {
		t.Errorf("%d settings are in groups, of %d", n, len(policySettings))
	}
}
