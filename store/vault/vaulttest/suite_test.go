package vaulttest

import (
	"bytes"
	"context"
	"errors"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/vault"
)

// opener opens a new, empty vault. What it returns besides opens one more
// handle on the same vault, while others are open and after all are closed.
// The suite closes the handles.
type opener func(t *testing.T) (first vault.Vault, again func() vault.Vault)

// run runs the suite: each sentence of the package comment of vault as a test, and random
// histories beside a map, the slow twin of a vault.
func run(t *testing.T, open opener) {
	for _, c := range []struct {
		name string
		test func(*bench)
	}{
		{"Empty", testEmpty},
		{"RoundTrip", testRoundTrip},
		{"Apart", testApart},
		{"Versions", testVersions},
		{"Conflict", testConflict},
		{"Expiry", testExpiry},
		{"Sweep", testSweep},
		{"Refusals", testRefusals},
		{"Ownership", testOwnership},
		{"Reopen", testReopen},
		{"Closed", testClosed},
		{"Cancelled", testCancelled},
		{"ClosedAnywhere", testClosedAnywhere},
		{"RaceOnOneVersion", testRaceOnOneVersion},
		{"RaceToCount", testRaceToCount},
		{"Model", testModel},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(newBench(t, open)) })
	}
}

// noon is the instant of most tests; a vault knows no other.
var noon = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

var shelves = []vault.Shelf{vault.Secrets, vault.Sessions, vault.Drafts}

// bench is one vault with what a test needs around it.
type bench struct {
	*testing.T
	open  opener
	vault vault.Vault
	again func() vault.Vault
}

func newBench(t *testing.T, open opener) *bench {
	b := &bench{T: t, open: open}
	first, again := open(t)
	b.vault = b.closeAtEnd(first)
	b.again = func() vault.Vault { return b.closeAtEnd(again()) }
	return b
}

func (b *bench) closeAtEnd(v vault.Vault) vault.Vault {
	b.Helper()
	b.Cleanup(func() {
		if err := v.Close(); err != nil {
			b.Errorf("Close: %v", err)
		}
	})
	return v
}

// put keeps a value without an end and gives its version.
func (b *bench) put(shelf vault.Shelf, key, value string, version int64) int64 {
	b.Helper()
	got, err := b.vault.Put(b.Context(), noon, shelf, key, vault.Item{Value: []byte(value), Version: version})
	if err != nil {
		b.Fatalf("Put: %v", err)
	}
	if got <= 0 {
		b.Fatalf("Put gave version %d", got)
	}
	return got
}

// want wants an item there at an instant, the zero Item for none.
func (b *bench) want(now time.Time, shelf vault.Shelf, key string, want vault.Item) {
	b.Helper()
	got, err := b.vault.Get(b.Context(), now, shelf, key)
	if err != nil {
		b.Fatalf("Get: %v", err)
	}
	if !bytes.Equal(got.Value, want.Value) || got.Version != want.Version || !got.Expires.Equal(want.Expires) {
		b.Fatalf("%s %q at %s: %d bytes, version %d until %v; want %d bytes, version %d until %v", shelf, key,
			now.Format(time.RFC3339Nano), len(got.Value), got.Version, got.Expires, len(want.Value), want.Version, want.Expires)
	}
}

func of(value string, version int64) vault.Item {
	return vault.Item{Value: []byte(value), Version: version}
}

// refused wants an error with that code.
func (b *bench) refused(what string, err error, code string) {
	b.Helper()
	if store.CodeOf(err) != code {
		b.Errorf("%s: %v, want %s", what, err, code)
	}
}

func isCancelled(err error) bool {
	return errors.Is(err, context.Canceled) && store.CodeOf(err) == ""
}
