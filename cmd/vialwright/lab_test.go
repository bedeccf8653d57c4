package main

import (
	"bytes"
	"context"
	"html"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// lab is a served practice site, with the clock of the story.
type lab struct {
	testing.TB
	now     time.Time
	http    *httptest.Server
	journal string
	people  map[string]*http.Client
	serial  string
}

// labOf imports a case file into a new journal and serves it.
func labOf(t *testing.T, clock, caseFile string) *lab {
	t.Helper()
	l := &lab{TB: t, journal: filepath.Join(t.TempDir(), "lab"), people: map[string]*http.Client{}}
	l.at(clock)
	e := &edge{in: strings.NewReader(caseFile), out: &bytes.Buffer{}, err: &bytes.Buffer{}, now: func() time.Time { return l.now }}
	if status := run([]string{"import", "--ahead", "-", "--journal", l.journal, "--by", "NT1"}, e); status != 0 {
		t.Fatalf("import: %d %v", status, e.err)
	}
	c := &serveCmd{Journal: l.journal, Practice: true}
	b, err := c.open(context.Background(), e)
	if err != nil {
		t.Fatal(err)
	}
	l.http = httptest.NewServer(b.server)
	t.Cleanup(func() {
		l.http.Close()
		if err := b.close(); err != nil {
			t.Error(err)
		}
	})
	return l
}

// at sets the clock, which is in the zone of the site.
func (l *lab) at(clock string) {
	l.Helper()
	now, err := time.Parse("2006-01-02T15:04Z07:00", "2027-03-04T"+clock+"-01:00")
	if err != nil {
		l.Fatal(err)
	}
	l.now = now
}

func (l *lab) do(who string, r *http.Request, err error) answer1 {
	l.Helper()
	if err != nil {
		l.Fatal(err)
	}
	res, err := l.people[who].Do(r)
	if err != nil {
		l.Fatal(err)
	}
	defer res.Body.Close()
	var b bytes.Buffer
	if _, err := b.ReadFrom(res.Body); err != nil {
		l.Fatal(err)
	}
	return answer1{res.StatusCode, res.Header.Get("Location"), b.String()}
}

func (l *lab) post(who, path string, v url.Values) answer1 {
	l.Helper()
	if l.people[who] == nil {
		jar, err := cookiejar.New(nil)
		if err != nil {
			l.Fatal(err)
		}
		l.people[who] = &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		if a := l.post(who, "/sign-in", url.Values{"id": {who}, "password": {practicePassword}, "next": {"/"}}); a.status != http.StatusSeeOther {
			l.Fatalf("sign-in of %s: %v", who, a)
		}
	}
	r, err := http.NewRequest(http.MethodPost, l.http.URL+path, strings.NewReader(v.Encode()))
	if err == nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", l.http.URL)
	}
	return l.do(who, r, err)
}

// get gets a page; a person whose page was locked gives the PIN.
func (l *lab) get(who, path string) answer1 {
	l.Helper()
	for {
		if l.people[who] == nil {
			l.post(who, "/pin", url.Values{})
		}
		r, err := http.NewRequest(http.MethodGet, l.http.URL+path, nil)
		a := l.do(who, r, err)
		if a.status != http.StatusSeeOther || !strings.HasPrefix(a.to, "/pin") {
			return a
		}
		if p := l.post(who, "/pin", url.Values{"pin": {practicePIN}, "next": {path}}); p.status != http.StatusSeeOther {
			l.Fatalf("PIN of %s: %v", who, p)
		}
	}
}

// fill sends the form of a step of the bench with changes, in pairs.
func (l *lab) fill(clock, who, form, page, action string, changes ...string) answer1 {
	l.Helper()
	l.at(clock)
	a := l.get(who, page)
	v, ok := a.form(form)
	if !ok {
		l.Fatalf("no form %s on %s: %v", form, page, a)
	}
	for i := 0; i < len(changes); i += 2 {
		v.Set(changes[i], strings.ReplaceAll(changes[i+1], "SERIAL", l.serial))
	}
	if v.Has("pin") {
		v.Set("pin", practicePIN)
	}
	return l.post(who, action, v)
}

// doseCase is a case up to the dose in its vial; of the two others one entry differs.
const doseCase = `case: 1
zone: Atlantic/Azores
use: practice
policy: {tolerance: 10 %, limit: 20 %, label-tolerance: 10 %, confidence: 95 %, make-up: [3 mL, 5 mL], graduation: 0.1 mL, draw-yield: {q: 97 %, u: 4 %}, residual-u: 20 %, basis: label}
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}, syringe: {factor: 0.95, u: 1 %, basis: label}, administration-vial: {factor: 0.98, u: 1 %, basis: label}, residual-parts: {factor: 0.85, u: 3 %, basis: label}}}
entries:
  - order:    {id: P1, patient: DEMO-0042, territory: right lobe, version: "2", prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %, by: PH1}
  - receive:  {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T10:20, expiry: 2027-03-05T18:00}
  - check:    {what: meter-background, of: M1, result: pass, at: 2027-03-04T10:30}
  - check:    {what: meter-constancy, of: M1, result: pass, at: 2027-03-04T10:30}
  - check:    {what: survey-meter, result: pass, at: 2027-03-04T10:30}
  - check:    {what: area-clear, result: pass, at: 2027-03-04T10:30}
  - check:    {what: consumables, result: pass, at: 2027-03-04T10:30}
  - check:    {what: people, result: pass, at: 2027-03-04T10:30}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
  - agitate:  {of: S1, at: 2027-03-04T11:09}
  - draw:     {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL, agitated: 2027-03-04T11:09}
  - read:     {of: S1, meter: M1, at: 2027-03-04T11:14, gross: 1.87 GBq, background: 0.2 MBq}
  - read:     {of: Y1, meter: M1, at: 2027-03-04T11:16, gross: 1.31 GBq, background: 0.2 MBq}
  - make-up:  {of: Y1, at: 2027-03-04T11:18, volume: 1.3 mL, diluent: water for injection, lot: W-77}
  - transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}
`

const atBench = "/order/P1"

func (l *lab) step(clock, who, key string, changes ...string) {
	l.Helper()
	page := atBench + "/step/" + key
	form := "step"
	switch key {
	case "sign-order":
		page, form = atBench, key
	case "second-check":
		page = atBench + "/check"
	case "time-out":
		page = atBench + "/time-out"
	}
	action := page
	if key == "sign-order" {
		action = atBench + "/step/" + key
	}
	a := l.fill(clock, who, form, page, action, changes...)
	if so := asTyped.FindStringSubmatch(a.body); so != nil { // what is odd is asked about, and meant here
		v, _ := a.form(form)
		v.Set(so[1], html.UnescapeString(so[2]))
		a = l.post(who, action, v)
	}
	if a.status != http.StatusSeeOther {
		l.Fatalf("%s: %v", key, a)
	}
}

var asTyped = regexp.MustCompile(`name="([\w.]+\.answer)" value="([^"]+=yes)"`)

var serialOf = regexp.MustCompile(`/labels/([0-9A-Z]{12})\.pdf`)

// pdfText is what stands on a PDF, by poppler.
func (l *lab) pdfText(path string) string {
	l.Helper()
	a := l.get("NT1", path)
	if a.status != http.StatusOK {
		l.Fatalf("%s: %v", path, a)
	}
	name := filepath.Join(l.TB.(*testing.T).TempDir(), "it.pdf")
	if err := os.WriteFile(name, []byte(a.body), 0o600); err != nil {
		l.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", name, "-").Output()
	if err != nil {
		l.TB.(*testing.T).Skip("peer missing: pdftotext, Debian poppler-utils")
	}
	return oneLine(string(out))
}
