package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"

	"vialwright/store"
)

// opener opens a new, empty log. What it returns besides opens one more
// handle on the same log, while others are open and after all are closed.
// The suite closes the handles.
type opener func(t *testing.T) (first store.Log, again func() store.Log)

// run runs the suite: each sentence of the package comment of store as a test, and random
// histories beside a slice, the slow twin of a log.
func run(t *testing.T, open opener) {
	for _, c := range []struct {
		name string
		test func(*bench)
	}{
		{"Empty", testEmpty},
		{"Order", testOrder},
		{"Refusals", testRefusals},
		{"Conflict", testConflict},
		{"AllOrNothing", testAllOrNothing},
		{"Snapshot", testSnapshot},
		{"StopEarly", testStopEarly},
		{"Paging", testPaging},
		{"Ownership", testOwnership},
		{"Reopen", testReopen},
		{"TwoHandles", testTwoHandles},
		{"Closed", testClosed},
		{"Cancelled", testCancelled},
		{"CancelledReading", testCancelledReading},
		{"CancelledAnywhere", testCancelledAnywhere},
		{"ClosedAnywhere", testClosedAnywhere},
		{"RaceOnOneHead", testRaceOnOneHead},
		{"RaceToTheEnd", testRaceToTheEnd},
		{"Model", testModel},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(newBench(t, open)) })
	}
}

// bench is one log with what a test needs around it.
type bench struct {
	*testing.T
	open  opener
	log   store.Log
	again func() store.Log
}

// with gives the bench of another test, or of another handle.
func (b *bench) with(t *testing.T, log store.Log) *bench {
	return &bench{T: t, open: b.open, log: log, again: b.again}
}

func newBench(t *testing.T, open opener) *bench {
	b := &bench{T: t, open: open}
	var again func() store.Log
	b.log, again = open(t)
	b.closeAtEnd(b.log)
	b.again = func() store.Log {
		l := again()
		b.closeAtEnd(l)
		return l
	}
	return b
}

func (b *bench) closeAtEnd(l store.Log) {
	b.Helper()
	b.Cleanup(func() {
		if err := l.Close(); err != nil {
			b.Errorf("Close: %v", err)
		}
	})
}

// head gives the head of the log.
func (b *bench) head() store.Head {
	b.Helper()
	head, err := b.log.Head(b.Context())
	if err != nil {
		b.Fatalf("Head: %v", err)
	}
	return head
}

// append appends one batch of small bodies at the head and gives it.
func (b *bench) append(bodies ...string) []store.Record {
	b.Helper()
	head := b.head()
	records := Chain(head, byteSlices(bodies)...)
	if err := b.log.Append(b.Context(), head, records...); err != nil {
		b.Fatalf("Append: %v", err)
	}
	return records
}

func byteSlices(bodies []string) [][]byte {
	out := make([][]byte, len(bodies))
	for i, body := range bodies {
		out[i] = []byte(body)
	}
	return out
}

// wantCode wants an append refused with that code and the log as it was.
func (b *bench) wantCode(code string, expect store.Head, records ...store.Record) {
	b.Helper()
	before := b.head()
	if err := b.log.Append(b.Context(), expect, records...); store.CodeOf(err) != code {
		b.Errorf("Append: %v, want %s", err, code)
	}
	if after := b.head(); after != before {
		b.Errorf("a refused append moved the head from %d to %d", before.Seq, after.Seq)
	}
}

// wantAll wants the log to hold these records and no others.
func (b *bench) wantAll(want []store.Record) {
	b.Helper()
	got, err := collect(b.Context(), b.log, 0, store.All)
	if err != nil {
		b.Fatalf("Read: %v", err)
	}
	if err := same(got, want); err != nil {
		b.Fatal(err)
	}
	var head store.Head
	if len(want) > 0 {
		head = want[len(want)-1].Head()
	}
	if got := b.head(); got != head {
		b.Fatalf("head %d %x, want %d %x", got.Seq, got.Hash[:4], head.Seq, head.Hash[:4])
	}
}

// collect reads until the end or the first error.
func collect(ctx context.Context, l store.Log, from uint64, limit int) ([]store.Record, error) {
	var out []store.Record
	for r, err := range l.Read(ctx, from, limit) {
		if err != nil {
			return out, err
		}
		out = append(out, r)
	}
	return out, nil
}

// same tells the first difference between two runs of records.
func same(got, want []store.Record) error {
	for i := range min(len(got), len(want)) {
		g, w := got[i], want[i]
		if g.Seq != w.Seq || g.Hash != w.Hash || !bytes.Equal(g.Body, w.Body) {
			return fmt.Errorf("record %d (%d bytes) stands where record %d (%d bytes) should", g.Seq, len(g.Body), w.Seq, len(w.Body))
		}
	}
	if len(got) != len(want) {
		return fmt.Errorf("read %d records, want %d", len(got), len(want))
	}
	return nil
}

// isConflict gives the conflict that an append was refused for.
func isConflict(err error) (*store.ConflictError, bool) {
	return errors.AsType[*store.ConflictError](err)
}

// isCancelled tells whether err is that of the context, not a failure that
// came of it.
func isCancelled(err error) bool {
	return errors.Is(err, context.Canceled) && store.CodeOf(err) == ""
}
