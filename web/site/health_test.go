package site_test

import (
	"context"
	"log/slog"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/rules"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/store/vault/vaulttest"
	"vialwright/web"
	"vialwright/web/webtest"
)

// sickLog is a log whose head is not to be had, or is another.
type sickLog struct {
	store.Log
	head func(context.Context) (store.Head, error)
}

func (l *sickLog) Head(ctx context.Context) (store.Head, error) {
	if l.head == nil {
		return l.Log.Head(ctx)
	}
	return l.head(ctx)
}

// silent does not answer until the one who asks gives up.
func silent(ctx context.Context) (store.Head, error) {
	<-ctx.Done()
	return store.Head{}, ctx.Err()
}

// A program that watches gets 503 when the store does not answer, answers
// with an error, or is not the one that was read; a person is told which store
// and what is wrong. What the store said is for the log.
func TestHealthOfStore(t *testing.T) {
	var out strings.Builder
	log := &sickLog{Log: &storetest.Memory{}}
	l := webtest.New(t, func(c *web.Config) {
		c.Patience = time.Millisecond
		c.Log, c.Store, c.Logger = log, "PostgreSQL database", slog.New(slog.NewTextHandler(&out, nil))
	}).Hire()
	s := webtest.NewStory(l).Until("receipt")
	last := l.Server.Lab.Report().Head.Seq
	s.MP.Look("/health").Says(http.StatusOK, "Store, PostgreSQL database", "answers; "+webtest.Decimal(last)+" records")
	for _, c := range []struct {
		name string
		head func(context.Context) (store.Head, error)
		says string
		gone bool
	}{
		{"silent", silent, "it does not answer", false},
		{"failing", func(context.Context) (store.Head, error) {
			return store.Head{}, &store.Error{Code: store.CodeFailed, Msg: "user=bench at 10.0.0.7"}
		}, "it does not answer", false},
		{"an older copy", func(context.Context) (store.Head, error) { return store.Head{Seq: 3, Hash: [32]byte{1}}, nil }, "an older copy", true},
		{"another journal", func(context.Context) (store.Head, error) { return store.Head{Seq: last, Hash: [32]byte{1}}, nil }, "the same journal", true},
	} {
		log.head = c.head
		if p := l.Browser().Get("/health"); p.Status != http.StatusServiceUnavailable || p.Body != "not well\n" {
			t.Errorf("%s: a program is answered %d %q", c.name, p.Status, p.Body)
		}
		p := s.MP.Get("/health").Says(http.StatusOK, c.says)
		if strings.Contains(p.Body, "10.0.0.7") {
			t.Errorf("%s: what the store said is on the page", c.name)
		}
		// What was read from it and is gone is not forgotten when it is there again.
		log.head = nil
		again := http.StatusOK
		if c.gone {
			again = http.StatusServiceUnavailable
		}
		if p := l.Browser().Get("/health"); p.Status != again {
			t.Errorf("%s: afterwards %d, want %d", c.name, p.Status, again)
		}
	}
	if !strings.Contains(out.String(), "10.0.0.7") {
		t.Error("what the store said is not in the log")
	}
}

// A vault that does not answer is no health either.
func TestHealthOfVault(t *testing.T) {
	v := &vaulttest.Memory{}
	l := webtest.New(t, func(c *web.Config) { c.Vault = v }).Hire()
	v.Fail = &store.Error{Code: store.CodeFailed, Msg: "no"}
	if p := l.Browser().Get("/health"); p.Status != http.StatusServiceUnavailable {
		t.Errorf("%d %q", p.Status, p.Body)
	}
}

// The health is one word for who is not signed in; the counters take a token.
func TestHealthAndMetrics(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	if p := l.Browser().Get("/health"); p.Status != 200 || p.Body != "ok\n" {
		t.Errorf("%d %q", p.Status, p.Body)
	}
	r, err := http.NewRequest(http.MethodGet, l.HTTP.URL+"/metrics", nil)
	if err != nil {
		t.Fatal(err)
	}
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

// fullLog takes no more records.
type fullLog struct{ store.Log }

func (fullLog) Probe(context.Context) error {
	return &store.Error{Code: store.CodeFailed, Msg: "the disk of the journal is full", Hint: "make room on it"}
}

// A full disk and a clock that lies behind the newest entry are stops on the board,
// with their cause and the way out, before anybody records anything; a program that
// watches gets 503.
func TestStopsOnTheBoard(t *testing.T) {
	l := webtest.New(t, func(c *web.Config) { c.Log = fullLog{c.Log} }).Hire()
	l.As("T1").Look("/").Says(http.StatusOK, "Nothing can be recorded: the disk of the journal is full", "Make room on it")
	if p := l.Browser().Get("/health"); p.Status != http.StatusServiceUnavailable {
		t.Errorf("a full disk: %d %q", p.Status, p.Body)
	}
	l = webtest.New(t, nil).Hire()
	b := l.As("T1")
	l.Clock.Add(-time.Hour) // it was ahead, and is set right
	if p := b.Get("/"); p.Location == "" || p.Status != http.StatusSeeOther {
		t.Errorf("a session of a clock that was ahead goes on: %d", p.Status)
	}
	l.As("T1").Look("/").Says(http.StatusOK, "ahead of the clock of this machine", "Compare the machine")
	if p := l.Browser().Get("/health"); p.Status != http.StatusServiceUnavailable {
		t.Errorf("a clock that was ahead: %d %q", p.Status, p.Body)
	}
}

// TestRulesAreNamed: who opens the bench did not start the program, and is told where it holds
// nothing against a limit of the law, in the first steps and in its status.
func TestRulesAreNamed(t *testing.T) {
	missing, named := "No rule profile is named, so that nothing is held against a limit of the law.", "The rule profile is us-nc."
	profile, err := rules.Load("us-nc")
	if err != nil {
		t.Fatal(err)
	}
	for says, set := range map[string]func(*web.Config){missing: nil, named: func(c *web.Config) { c.Rules = &profile }} {
		rp := webtest.New(t, set).Hire().As("RP1")
		rp.Look("/start").Says(http.StatusOK, says)
		rp.Look("/health").Says(http.StatusOK, says)
	}
}
