package web

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/store/vault"
)

// An invented scenario: no real patient, site, meter or vial.
const siteFile = `case: 1
zone: Atlantic/Azores
policy: {limit: 20 %}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1, u: 0 %, basis: label}
      syringe: {factor: 0.95, u: 1 %, basis: label}
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
      residual-parts: {factor: 0.85, u: 3 %, basis: label}
`

// counter is a source of bytes that follow from how many were asked for.
type counter struct {
	mu sync.Mutex
	n  uint64
}

func (c *counter) Read(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i := 0; i < len(p); {
		c.n++
		sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte("test"), c.n))
		i += copy(p[i:], sum[:])
	}
	return len(p), nil
}

// clock is the time of the scenario.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *clock) set(text string) {
	t, err := time.Parse("2006-01-02T15:04:05Z07:00", "2027-03-04T"+text+":00-01:00")
	if err != nil {
		panic(err)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = t
}

func (c *clock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(d)
}

// lab1 is a bench for tests, with its server.
type lab1 struct {
	testing.TB
	clock *clock
	log   store.Log
	vault vault.Vault
	srv   *Server
	http  *httptest.Server
	cfg   Config
}

func site(tb testing.TB) []fact.Fact {
	tb.Helper()
	f, err := casefile.Decode([]byte(siteFile), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f.Facts[1:]
}

func newLab1(tb testing.TB, change func(*Config)) *lab1 {
	tb.Helper()
	l := &lab1{TB: tb, clock: &clock{}, log: &storetest.Memory{}, vault: newMemoryVault()}
	l.clock.set("10:00")
	// Hashing that is as cheap as can be: what it costs is tested in secret.
	keeper, err := secret.New(secret.Options{Params: secret.Params{KiB: 8, Passes: 1, Lanes: 1}})
	if err != nil {
		tb.Fatal(err)
	}
	l.cfg = Config{
		Log: l.log, Vault: l.vault, Clock: l.clock.now, Random: &counter{}, Zones: time.LoadLocation, Zone: "Atlantic/Azores",
		Site: site(tb), Passwords: keeper, PINs: keeper, PlainHTTP: true, Version: "vialwright test", MetricsToken: "scrape",
	}
	if change != nil {
		change(&l.cfg)
	}
	l.log, l.vault = l.cfg.Log, l.cfg.Vault
	l.srv, err = New(context.Background(), l.cfg)
	if err != nil {
		tb.Fatal(err)
	}
	l.http = httptest.NewServer(l.srv)
	tb.Cleanup(func() { l.srv.Close(); l.http.Close() })
	return l
}

// The people of the scenario, by id.
var staff = []people.Person{
	{ID: "AD1", Name: "A. Example", Roles: []people.Role{people.Administrator}, Active: true},
	{ID: "RP1", Name: "R. Example", Roles: []people.Role{people.Radiopharmacist}, Active: true},
	{ID: "T1", Name: "T. Example", Roles: []people.Role{people.Technologist}, Active: true},
	{ID: "T2", Name: "U. Example", Roles: []people.Role{people.Technologist}, Active: true},
	{ID: "MP1", Name: "P. Example", Roles: []people.Role{people.Physicist}, Active: true},
	{ID: "DR1", Name: "D. Example", Roles: []people.Role{people.Physician}, Active: true},
	{ID: "SN1", Name: "N. Example", Roles: []people.Role{people.Nurse}, Active: true},
	{ID: "OB1", Name: "O. Example", Roles: []people.Role{people.Observer}, Active: true},
}

const (
	password = "ferry quartz lantern moss"
	pin      = "4729"
)

// hire puts everybody on the roster.
func (l *lab1) hire() *lab1 {
	l.Helper()
	ctx := context.Background()
	word, err := l.cfg.Passwords.Hash(ctx, password)
	if err != nil {
		l.Fatal(err)
	}
	digits, err := l.cfg.PINs.Hash(ctx, pin)
	if err != nil {
		l.Fatal(err)
	}
	err = l.srv.kept.changeAccounts(ctx, func([]account) ([]account, error) {
		var all []account
		for _, p := range staff {
			all = append(all, account{Person: p, Password: word, PIN: digits})
		}
		return all, nil
	})
	if err != nil {
		l.Fatal(err)
	}
	return l
}

// browser is one person's browser.
type browser struct {
	*lab1
	client *http.Client
	id     string
}

func (l *lab1) browser() *browser {
	jar, err := cookiejar.New(nil)
	if err != nil {
		l.Fatal(err)
	}
	return &browser{lab1: l, client: &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

// as signs a person in.
func (l *lab1) as(id string) *browser {
	l.Helper()
	b := l.browser()
	b.id = id
	p := b.post("/sign-in", url.Values{"id": {id}, "password": {password}, "next": {"/"}})
	if p.status != http.StatusSeeOther {
		l.Fatalf("sign-in of %s: %d %s", id, p.status, p.text())
	}
	return b
}

// page is an answer.
type page struct {
	tb       testing.TB
	status   int
	location string
	body     string
	header   http.Header
}

func (b *browser) do(r *http.Request) *page {
	b.Helper()
	res, err := b.client.Do(r)
	if err != nil {
		b.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		b.Fatal(err)
	}
	return &page{b.TB, res.StatusCode, res.Header.Get("Location"), string(body), res.Header}
}

func (b *browser) get(path string) *page {
	b.Helper()
	r, err := http.NewRequest(http.MethodGet, b.http.URL+path, nil)
	if err != nil {
		b.Fatal(err)
	}
	return b.do(r)
}

func (b *browser) post(path string, v url.Values) *page {
	b.Helper()
	r, err := http.NewRequest(http.MethodPost, b.http.URL+path, strings.NewReader(v.Encode()))
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", b.http.URL)
	return b.do(r)
}

var (
	tags   = regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>|<[^>]*>`)
	spaces = regexp.MustCompile(`\s+`)
	field  = regexp.MustCompile(`<input[^>]*>`)
	attr   = regexp.MustCompile(`(\w+)="([^"]*)"`)
)

// text is what a person reads of the page.
func (p *page) text() string {
	return strings.TrimSpace(spaces.ReplaceAllString(html.UnescapeString(tags.ReplaceAllString(p.body, " ")), " "))
}

// form gives the values of a form as a browser would send it untouched.
func (p *page) form(id string) url.Values {
	p.tb.Helper()
	_, rest, ok := strings.Cut(p.body, `id="`+id+`" class="entry`)
	if !ok {
		p.tb.Fatalf("no form %s on the page: %d %s", id, p.status, p.text())
	}
	rest, _, _ = strings.Cut(rest, "</form>")
	out := url.Values{}
	for _, in := range field.FindAllString(rest, -1) {
		a := map[string]string{}
		for _, m := range attr.FindAllStringSubmatch(in, -1) {
			a[m[1]] = html.UnescapeString(m[2])
		}
		if (a["type"] == "radio" || a["type"] == "checkbox") && !strings.Contains(in, " checked") {
			continue
		}
		out.Add(a["name"], a["value"])
	}
	return out
}

// look gets a page, and gives the PIN where it is asked for.
func (b *browser) look(at string) *page {
	b.Helper()
	p := b.get(at)
	if p.status == http.StatusSeeOther && strings.HasPrefix(p.location, "/pin") {
		b.post("/pin", url.Values{"pin": {pin}, "next": {at}}).recorded()
		p = b.get(at)
	}
	return p
}

// fill sends the form of a page with changes, given as name, value pairs.
func (b *browser) fill(at, id, action string, changes ...string) *page {
	b.Helper()
	v := b.look(at).form(id)
	for i := 0; i+1 < len(changes); i += 2 {
		v.Set(changes[i], changes[i+1])
	}
	if v.Has("pin") && v.Get("pin") == "" {
		v.Set("pin", pin)
	}
	return b.post(action, v)
}

// recorded asks that a form was taken.
func (p *page) recorded() *page {
	p.tb.Helper()
	if p.status != http.StatusSeeOther {
		p.tb.Fatalf("not recorded: %d %s", p.status, p.text())
	}
	return p
}

// says asks that a page has a status and words.
func (p *page) says(status int, words ...string) *page {
	p.tb.Helper()
	if p.status != status {
		p.tb.Errorf("status %d, want %d: %s", p.status, status, p.text())
	}
	for _, w := range words {
		if !strings.Contains(p.text(), w) {
			p.tb.Errorf("the page does not say %q: %s", w, p.text())
		}
	}
	return p
}

// newSerialForTest is a serial that is on no label.
func (s *Server) newSerialForTest() string {
	q := &request{Server: s}
	return q.serial().String()
}
