package web

import (
	"context"
	"errors"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/journal"
	"vialwright/store"
)

// slowLog is a log whose Append waits, as for a disk: begun is sent to when one
// has begun, and it goes on when something comes from proceed.
type slowLog struct {
	memoryLog
	begun, proceed chan struct{}
	appends        []int // records of each
}

func (l *slowLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	l.appends = append(l.appends, len(records))
	l.begun <- struct{}{}
	<-l.proceed
	return l.memoryLog.Append(ctx, expect, records...)
}

// While the disk is at work for one entry, pages are shown as the journal was
// before, and who waits to write may leave.
func TestNobodyWaitsForTheDisk(t *testing.T) {
	log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
	l := openTest(t, log)
	done := make(chan error)
	go func() { done <- note(l, "A", 0, "one") }()
	<-log.begun
	if n := l.Report().Records; n != 0 {
		t.Errorf("%d records are shown before they are stored", n)
	}
	if _, ok := l.Case("A"); ok || len(l.Cases()) > 0 || l.Broken() != nil {
		t.Error("a case is shown before it is stored")
	}
	left, leave := context.WithCancel(t.Context())
	leave()
	err := l.Append(left, "B", 0, func(*file) ([]journal.Record, error) { panic("asked out of turn") })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("who left was answered %v", err)
	}
	log.proceed <- struct{}{}
	if err := <-done; err != nil {
		t.Error(err)
	}
	if n := l.Report().Records; n != 2 {
		t.Errorf("%d records, want 2", n)
	}
}

// Who looks for news while an append of ours is stored but not yet taken waits
// for that, and for nothing that stands behind it.
func TestCatchUpWaitsForNoTurn(t *testing.T) {
	log := &memoryLog{}
	l := openTest(t, log)
	l.turn <- struct{}{} // somebody is at work
	other := openTest(t, log)
	if err := note(other, "A", 0, "one"); err != nil {
		t.Fatal(err)
	}
	caught := make(chan error)
	go func() { caught <- l.CatchUp(t.Context()) }()
	if _, err := l.readOn(t.Context()); err != nil { // who is at work takes it, and keeps the turn
		t.Fatal(err)
	}
	if err := <-caught; err != nil {
		t.Error(err)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	if err := note(other, "A", 2, "two"); err != nil {
		t.Fatal(err)
	}
	if err := l.CatchUp(gone); !errors.Is(err, context.Canceled) {
		t.Errorf("who left was answered %v", err)
	}
}

// inLine waits until so many entries wait for a turn.
func inLine(l *lab, n int) {
	for {
		l.line.mu.Lock()
		there := len(l.line.waiting)
		l.line.mu.Unlock()
		if there == n {
			return
		}
		runtime.Gosched()
	}
}

// While one entry is stored others come: they are appended at once. Each is
// decided on by itself; what one of them is refused for, or a fault in one, is
// no matter of the others, and two of one case do not overtake each other. Only
// what the store cannot do is the answer to all.
func TestAppendedTogether(t *testing.T) {
	log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
	l := openTest(t, log)
	var all sync.WaitGroup
	answers := map[string]error{}
	var mu sync.Mutex
	ask := func(key string, do func() error) {
		all.Go(func() {
			err := do()
			mu.Lock()
			defer mu.Unlock()
			answers[key] = err
		})
	}
	ask("first", func() error { return note(l, "A", 0, "one") })
	<-log.begun
	for i, name := range []string{"B", "C", "D"} {
		ask(name, func() error { return note(l, name, 0, "one") })
		inLine(l, i+1)
	}
	ask("the same case", func() error { return note(l, "B", 0, "two") })
	ask("refused", func() error {
		return l.Append(t.Context(), "E", 0, func(*file) ([]journal.Record, error) { return nil, errLeft })
	})
	ask("nothing", func() error {
		return l.Append(t.Context(), "F", 0, func(*file) ([]journal.Record, error) { return nil, nil })
	})
	ask("a fault", func() error {
		return l.Append(t.Context(), "G", 0, func(*file) ([]journal.Record, error) { panic("a slip") })
	})
	inLine(l, 7)
	log.proceed <- struct{}{}
	<-log.begun
	log.proceed <- struct{}{}
	all.Wait()
	if !slices.Equal(log.appends, []int{2, 6}) {
		t.Errorf("appends of %d records, want 2 and 6", log.appends)
	}
	var moved *MovedError
	switch {
	case answers["first"] != nil || answers["B"] != nil || answers["C"] != nil || answers["D"] != nil:
		t.Errorf("answered %v", answers)
	case !errors.As(answers["the same case"], &moved) || len(moved.Since) != 2:
		t.Errorf("the second of one case was answered %v", answers["the same case"])
	case answers["refused"] != errLeft || store.CodeOf(answers["nothing"]) != store.CodeEmpty:
		t.Errorf("answered %v and %v", answers["refused"], answers["nothing"])
	case answers["a fault"] == nil || !strings.Contains(answers["a fault"].Error(), "a slip"):
		t.Errorf("a fault was answered %v", answers["a fault"])
	}

	ask("before", func() error { return note(l, "H", 0, "one") })
	<-log.begun
	for i, name := range []string{"I", "J"} {
		ask(name, func() error { return note(l, name, 0, "one") })
		inLine(l, i+1)
	}
	log.proceed <- struct{}{}
	<-log.begun
	log.mu.Lock()
	log.fail = &store.Error{Code: store.CodeFailed, Msg: "no"}
	log.mu.Unlock()
	log.proceed <- struct{}{}
	all.Wait()
	if answers["before"] != nil || store.CodeOf(answers["I"]) != store.CodeFailed || store.CodeOf(answers["J"]) != store.CodeFailed {
		t.Errorf("where the store fails all are answered %v", answers)
	}
	if n := l.Report().Records; n != 10 {
		t.Errorf("%d records, want 10", n)
	}
}

// What was recorded together is seen together, in the program that wrote it and
// in another.
func TestSeenTogether(t *testing.T) {
	log := &memoryLog{}
	a, b := openTest(t, log), openTest(t, log)
	if err := note(a, "A", 0, "first"); err != nil {
		t.Fatal(err)
	}
	const rounds, together = 50, 5
	stop := make(chan struct{})
	var lookers sync.WaitGroup
	for _, l := range []*lab{a, b} {
		lookers.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				if err := l.CatchUp(t.Context()); err != nil {
					t.Error(err)
					return
				}
				if f, _ := l.Case("A"); (len(f.Records)-2)%together != 0 {
					t.Errorf("%d records of a batch are seen", (len(f.Records)-2)%together)
					return
				}
			}
		})
	}
	for range rounds {
		f, _ := a.Case("A")
		err := a.Append(t.Context(), "A", f.Last(), func(*file) ([]journal.Record, error) {
			r := journal.Record{Case: "A", Recorded: time.Unix(1.8e9, 0), By: "T1", Fact: &journal.Note{Text: "one of five"}}
			return []journal.Record{r, r, r, r, r}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	close(stop)
	lookers.Wait()
}
