// Package vaulttest is a vault for the tests of what stands on one, and the suite that every
// vault.Vault passes: its tests run it on each engine.
package vaulttest

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/store/vault"
)

// Memory is a vault in memory, for tests of what stands on one. The zero value is
// ready; all handles are the one.
type Memory struct {
	mu    sync.Mutex
	last  int64
	items map[string]vault.Item
	// Fail is what the next Get answers, once.
	Fail error
}

// at gives the item under a key as it is at an instant.
func (v *Memory) at(now time.Time, shelf vault.Shelf, key string) vault.Item {
	item := v.items[string(shelf)+"\n"+key]
	if !item.Expires.IsZero() && !now.Before(item.Expires) {
		return vault.Item{}
	}
	return item
}

// Get implements [vault.Vault].
func (v *Memory) Get(ctx context.Context, now time.Time, shelf vault.Shelf, key string) (vault.Item, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if err := vault.Check(ctx, shelf, key, nil); err != nil {
		return vault.Item{}, err
	}
	if err := v.Fail; err != nil {
		v.Fail = nil
		return vault.Item{}, err
	}
	item := v.at(now, shelf, key)
	item.Value = slices.Clone(item.Value)
	return item, nil
}

// Put implements [vault.Vault].
func (v *Memory) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if err := vault.Check(ctx, shelf, key, item.Value); err != nil {
		return 0, err
	}
	if item.Version != vault.Any && item.Version != v.at(now, shelf, key).Version {
		return 0, vault.Conflict()
	}
	if v.items == nil {
		v.items = map[string]vault.Item{}
	}
	v.last++
	item.Version, item.Value = v.last, slices.Clone(item.Value)
	v.items[string(shelf)+"\n"+key] = item
	return v.last, nil
}

// Remove implements [vault.Vault].
func (v *Memory) Remove(ctx context.Context, shelf vault.Shelf, key string, version int64) error {
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

// Sweep implements [vault.Vault].
func (v *Memory) Sweep(_ context.Context, now time.Time) (int, error) {
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

// Close implements [vault.Vault]; the items stay.
func (v *Memory) Close() error { return nil }

// Copy has the item under one key lie under another too, as anyone who can write the
// database could; false where there is none.
func (v *Memory) Copy(shelf vault.Shelf, from, to string) bool {
	v.mu.Lock()
	defer v.mu.Unlock()
	item, there := v.items[string(shelf)+"\n"+from]
	if there {
		v.last++
		item.Version = v.last
		v.items[string(shelf)+"\n"+to] = item
	}
	return there
}

// Size is how many bytes lie on a shelf.
func (v *Memory) Size(shelf vault.Shelf) (bytes int) {
	v.mu.Lock()
	defer v.mu.Unlock()
	for key, item := range v.items {
		if strings.HasPrefix(key, string(shelf)+"\n") {
			bytes += len(item.Value)
		}
	}
	return bytes
}
