package replica

import (
	"context"
	"iter"
	"slices"
	"sync"

	"vialwright/store"
)

// memoryLog is a log in memory. Several handles may share its records.
type memoryLog struct {
	mu      sync.Mutex
	records []store.Record
	fail    error // what the next append answers, once
}

func (m *memoryLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	if err := store.Check(ctx, expect, records); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.fail; err != nil {
		m.fail = nil
		return err
	}
	if have := m.head(); have != expect {
		return &store.ConflictError{Have: have, Expected: expect}
	}
	for _, r := range records {
		r.Body = slices.Clone(r.Body)
		m.records = append(m.records, r)
	}
	return nil
}

func (m *memoryLog) head() store.Head {
	if len(m.records) == 0 {
		return store.Head{}
	}
	return m.records[len(m.records)-1].Head()
}

func (m *memoryLog) Head(context.Context) (store.Head, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.head(), nil
}

func (m *memoryLog) Read(_ context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	m.mu.Lock()
	records := slices.Clone(m.records)
	m.mu.Unlock()
	return func(yield func(store.Record, error) bool) {
		for _, r := range records {
			if r.Seq < from {
				continue
			}
			if limit == 0 || !yield(r, nil) {
				return
			}
			limit--
		}
	}
}

func (m *memoryLog) Close() error { return nil }
