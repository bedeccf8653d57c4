package vaulttest

import (
	"bytes"
	"context"
	"math"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/vault"
)

// faults are the promises that a memory vault can be told to break, each in
// the words "a vault that ...". "accepts CODE" leaves out one refusal.
var faults = []string{
	"accepts " + vault.CodeKey,
	"accepts " + vault.CodeOversize,
	"accepts " + vault.CodeConflict,
	"looks for conflicts first",
	"takes version 0 for any",
	"takes a version that is too high",
	"makes what was to be replaced",
	"counts versions by the key",
	"gives a version again after removal",
	"gives version 0",
	"keeps one shelf",
	"folds the case of keys",
	"ends a key at a zero",
	"cuts a large value",
	"keeps the caller's memory",
	"hands out its own memory",
	"never lets anything expire",
	"lets it expire a microsecond late",
	"lets it expire at once",
	"keeps nanoseconds",
	"gives the zone it got",
	"takes what has expired for there",
	"expires in Get alone",
	"does not remove",
	"removes any version",
	"removes what is there alone",
	"refuses to remove nothing",
	"sweeps nothing",
	"sweeps everything",
	"sweeps what expires next",
	"counts everything it sweeps as one",
	"changes nothing and says nothing",
	"compares the version before its turn",
	"ignores the context",
	"looks at the key before the context",
	"looks at the context before it is closed",
	"forgets when all handles are closed",
	"keeps a copy for each handle",
	"puts after closing",
	"gets after closing",
	"refuses to close twice",
	"fails while it is being closed",
}

// memory is a vault in memory, right but for its fault. The handles of one
// vault share its items.
type memory struct {
	*shared
	fault  string
	closed bool
}

type shared struct {
	mu      sync.Mutex
	items   map[place]vault.Item
	last    int64
	handles int
}

func openMemory(fault string) opener {
	return func(*testing.T) (vault.Vault, func() vault.Vault) {
		s := &shared{items: map[place]vault.Item{}}
		again := func() vault.Vault {
			switch {
			case fault == "keeps a copy for each handle":
				items := map[place]vault.Item{}
				for p, item := range s.items {
					items[p] = item
				}
				s = &shared{items: items, last: s.last}
			case fault == "forgets when all handles are closed" && s.handles == 0:
				clear(s.items)
			}
			s.handles++
			return &memory{shared: s, fault: fault}
		}
		return again(), again
	}
}

// is tells the fault.
func (m *memory) is(fault string) bool { return m.fault == fault }

func (m *memory) refuse(ctx context.Context, p place, value []byte, but string) error {
	if m.is("looks at the context before it is closed") && ctx.Err() != nil {
		return ctx.Err()
	}
	if m.closed && m.is("fails while it is being closed") {
		return &store.Error{Code: store.CodeFailed, Msg: "no such handle"}
	}
	if m.closed && (but == "" || !m.is(but)) {
		return &store.Error{Code: store.CodeClosed, Msg: "closed"}
	}
	if m.is("ignores the context") {
		ctx = context.WithoutCancel(ctx)
	}
	if m.is("looks at the key before the context") {
		if err := vault.Check(context.WithoutCancel(ctx), p.shelf, p.key, value); err != nil {
			return err
		}
	}
	err := vault.Check(ctx, p.shelf, p.key, value)
	if code, ok := strings.CutPrefix(m.fault, "accepts "); ok && store.CodeOf(err) == code {
		return nil
	}
	return err
}

func (m *memory) place(shelf vault.Shelf, key string) place {
	switch m.fault {
	case "keeps one shelf":
		shelf = vault.Secrets
	case "folds the case of keys":
		key = strings.ToLower(key)
	case "ends a key at a zero":
		key, _, _ = strings.Cut(key, "\x00")
	}
	return place{shelf, key}
}

// there is the item at an instant, the zero Item when it has expired.
func (m *memory) there(now time.Time, p place) vault.Item {
	item := m.items[p]
	end := item.Expires
	switch m.fault {
	case "never lets anything expire":
		return item
	case "lets it expire a microsecond late":
		end = end.Add(time.Microsecond)
	case "lets it expire at once":
		end = end.Add(-time.Hour)
	}
	if !item.Expires.IsZero() && !now.Before(end) {
		return vault.Item{}
	}
	return item
}

func (m *memory) Get(ctx context.Context, now time.Time, shelf vault.Shelf, key string) (vault.Item, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.refuse(ctx, place{shelf, key}, nil, "gets after closing"); err != nil {
		return vault.Item{}, err
	}
	item := m.there(now, m.place(shelf, key))
	if !m.is("hands out its own memory") {
		item.Value = bytes.Clone(item.Value)
	}
	return item, nil
}

func (m *memory) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
	p := m.place(shelf, key)
	m.mu.Lock()
	defer m.mu.Unlock()
	early := m.there(now, p).Version
	if m.is("compares the version before its turn") {
		m.mu.Unlock()
		for range 100 {
			runtime.Gosched()
		}
		m.mu.Lock()
	}
	have := m.there(now, p).Version
	if m.is("compares the version before its turn") {
		have = early
	}
	if m.is("takes what has expired for there") || m.is("expires in Get alone") {
		have = m.items[p].Version
	}
	conflict := item.Version != vault.Any && item.Version != have
	if conflict && m.is("looks for conflicts first") {
		return 0, vault.Conflict()
	}
	if err := m.refuse(ctx, place{shelf, key}, item.Value, "puts after closing"); err != nil {
		return 0, err
	}
	if conflict && !m.accepts(item.Version, have) {
		return 0, vault.Conflict()
	}
	return m.keep(p, item), nil
}

// accepts tells a conflict that is passed over.
func (m *memory) accepts(version, have int64) bool {
	switch m.fault {
	case "accepts " + vault.CodeConflict:
		return true
	case "takes version 0 for any":
		return version == 0
	case "takes a version that is too high":
		return version > have && have > 0
	case "makes what was to be replaced":
		return have == 0
	}
	return false
}

func (m *memory) keep(p place, item vault.Item) int64 {
	m.last++
	version := m.last
	switch m.fault {
	case "counts versions by the key":
		version = m.items[p].Version + 1
	case "gives a version again after removal":
		version = 1
		for _, other := range m.items {
			version = max(version, other.Version+1)
		}
	case "gives version 0":
		version = 0
	case "cuts a large value":
		item.Value = item.Value[:min(len(item.Value), 65535)]
	case "changes nothing and says nothing":
		return version
	}
	if !m.is("keeps the caller's memory") {
		item.Value = bytes.Clone(item.Value)
	}
	if micros, ok := vault.Micros(item.Expires); ok && !m.is("keeps nanoseconds") {
		at := vault.At(micros)
		if m.is("gives the zone it got") {
			at = at.In(item.Expires.Location())
		}
		item.Expires = at
	}
	item.Version = version
	m.items[p] = item
	return version
}

func (m *memory) Remove(ctx context.Context, shelf vault.Shelf, key string, version int64) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.refuse(ctx, place{shelf, key}, nil, ""); err != nil {
		return err
	}
	p := m.place(shelf, key)
	item, found := m.items[p]
	if m.is("removes what is there alone") && !item.Expires.IsZero() {
		found = false
	}
	if m.is("refuses to remove nothing") && !found {
		return vault.Conflict()
	}
	if version != vault.Any && (!found || item.Version != version) && !m.is("removes any version") {
		return vault.Conflict()
	}
	if !m.is("does not remove") {
		delete(m.items, p)
	}
	return nil
}

func (m *memory) Sweep(ctx context.Context, now time.Time) (int, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.refuse(ctx, place{vault.Secrets, "key"}, nil, ""); err != nil {
		return 0, err
	}
	switch m.fault {
	case "sweeps nothing":
		return 0, nil
	case "sweeps everything":
		now = time.Unix(math.MaxInt32*100, 0)
	case "sweeps what expires next":
		now = now.Add(time.Microsecond)
	}
	n := 0
	for p, item := range m.items {
		if m.there(now, p).Version == 0 || (m.is("sweeps everything") && item.Expires.IsZero()) {
			delete(m.items, p)
			n++
		}
	}
	if m.is("counts everything it sweeps as one") {
		n = min(n, 1)
	}
	return n, nil
}

func (m *memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		if m.is("refuses to close twice") {
			return &store.Error{Code: store.CodeClosed, Msg: "closed"}
		}
		return nil
	}
	m.closed = true
	m.handles--
	return nil
}
