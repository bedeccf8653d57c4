package webtest

import (
	"context"
	"slices"
	"sync"
	"time"

	"vialwright/store/vault"
)

// Vault is a vault in memory.
type Vault struct {
	mu    sync.Mutex
	last  int64
	items map[string]vault.Item
	Fail  error // what the next call answers, once
}

// NewVault is an empty vault.
func NewVault() *Vault { return &Vault{items: map[string]vault.Item{}} }

// at gives the item under a key as it is at an instant.
func (v *Vault) at(now time.Time, shelf vault.Shelf, key string) vault.Item {
	item := v.items[string(shelf)+"\n"+key]
	if !item.Expires.IsZero() && !now.Before(item.Expires) {
		return vault.Item{}
	}
	return item
}

// Get gives an item.
func (v *Vault) Get(ctx context.Context, now time.Time, shelf vault.Shelf, key string) (vault.Item, error) {
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

// Put keeps an item.
func (v *Vault) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (int64, error) {
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

// Remove takes an item away.
func (v *Vault) Remove(ctx context.Context, shelf vault.Shelf, key string, version int64) error {
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

// Sweep takes away what has expired.
func (v *Vault) Sweep(_ context.Context, now time.Time) (int, error) {
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

// Close does nothing.
func (v *Vault) Close() error { return nil }
