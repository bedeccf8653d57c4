package web

import (
	"context"
	"slices"
	"sync"
	"time"

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
