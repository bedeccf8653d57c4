package web

import (
	"context"
	"errors"
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
}

func (l *slowLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	l.begun <- struct{}{}
	err := l.memoryLog.Append(ctx, expect, records...)
	<-l.proceed
	return err
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
	// The store has the record, the append is not over: who looks for news
	// waits for the append, and for nothing behind it.
	caught := make(chan error)
	go func() { caught <- l.CatchUp(t.Context()) }()
	log.proceed <- struct{}{}
	if err := errors.Join(<-done, <-caught); err != nil {
		t.Error(err)
	}
	if n := l.Report().Records; n != 2 {
		t.Errorf("%d records, want 2", n)
	}
	if err := l.CatchUp(left); err != nil {
		t.Errorf("nothing to wait for: %v", err)
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
