package storetest

import (
	"bytes"
	"context"
	"iter"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"vialwright/store"
)

// faults are the promises that a memory log can be told to break, each in
// the words "a log that ...". "accepts CODE" leaves out one refusal.
var faults = []string{
	"accepts " + store.CodeEmpty,
	"accepts " + store.CodeGap,
	"accepts " + store.CodeBodyless,
	"accepts " + store.CodeOversize,
	"accepts " + store.CodeUnhashed,
	"looks for conflicts first",
	"takes any head",
	"takes any head of the same number",
	"takes any head when empty",
	"swaps the heads in a conflict",
	"checks the head before its turn",
	"stores up to the faulty record",
	"loses the end of a large batch",
	"turns a batch round",
	"ends a body at a zero",
	"cuts a large body",
	"keeps the caller's memory",
	"hands out its own memory",
	"is busy once a loop was left early",
	"stores and then says it was cancelled",
	"appends whatever the context",
	"gives the head whatever the context",
	"reads whatever the context",
	"goes quiet when the context ends",
	"goes on after an error",
	"sees what is appended during a loop",
	"has its snapshot before the loop begins",
	"passes over the limit",
	"takes limit 0 for no limit",
	"starts behind the number asked for",
	"starts at the beginning always",
	"forgets when all handles are closed",
	"keeps a copy for each handle",
	"appends after closing",
	"reads after closing",
	"refuses to close twice",
	"fails while it is being closed",
}

// memory is a log in memory, right but for its fault. The handles of one log
// share its records.
type memory struct {
	*shared
	fault  string
	closed bool
}

type shared struct {
	mu      sync.Mutex
	records []store.Record
	handles int
	left    bool // a loop was left before its end
}

func openMemory(fault string) opener {
	return func(*testing.T) (store.Log, func() store.Log) {
		s := &shared{}
		again := func() store.Log {
			switch {
			case fault == "keeps a copy for each handle":
				s = &shared{records: clone(s.records)}
			case fault == "forgets when all handles are closed" && s.handles == 0:
				s.records = nil
			}
			s.handles++
			return &memory{shared: s, fault: fault}
		}
		return again(), again
	}
}

func clone(records []store.Record) []store.Record {
	out := slices.Clone(records)
	for i := range out {
		out[i].Body = bytes.Clone(out[i].Body)
	}
	return out
}

func (m *memory) refuseClosed(but string) error {
	if m.closed && m.fault == "fails while it is being closed" {
		return &store.Error{Code: store.CodeFailed, Msg: "no such handle"}
	}
	if m.closed && m.fault != but {
		return &store.Error{Code: store.CodeClosed, Msg: "closed"}
	}
	return nil
}

func (m *memory) head() store.Head {
	if len(m.records) == 0 {
		return store.Head{}
	}
	return m.records[len(m.records)-1].Head()
}

func (m *memory) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	m.mu.Lock()
	have := m.head()
	if m.fault == "checks the head before its turn" {
		m.mu.Unlock()
		letOthers()
		m.mu.Lock()
	}
	defer m.mu.Unlock()
	if err := m.refuseClosed("appends after closing"); err != nil {
		return err
	}
	if m.fault == "appends whatever the context" {
		ctx = context.WithoutCancel(ctx)
	}
	if m.left && m.fault == "is busy once a loop was left early" {
		return &store.Error{Code: store.CodeBusy, Msg: "busy"}
	}
	conflict := m.conflict(have, expect)
	if conflict != nil && m.fault == "looks for conflicts first" {
		return conflict
	}
	if err := m.check(ctx, expect, records); err != nil {
		return err
	}
	if conflict != nil {
		return conflict
	}
	m.keep(records)
	if m.fault == "stores and then says it was cancelled" {
		letOthers()
		return ctx.Err()
	}
	return nil
}

// letOthers gives every other goroutine a chance to run.
func letOthers() {
	for range 100 {
		runtime.Gosched()
	}
}

func (m *memory) conflict(have, expect store.Head) error {
	same := have == expect
	switch m.fault {
	case "takes any head":
		same = true
	case "takes any head of the same number":
		same = have.Seq == expect.Seq
	case "takes any head when empty":
		same = same || have == store.Head{}
	case "swaps the heads in a conflict":
		have, expect = expect, have
	}
	if same {
		return nil
	}
	return &store.ConflictError{Have: have, Expected: expect}
}

func (m *memory) check(ctx context.Context, expect store.Head, records []store.Record) error {
	err := store.Check(ctx, expect, records)
	if code, ok := strings.CutPrefix(m.fault, "accepts "); ok && store.CodeOf(err) == code {
		return nil
	}
	if err != nil && m.fault == "stores up to the faulty record" && expect == m.head() {
		for i := range records {
			if store.Check(ctx, expect, records[:i+1]) != nil {
				m.keep(records[:i])
				break
			}
		}
	}
	return err
}

func (m *memory) keep(records []store.Record) {
	added := clone(records)
	switch m.fault {
	case "keeps the caller's memory":
		added = records
	case "loses the end of a large batch":
		added = added[:min(len(added), 1000)]
	case "turns a batch round":
		slices.Reverse(added)
	case "ends a body at a zero":
		for i := range added {
			added[i].Body, _, _ = bytes.Cut(added[i].Body, []byte{0})
		}
	case "cuts a large body":
		for i := range added {
			added[i].Body = added[i].Body[:min(len(added[i].Body), 65535)]
		}
	}
	m.records = append(m.records, added...)
}

func (m *memory) Head(ctx context.Context) (store.Head, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.refuseClosed("reads after closing"); err != nil {
		return store.Head{}, err
	}
	if err := ctx.Err(); err != nil && m.fault != "gives the head whatever the context" {
		return store.Head{}, err
	}
	return m.head(), nil
}

func (m *memory) Read(ctx context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	early := m.snapshot()
	return func(yield func(store.Record, error) bool) {
		m.mu.Lock()
		err := m.refuseClosed("reads after closing")
		m.mu.Unlock()
		if err != nil {
			yield(store.Record{}, err)
			return
		}
		records := m.snapshot()
		if m.fault == "has its snapshot before the loop begins" {
			records = early
		}
		m.loop(ctx, records, m.first(from), m.limit(limit), yield)
	}
}

func (m *memory) snapshot() []store.Record {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.records
}

func (m *memory) first(from uint64) uint64 {
	switch m.fault {
	case "starts behind the number asked for":
		return max(from, 1)
	case "starts at the beginning always":
		return 0
	}
	return max(from, 1) - 1
}

func (m *memory) limit(limit int) int {
	if m.fault == "passes over the limit" || (limit == 0 && m.fault == "takes limit 0 for no limit") {
		return -1
	}
	return limit
}

func (m *memory) loop(ctx context.Context, records []store.Record, i uint64, limit int, yield func(store.Record, error) bool) {
	for ; limit != 0; limit-- {
		if m.fault == "sees what is appended during a loop" {
			records = m.snapshot()
		}
		if err := ctx.Err(); err != nil && m.fault != "reads whatever the context" {
			if m.fault == "goes quiet when the context ends" || !yield(store.Record{}, err) || m.fault != "goes on after an error" {
				return
			}
		}
		if i >= uint64(len(records)) {
			return
		}
		r := clone(records[i : i+1])[0]
		if m.fault == "hands out its own memory" {
			r = records[i]
		}
		if !yield(r, nil) {
			m.mu.Lock()
			m.left = true
			m.mu.Unlock()
			return
		}
		i++
	}
}

func (m *memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		if m.fault == "refuses to close twice" {
			return &store.Error{Code: store.CodeClosed, Msg: "closed"}
		}
		return nil
	}
	m.closed = true
	m.handles--
	return nil
}
