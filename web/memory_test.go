package web

import (
	"context"
	"iter"
	"slices"
	"sync"
	"time"

	"vialwright/store"
	"vialwright/store/vault"
)

// memoryVault is a vault in memory.
type memoryVault struct {
	mu    sync.Mutex
	last  int64
	items map[string]vault.Item
	fail  error // what the next call answers, once
}

func newMemoryVault() *memoryVault { return &memoryVault{items: map[string]vault.Item{}} }

// at gives the item under a key as it is at an instant.
func (v *memoryVault) at(now time.Time, shelf vault.Shelf, key string) vault.Item {
	item := v.items[string(shelf)+"\n"+key]
	if !item.Expires.IsZero() && !now.Before(item.Expires) {
		return vault.Item{}
	}
	return item
}

func (v *memoryVault) Get(ctx context.Context, now time.Time, shelf vault.Shelf, key string) (vault.Item, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if err := vault.Check(ctx, shelf, key, nil); err != nil {
		return vault.Item{}, err
	}
	if err := v.fail; err != nil {
		v.fail = nil
		return vault.Item{}, err
	}
	item := v.at(now, shelf, key)
	item.Value = slices.Clone(item.Value)
	return item, nil
}

func (v *memoryVault) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if err := vault.Check(ctx, shelf, key, item.Value); err != nil {
		return 0, err
	}
	if item.Version != vault.Any && item.Version != v.at(now, shelf, key).Version {
		return 0, vault.Conflict()
	}
	v.last++
	item.Version, item.Value = v.last, slices.Clone(item.Value)
	v.items[string(shelf)+"\n"+key] = item
	return v.last, nil
}

func (v *memoryVault) Remove(ctx context.Context, shelf vault.Shelf, key string, version int64) error {
	v.mu.Lock()
	defer v.mu.Unlock()
	if err := vault.Check(ctx, shelf, key, nil); err != nil {
		return err
	}
	k := string(shelf) + "\n" + key
	if version != vault.Any && (version == 0 || v.items[k].Version != version) {
		return vault.Conflict()
	}
	delete(v.items, k)
	return nil
}

func (v *memoryVault) Sweep(_ context.Context, now time.Time) (int, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	n := 0
	for k, item := range v.items {
		if !item.Expires.IsZero() && !now.Before(item.Expires) {
			delete(v.items, k)
			n++
		}
	}
	return n, nil
}

func (v *memoryVault) Close() error { return nil }

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
