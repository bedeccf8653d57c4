// Package webtest is a laboratory for the tests of the rooms: a server with the
// people of an invented scenario, browsers that fill in its forms as people do, and
// a story that tells a preparation up to any step.
package webtest

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"sync"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/identity"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/store/vault"
	"vialwright/store/vault/vaulttest"
	"vialwright/web"
	"vialwright/web/kit"
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

// Counter is a source of bytes that follow from how many were asked for.
type Counter struct {
	mu sync.Mutex
	// N is how many were asked for.
	N uint64
}

// Read fills bytes.
func (c *Counter) Read(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i := 0; i < len(p); {
		c.N++
		sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte("test"), c.N))
		i += copy(p[i:], sum[:])
	}
	return len(p), nil
}

// clock is the time of the scenario.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *clock) Set(text string) {
	t, err := time.Parse("2006-01-02T15:04:05Z07:00", "2027-03-04T"+text+":00-01:00")
	if err != nil {
		panic(err)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = t
}

func (c *clock) Add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(d)
}

// Lab is a bench for tests, with its server.
type Lab struct {
	testing.TB
	Clock  *clock
	Log    store.Log
	Vault  vault.Vault
	Server *web.Server
	HTTP   *httptest.Server
	Config web.Config
	// machines is how many machines there are whose address is told apart.
	machines int
}

// fromHeader is the address that a request comes from, as a test has it.
const fromHeader = "X-Test-From"

// Restart starts the program again on what was kept.
func (l *Lab) Restart() {
	l.Helper()
	l.Server.Close()
	srv, err := web.New(context.Background(), l.Config)
	if err != nil {
		l.Fatal(err)
	}
	l.Server = srv
}

// Elsewhere is a browser on another machine.
func (l *Lab) Elsewhere() *Browser {
	l.machines++
	b := l.Browser()
	b.from = "192.0.2." + strconv.Itoa(l.machines%250) + ":" + strconv.Itoa(1000+l.machines/250)
	return b
}

// AsElsewhere signs in on a machine of its own, so that the tries of an address are not
// used up.
func (l *Lab) AsElsewhere(id string) *Browser {
	l.Helper()
	return l.Elsewhere().signIn(id)
}

// Draft is what is kept of a form of a person; empty for nothing.
func (l *Lab) Draft(person, form string) string {
	l.Helper()
	d, _, err := l.Server.Kept.Draft(context.Background(), person, form)
	if err != nil {
		l.Fatal(err)
	}
	return d.Text
}

// Reckoned works records out.
func (l *Lab) Reckoned(f *kit.File) *kit.State {
	l.Helper()
	st, err := l.Server.ReckonFor(f, l.Clock.Now(), "")
	if err != nil {
		l.Fatal(err)
	}
	return st
}

func siteFacts(tb testing.TB) []fact.Fact {
	tb.Helper()
	f, err := casefile.Decode([]byte(siteFile), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f.Facts[1:]
}

// New makes a bench with a configuration that change has changed; nil for none.
func New(tb testing.TB, change func(*web.Config)) *Lab {
	tb.Helper()
	l := &Lab{TB: tb, Clock: &clock{}, Log: &storetest.Memory{}, Vault: &vaulttest.Memory{}}
	l.Clock.Set("10:00")
	// Hashing that is as cheap as can be: what it costs is tested in secret.
	keeper, err := secret.New(secret.Options{Params: secret.Params{KiB: 8, Passes: 1, Lanes: 1}})
	if err != nil {
		tb.Fatal(err)
	}
	l.Config = web.Config{Config: kit.Config{
		Log: l.Log, Vault: l.Vault, Clock: l.Clock.Now, Random: &Counter{}, Zones: time.LoadLocation, Zone: "Atlantic/Azores",
		Site: siteFacts(tb), Passwords: keeper, PINs: keeper, PlainHTTP: true, Version: "vialwright test", MetricsToken: "scrape",
	}}
	if change != nil {
		change(&l.Config)
	}
	l.Log, l.Vault = l.Config.Log, l.Config.Vault
	l.Server, err = web.New(context.Background(), l.Config)
	if err != nil {
		tb.Fatal(err)
	}
	l.HTTP = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if from := r.Header.Get(fromHeader); from != "" {
			r.RemoteAddr = from
		}
		l.Server.ServeHTTP(w, r)
	}))
	tb.Cleanup(func() { l.Server.Close(); l.HTTP.Close() })
	return l
}

// The people of the scenario, by id.
var Staff = []people.Person{
	{ID: "AD1", Name: "A. Example", Roles: []people.Role{people.Administrator}, Active: true},
	{ID: "RP1", Name: "R. Example", Roles: []people.Role{people.Radiopharmacist}, Active: true},
	{ID: "T1", Name: "T. Example", Roles: []people.Role{people.Technologist}, Active: true},
	{ID: "T2", Name: "U. Example", Roles: []people.Role{people.Technologist}, Active: true},
	{ID: "MP1", Name: "P. Example", Roles: []people.Role{people.Physicist}, Active: true},
	{ID: "DR1", Name: "D. Example", Roles: []people.Role{people.Physician}, Active: true},
	{ID: "SN1", Name: "N. Example", Roles: []people.Role{people.Nurse}, Active: true},
	{ID: "OB1", Name: "O. Example", Roles: []people.Role{people.Observer}, Active: true},
}

// Password and PIN are those of everybody.
const (
	Password = "ferry quartz lantern moss"
	PIN      = "4729"
)

// Hire puts everybody into the record, with what opens their accounts.
func (l *Lab) Hire() *Lab {
	l.Helper()
	if err := l.Server.Enrol(context.Background(), Staff, Password, PIN); err != nil {
		l.Fatal(err)
	}
	return l
}

// AnotherSerial is a serial that is on no label.
func AnotherSerial() string { return identity.New([16]byte{1, 2, 3}).String() }

// Decimal is the number of a record as a form holds it.
func Decimal(n uint64) string { return strconv.FormatUint(n, 10) }

// Given stands before the password that an administrator gives.
const Given = "First password, for one sign-in "

// Keeper is the address that keeps drafts of a form.
func Keeper(action string) string { return "/draft?for=" + url.QueryEscape(action) }

// WithPast puts invented finished cases into the journal before it is opened.
func WithPast(tb testing.TB, n int) func(*web.Config) {
	return func(c *web.Config) {
		records, err := invented.Site(n, 1, time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC), time.LoadLocation)
		if err != nil {
			tb.Fatal(err)
		}
		links, err := journal.Seal(journal.Head{}, func() journal.Salt { return journal.Salt{} }, records...)
		if err != nil {
			tb.Fatal(err)
		}
		stored := make([]store.Record, len(links))
		for i, l := range links {
			stored[i] = store.Record{Seq: l.Seq, Body: []byte(l.Body), Hash: l.Hash}
		}
		if err := c.Log.Append(context.Background(), store.Head{}, stored...); err != nil {
			tb.Fatal(err)
		}
	}
}
