package web

import (
	"bufio"
	"context"
	"errors"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"vialwright/journal"
	"vialwright/store"
)

func openTest(t *testing.T, log store.Log) *lab {
	t.Helper()
	l, err := openLab(context.Background(), log, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// note appends a note to a case behind a record.
func note(l *lab, name string, behind uint64, text string) error {
	return l.Append(context.Background(), name, behind, func(f *file) ([]journal.Record, error) {
		r := journal.Record{Case: name, Recorded: time.Unix(1.8e9, 0), By: "T1", Fact: &journal.Note{Text: text}}
		if len(f.Records) == 0 {
			open := r
			open.Fact = &journal.Case{Zone: "UTC"}
			return []journal.Record{open, r}, nil
		}
		return []journal.Record{r}, nil
	})
}

// Two programs on one store: what the other wrote to another case is read and
// the entry goes behind it; what it wrote to the same case is told, and nothing
// is stored.
func TestTwoPrograms(t *testing.T) {
	log := &memoryLog{}
	a, b := openTest(t, log), openTest(t, log)
	for _, step := range []struct {
		by     *lab
		name   string
		behind uint64
	}{{a, "A", 0}, {b, "B", 0}, {a, "A", 2}} {
		if err := note(step.by, step.name, step.behind, "one"); err != nil {
			t.Fatal(err)
		}
	}
	var moved *MovedError
	if err := note(b, "A", 2, "two"); !errors.As(err, &moved) || len(moved.Since) != 1 {
		t.Errorf("the second program was answered %v", err)
	}
	if n := len(log.records); n != 5 {
		t.Errorf("%d records, want 5", n)
	}
	if err := note(b, "A", 5, "three"); err != nil {
		t.Error(err)
	}
}

// What a store cannot do is told, and the lab stays as it was; where it is
// unsure the records are found at the next look.
func TestStoreFails(t *testing.T) {
	log := &memoryLog{fail: &store.Error{Code: store.CodeFailed, Msg: "no"}}
	l := openTest(t, log)
	if err := note(l, "A", 0, "lost"); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("answered %v", err)
	}
	if _, ok := l.Case("A"); ok {
		t.Error("a case that was not stored is shown")
	}
	if err := note(l, "A", 0, "kept"); err != nil {
		t.Error(err)
	}
}

// A journal in which a byte was changed opens, says so, and takes nothing.
func TestBrokenJournal(t *testing.T) {
	log := &memoryLog{}
	l := openTest(t, log)
	for i := range 3 {
		behind := uint64(i + 1)
		if i == 0 {
			behind = 0
		}
		if err := note(l, "A", behind, "text"); err != nil {
			t.Fatal(err)
		}
	}
	log.records[2].Body[len(log.records[2].Body)-5] ^= 1
	l = openTest(t, log)
	if l.Broken() == nil || l.Report().Records != 2 {
		t.Errorf("broken: %v after %d records", l.Broken(), l.Report().Records)
	}
	if err := note(l, "B", 0, "no"); err == nil {
		t.Error("a broken journal took an entry")
	}
	b := newLab1(t, func(c *Config) { c.Log = log }).hire().as("RP1")
	b.get("/").says(200, "The journal does not hold")
	b.get("/health").says(200, "Stop", "link 3")
}

// Many write, listen and leave at once; nobody waits for anybody, and the hub
// holds no one who has left.
func TestHubWithReadersLeaving(t *testing.T) {
	defer goleak.VerifyNone(t)
	h := newHub()
	var all sync.WaitGroup
	for i := range 16 {
		all.Go(func() {
			l := h.listen([]string{"", "A", "B"}[i%3])
			for range i * 3 {
				if _, ok := <-l.events; !ok {
					return // let go
				}
			}
			h.leave(l)
			h.leave(l)
		})
		all.Go(func() {
			for n := range 200 {
				h.publish(event{seq: uint64(n), name: []string{"A", "B"}[n%2]})
			}
		})
	}
	done := make(chan struct{})
	go func() { all.Wait(); close(done) }()
	for n := 0; ; n++ { // those still waiting get theirs
		select {
		case <-done:
			if h.count() != 0 {
				t.Errorf("%d are still held", h.count())
			}
			h.close()
			if h.listen("") != nil {
				t.Error("a closed hub takes listeners")
			}
			return
		default:
			h.publish(event{seq: uint64(n), name: []string{"A", "B"}[n%2]})
		}
	}
}

// A listener that does not keep up is let go; the others are not.
func TestSlowReader(t *testing.T) {
	h := newHub()
	slow, quick := h.listen(""), h.listen("")
	for n := range waiting + 1 {
		h.publish(event{seq: uint64(n)})
		<-quick.events
	}
	if h.count() != 1 {
		t.Fatalf("%d listeners, want the quick one alone", h.count())
	}
	n := 0
	for range slow.events {
		n++
	}
	if n != waiting {
		t.Errorf("the slow one got %d, want %d and then the end", n, waiting)
	}
}

// A browser that comes again is told what it missed, in order, and then what
// is new. The stream ends with the session.
func TestEvents(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.http.URL+"/events?case="+theCase, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Last-Event-ID", "9")
	res, err := s.t1.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if got := res.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Fatalf("type %q", got)
	}
	lines := bufio.NewScanner(res.Body)
	next := func() string {
		for lines.Scan() {
			if id, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
				return id
			}
		}
		t.Fatalf("the stream ended: %v", lines.Err())
		return ""
	}
	for _, want := range []string{"10", "11"} {
		if got := next(); got != want {
			t.Errorf("event %s, want %s", got, want)
		}
	}
	s.assay()
	if got := next(); got != "12" {
		t.Errorf("event %s, want 12", got)
	}
	if p := s.browser().get("/events"); p.status != http.StatusUnauthorized {
		t.Errorf("without a session: %d", p.status)
	}
}
