package store

import (
	"context"
	"iter"
	"sync/atomic"
)

// Handle is the part of a [Log] that is the same for every engine: one append at a
// time, none to a log that was opened for reading, and nothing once it is closed. Its
// methods may be called by several goroutines. The zero value is of a log that was
// opened for reading.
type Handle struct {
	turn   chan struct{} // held by the one who appends; nil where the log was opened for reading
	closed atomic.Bool
}

// ToAppend makes it one of a log that was opened for appending. Call it once, before
// any other method.
func (h *Handle) ToAppend() { h.turn = make(chan struct{}, 1) }

// Usable refuses with CodeClosed a log that is closed.
func (h *Handle) Usable() error {
	if h.closed.Load() {
		return &Error{Code: CodeClosed, Msg: "the journal is closed"}
	}
	return nil
}

// Appends refuses with CodeClosed a log that is closed, and with CodeReadOnly one that was
// opened for reading.
func (h *Handle) Appends() error {
	if err := h.Usable(); err != nil {
		return err
	}
	if h.turn == nil {
		return &Error{
			Code: CodeReadOnly, Msg: "the journal was opened for reading",
			Hint: "open it for writing",
		}
	}
	return nil
}

// Append makes the checks that need no look at what is stored, waits for its turn, and
// calls transact, which stores the records.
func (h *Handle) Append(ctx context.Context, expect Head, records []Record, transact func(context.Context, Head, []Record) error) error {
	if err := h.Appends(); err != nil {
		return err
	}
	if err := Check(ctx, expect, records); err != nil {
		return err
	}
	select {
	case h.turn <- struct{}{}:
		defer func() { <-h.turn }()
	case <-ctx.Done():
		return ctx.Err()
	}
	if err := h.Usable(); err != nil { // closed while we waited
		return err
	}
	return transact(ctx, expect, records)
}

// Close waits for the append in progress and calls disconnect, the first time only.
func (h *Handle) Close(disconnect func() error) error {
	if h.turn != nil {
		h.turn <- struct{}{}
		defer func() { <-h.turn }()
	}
	if h.closed.Swap(true) {
		return nil
	}
	return disconnect()
}

// Pairs makes the sequence of [Log.Read] from a function that calls each with every
// record until each gives false. An error of read comes last.
func Pairs(read func(each func(Record) bool) error) iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		more := true
		err := read(func(r Record) bool {
			more = yield(r, nil)
			return more
		})
		if err != nil && more {
			yield(Record{}, err)
		}
	}
}
