package main

import (
	"bufio"
	"context"
	"crypto/rand"
	"fmt"
	"html"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/replica"
	"vialwright/store"
	"vialwright/store/vault"
	"vialwright/web"
	"vialwright/web/kit"
)

// How many benches there are, and how many entries each of them makes.
const (
	benches      = 50
	aloneEntries = 400 // one bench while the others look on
	inTurns      = 20  // after so many of them as many raw appends
	atOnce       = 20  // each, all at the same time
)

const siteFile = `case: 1
zone: Atlantic/Azores
meters: [{id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {syringe: {factor: 1, u: 0 %, basis: label}}}]
`

// laboratory is a running server with its benches. Everybody is invented.
type laboratory struct {
	testing.TB
	url    string
	log    store.Log
	server *web.Server
	people []*bench
}

// bench is one browser with its stream.
type bench struct {
	lab    *laboratory
	id     string
	order  string
	client *http.Client

	mu   sync.Mutex
	news *sync.Cond
	last uint64 // number of the newest event
	got  int    // events
	lost int    // numbers that were passed over
	ends int    // how often the stream ended and was opened again
}

// open starts a server on a log and a vault, and signs so many people in.
func open(tb testing.TB, log store.Log, v vault.Vault, hands int, kept kit.Checkpoints, room pack.Room) *laboratory {
	tb.Helper()
	site, err := casefile.Decode([]byte(siteFile), time.LoadLocation)
	check(tb, err)
	// What hashing costs is measured elsewhere: here it is as cheap as can be.
	keeper, err := secret.New(secret.Options{Params: secret.Params{KiB: 8, Passes: 1, Lanes: 1}})
	check(tb, err)
	l := &laboratory{TB: tb, log: log}
	l.server, err = web.New(tb.Context(), web.Config{Config: kit.Config{
		Log: log, Vault: v, Clock: time.Now, Random: rand.Reader, Zones: time.LoadLocation, Zone: "Atlantic/Azores",
		Site: site.Facts[1:], Passwords: keeper, PINs: keeper, PlainHTTP: true, Version: "bench", Checkpoints: kept, Room: room,
	}})
	check(tb, err)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	check(tb, err)
	h := &http.Server{Handler: l.server}
	done := make(chan error, 1)
	go func() { done <- h.Serve(ln) }()
	tb.Cleanup(func() {
		l.server.Close()
		_ = h.Close() // the streams have ended
		<-done
	})
	l.url = "http://" + ln.Addr().String()
	l.hire(hands)
	return l
}

// prescribe enters an order for each bench.
func (l *laboratory) prescribe() {
	l.Helper()
	text := siteFile + "entries:\n"
	for _, b := range l.people {
		text += fmt.Sprintf("  - order: {id: %s, patient: INVENTED-%[1]s, territory: right lobe, version: \"1\", prescribed: 0.30 GBq, at: %s, residual: 3 %%, by: an invented physician}\n",
			b.order, time.Now().Add(4*time.Hour).UTC().Format(time.RFC3339))
	}
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	check(l, err)
	for _, x := range f.Facts {
		order, ok := x.(*fact.Order)
		if !ok {
			continue
		}
		check(l, l.server.Lab.Append(l.Context(), replica.Entry{IDs: []string{order.ID}, Behind: l.server.Lab.Report().Records, Decide: func(*replica.File, int) ([]journal.Record, error) {
			return []journal.Record{{Recorded: time.Now().UTC().Truncate(time.Millisecond), By: l.people[0].id, Fact: order}}, nil
		}}))
	}
}

func check(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

const password = "ferry quartz lantern moss"

// hire makes the accounts and signs them in, each from an address of its own,
// since sign-ins from one are slowed down.
func (l *laboratory) hire(hands int) {
	l.Helper()
	all := []people.Person{{ID: "AD1", Name: "A. Example", Roles: []people.Role{people.Administrator}, Active: true}}
	for n := range hands {
		id := fmt.Sprintf("RP%02d", n)
		all = append(all, people.Person{ID: id, Name: "R. Example " + id, Roles: []people.Role{people.Radiopharmacist}, Active: true})
		jar, err := cookiejar.New(nil)
		check(l, err)
		from := &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 2, byte(n+1))}}
		transport := &http.Transport{DialContext: from.DialContext, MaxIdleConnsPerHost: 2}
		l.Cleanup(transport.CloseIdleConnections)
		b := &bench{lab: l, id: id, order: fmt.Sprintf("ORDER-%02d", n), client: &http.Client{
			Transport: transport, Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}}
		b.news = sync.NewCond(&b.mu)
		l.people = append(l.people, b)
	}
	if l.server.NeedsSetup() {
		check(l, l.server.Enrol(l.Context(), all, password, ""))
	}
	l.all(func(b *bench) error {
		status, _, err := b.post("/sign-in", url.Values{"id": {b.id}, "password": {password}, "next": {"/"}})
		return wanted(status, err)
	})
}

func wanted(status int, err error) error {
	if err == nil && status != http.StatusSeeOther {
		err = fmt.Errorf("answered %d", status)
	}
	return err
}

// all lets every bench do something at the same time.
func (l *laboratory) all(do func(*bench) error) {
	l.Helper()
	var all sync.WaitGroup
	for _, b := range l.people {
		all.Go(func() {
			if err := do(b); err != nil {
				l.Errorf("%s: %v", b.id, err)
			}
		})
	}
	all.Wait()
	if l.Failed() {
		l.FailNow()
	}
}

func (b *bench) do(r *http.Request, err error) (int, string, error) {
	if err != nil {
		return 0, "", err
	}
	res, err := b.client.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	return res.StatusCode, string(body), err
}

func (b *bench) get(path string) (int, string, error) {
	return b.do(http.NewRequest(http.MethodGet, b.lab.url+path, nil))
}

func (b *bench) post(path string, v url.Values) (int, string, error) {
	r, err := http.NewRequest(http.MethodPost, b.lab.url+path, strings.NewReader(v.Encode()))
	if err == nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", b.lab.url)
	}
	return b.do(r, err)
}

// listen opens the stream of events and follows it until ctx ends; ready is
// called when it is open. When it ends it is opened again, as a browser does.
func (b *bench) listen(ctx context.Context, ready func()) {
	for ctx.Err() == nil {
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, b.lab.url+"/events", nil)
		check(b.lab, err)
		b.mu.Lock()
		if b.got > 0 {
			r.Header.Set("Last-Event-ID", strconv.FormatUint(b.last, 10))
			b.ends++
		}
		b.mu.Unlock()
		res, err := b.client.Do(r)
		if err != nil {
			continue
		}
		ready()
		for lines := bufio.NewScanner(res.Body); lines.Scan(); {
			if text, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
				b.heard(text)
			}
		}
		res.Body.Close()
	}
}

func (b *bench) heard(text string) {
	id, err := strconv.ParseUint(text, 10, 64)
	check(b.lab, err)
	b.mu.Lock()
	defer b.mu.Unlock()
	if id != b.last+1 {
		b.lost += int(id - b.last - 1)
	}
	b.last = id
	b.got++
	b.news.Broadcast()
}

// timing is how long answers took.
type timing struct {
	mu      sync.Mutex
	answers []time.Duration // to an entry that was recorded
	refused []time.Duration // to one that was refused since others were first
	entries []time.Duration // from the first sending of an entry until it was recorded
	pages   []time.Duration // a page with a form
}

func (t *timing) add(to *[]time.Duration, begin time.Time) {
	took := time.Since(begin)
	t.mu.Lock()
	defer t.mu.Unlock()
	*to = append(*to, took)
}

var hidden = regexp.MustCompile(`name="(nonce|head)"[^>]*value="([^"]*)"`)

// The forms that are sent.
const (
	note      = "note"
	deviation = "deviation"
)

// formOf takes a form out of a page.
func formOf(page, id string) url.Values {
	_, rest, _ := strings.Cut(page, `id="`+id+`" class="entry`)
	rest, _, _ = strings.Cut(rest, "</form>")
	v := url.Values{}
	for _, m := range hidden.FindAllStringSubmatch(rest, -1) {
		v.Set(m[1], html.UnescapeString(m[2]))
	}
	return v
}

// write looks at a form of the day and records what it asks for, again and again
// while others are first: a note, or a signed deviation of the bench's own order.
func (b *bench) write(t *timing, form, text string) error {
	at := "/day/enter/" + form
	begin := time.Now()
	status, page, err := b.get(at)
	if err != nil || status != http.StatusOK {
		return fmt.Errorf("the page: %d %w", status, err)
	}
	t.add(&t.pages, begin)
	whole := time.Now()
	for {
		v := formOf(page, form)
		v.Set("p0.text", text)
		if form == deviation {
			v.Set("p0.for", b.order)
			v.Set("pin", password)
		}
		begin := time.Now()
		status, page, err = b.post(at, v)
		switch {
		case err != nil:
			return err
		case status == http.StatusConflict:
			t.add(&t.refused, begin)
			continue
		case status != http.StatusSeeOther:
			return fmt.Errorf("the entry: answered %d", status)
		}
		t.add(&t.answers, begin)
		t.add(&t.entries, whole)
		return nil
	}
}

// paced records so many deviations, one in each period, the first after a part of
// one.
func (b *bench) paced(t *timing, entries int, period, first time.Duration) error {
	next := time.NewTimer(first)
	defer next.Stop()
	for n := range entries {
		<-next.C
		next.Reset(period)
		if err := b.write(t, deviation, fmt.Sprintf("%s writes entry %d in its time", b.id, n)); err != nil {
			return err
		}
	}
	return nil
}

// percentile gives the time that a part of all is not above; the list is
// sorted by it.
func percentile(all []time.Duration, part float64) time.Duration {
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[min(int(part*float64(len(all))), len(all)-1)]
}
