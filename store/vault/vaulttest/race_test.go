package vaulttest

import (
	"strconv"
	"sync"
	"sync/atomic"

	"vialwright/store"
	"vialwright/store/vault"
)

// rivals are goroutines on two handles of one vault.
const rivals = 4

// handles gives the two handles by turns.
func (b *bench) handles() []vault.Vault {
	other := b.again()
	vaults := make([]vault.Vault, rivals)
	for i := range vaults {
		vaults[i] = b.vault
		if i%2 == 1 {
			vaults[i] = other
		}
	}
	return vaults
}

// A handle that is closed while others use it goes on for them or refuses as
// a closed one does; nothing fails in between.
func testClosedAnywhere(b *bench) {
	for range 20 {
		v := b.again()
		use := []func() error{
			func() error { _, err := v.Get(b.Context(), noon, vault.Drafts, "key"); return err },
			func() error {
				_, err := v.Put(b.Context(), noon, vault.Drafts, "key", vault.Item{Version: vault.Any})
				return err
			},
			func() error { return v.Remove(b.Context(), vault.Drafts, "key", vault.Any) },
			func() error { _, err := v.Sweep(b.Context(), noon); return err },
		}
		var ready, done sync.WaitGroup
		var closed atomic.Bool
		ready.Add(len(use))
		for _, once := range use {
			done.Go(func() {
				err := once()
				ready.Done()
				for last := false; err == nil && !last; {
					last = closed.Load()
					err = once()
				}
				b.refused("a call while it is closed", err, store.CodeClosed)
			})
		}
		ready.Wait()
		if err := v.Close(); err != nil {
			b.Error(err)
		}
		closed.Store(true)
		done.Wait()
	}
}

// Of several changes that were decided on the same version exactly one is
// accepted: of the first Put too, of a Remove too.
func testRaceOnOneVersion(b *bench) {
	vaults := b.handles()
	var version int64
	for round := range 25 {
		errs, versions := make([]error, rivals), make([]int64, rivals)
		start := make(chan struct{})
		var all sync.WaitGroup
		for i, v := range vaults {
			all.Go(func() {
				<-start
				if round%5 == 4 && i == 0 {
					errs[i] = v.Remove(b.Context(), vault.Secrets, "RP1", version)
					return
				}
				versions[i], errs[i] = v.Put(b.Context(), noon, vault.Secrets, "RP1", of(strconv.Itoa(i), version))
			})
		}
		close(start)
		all.Wait()
		winner, won := 0, 0
		for i, err := range errs {
			if err == nil {
				winner = i
				won++
			} else {
				b.refused("a change", err, vault.CodeConflict)
			}
		}
		if won != 1 {
			b.Fatalf("round %d: %d changes of one version were accepted", round, won)
		}
		if version = versions[winner]; version == 0 {
			b.want(noon, vault.Secrets, "RP1", vault.Item{})
		} else {
			b.want(noon, vault.Secrets, "RP1", of(strconv.Itoa(winner), version))
		}
	}
}

// Rivals that look again and decide again all get counted, as failures to
// sign in have to be.
func testRaceToCount(b *bench) {
	const each = 15
	var all sync.WaitGroup
	for _, v := range b.handles() {
		all.Go(func() {
			for range each {
				if err := countUp(b, v); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	all.Wait()
	got, err := b.vault.Get(b.Context(), noon, vault.Secrets, "count")
	if err != nil || string(got.Value) != strconv.Itoa(rivals*each) {
		b.Errorf("counted %s, want %d (%v)", got.Value, rivals*each, err)
	}
}

// countUp adds 1 to the number that is kept, however often that takes.
func countUp(b *bench, v vault.Vault) error {
	for {
		item, err := v.Get(b.Context(), noon, vault.Secrets, "count")
		if err != nil {
			return err
		}
		n, _ := strconv.Atoi(string(item.Value)) // none is 0
		item.Value = strconv.AppendInt(nil, int64(n+1), 10)
		if _, err = v.Put(b.Context(), noon, vault.Secrets, "count", item); store.CodeOf(err) != vault.CodeConflict {
			return err
		}
	}
}
