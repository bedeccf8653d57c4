package store

import (
	"context"
	"iter"
	"sync/atomic"
)

// Handle is what the handle of a log does alike whatever the engine: one append at a
// time, none on a log that was opened for reading, and nothing once it is closed. It
// is for those who implement a [Log]. The zero value reads only.
type Handle struct {
	turn   chan struct{} // nil for one that reads only
	closed atomic.Bool
}

// ToAppend lets it append; before it is used for anything else.
func (h *Handle) ToAppend() { h.turn = make(chan struct{}, 1) }

// Usable refuses a handle that is closed.
func (h *Handle) Usable() error {
	if h.closed.Load() {
		return &Error{Code: CodeClosed, Msg: "the journal is closed"}
	}
	return nil
}

// Appends refuses a handle that is closed, or reads only.
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

// Append goes down the refusals that need no look at the log, waits for its turn, and
// has the records stored.
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

// Close waits for the append in progress and has the log disconnected, once.
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

// Pairs are the records that read gives to each until that says no, and the error it
// ends with.
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
