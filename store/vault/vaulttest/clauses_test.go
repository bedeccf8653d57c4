package vaulttest

import (
	"context"
	"math"
	"strings"
	"time"

	"vialwright/store"
	"vialwright/store/vault"
)

// An empty vault has no item, and nothing to remove or sweep.
func testEmpty(b *bench) {
	for _, shelf := range shelves {
		b.want(noon, shelf, "key", vault.Item{})
		if err := b.vault.Remove(b.Context(), shelf, "key", vault.Any); err != nil {
			b.Errorf("Remove: %v", err)
		}
	}
	if n, err := b.vault.Sweep(b.Context(), noon); n != 0 || err != nil {
		b.Errorf("Sweep: %d, %v", n, err)
	}
}

// What is put is got, byte for byte, under any key.
func testRoundTrip(b *bench) {
	every := make([]byte, 256)
	for i := range every {
		every[i] = byte(i)
	}
	keys := []string{"a", "A", " ", "a ", "\x00", "\x00\x00", "\xff\xfe", "ü", "u\u0308", "%", "_", "a'b", string(every)}
	values := []string{"", "a", "\x00", "$argon2id$v=19$m=65536,t=3,p=4$c2FsdA$aGFzaA", string(every), strings.Repeat("m", vault.MaxValue)}
	versions := map[string]int64{}
	for i, key := range keys {
		versions[key] = b.put(vault.Drafts, key, values[i%len(values)], 0)
	}
	for i, key := range keys {
		b.want(noon, vault.Drafts, key, of(values[i%len(values)], versions[key]))
	}
}

// The shelves have their keys each to itself.
func testApart(b *bench) {
	versions := map[vault.Shelf]int64{}
	for _, shelf := range shelves {
		versions[shelf] = b.put(shelf, "key", "on "+string(shelf), 0)
	}
	if err := b.vault.Remove(b.Context(), vault.Sessions, "key", versions[vault.Sessions]); err != nil {
		b.Fatal(err)
	}
	b.want(noon, vault.Sessions, "key", vault.Item{})
	for _, shelf := range []vault.Shelf{vault.Secrets, vault.Drafts} {
		b.want(noon, shelf, "key", of("on "+string(shelf), versions[shelf]))
	}
}

// Each Put gives a version that was never given before, under the same key or
// another, also once the item was removed.
func testVersions(b *bench) {
	given := map[int64]bool{}
	fresh := func(version int64) int64 {
		b.Helper()
		if given[version] {
			b.Fatalf("version %d was given twice", version)
		}
		given[version] = true
		return version
	}
	first := fresh(b.put(vault.Secrets, "RP1", "h1", 0))
	second := fresh(b.put(vault.Secrets, "RP1", "h1", first))
	fresh(b.put(vault.Secrets, "RP2", "h1", 0))
	third := fresh(b.put(vault.Secrets, "RP1", "h1", vault.Any))
	if err := b.vault.Remove(b.Context(), vault.Secrets, "RP1", third); err != nil {
		b.Fatal(err)
	}
	b.want(noon, vault.Secrets, "RP1", vault.Item{})
	anew := fresh(b.put(vault.Secrets, "RP1", "h1", 0))
	for _, old := range []int64{first, second, third} {
		_, err := b.vault.Put(b.Context(), noon, vault.Secrets, "RP1", of("h2", old))
		b.refused("Put over an item made again", err, vault.CodeConflict)
	}
	b.want(noon, vault.Secrets, "RP1", of("h1", anew))
	b.vault = b.again()
	fresh(b.put(vault.Secrets, "RP1", "h1", anew))
}

// A change that was decided on another version is refused and changes
// nothing.
func testConflict(b *bench) {
	refused := func(versions ...int64) {
		b.Helper()
		for _, version := range versions {
			_, err := b.vault.Put(b.Context(), noon, vault.Secrets, "RP1", of("late", version))
			b.refused("Put", err, vault.CodeConflict)
			b.refused("Remove", b.vault.Remove(b.Context(), vault.Secrets, "RP1", version), vault.CodeConflict)
		}
	}
	refused(1, 2, math.MaxInt64, -2, math.MinInt64)
	first := b.put(vault.Secrets, "RP1", "h1", 0)
	other := b.put(vault.Secrets, "RP2", "h1", 0)
	refused(0, first+1, other, math.MaxInt64, -2)
	b.want(noon, vault.Secrets, "RP1", of("h1", first))
	second := b.put(vault.Secrets, "RP1", "h2", first)
	refused(0, first)
	b.want(noon, vault.Secrets, "RP1", of("h2", second))
	if err := b.vault.Remove(b.Context(), vault.Secrets, "RP1", vault.Any); err != nil {
		b.Fatal(err)
	}
	refused(first, second)
	b.refused("Remove of none", b.vault.Remove(b.Context(), vault.Secrets, "RP1", 0), vault.CodeConflict)
	b.want(noon, vault.Secrets, "RP1", vault.Item{})
	b.put(vault.Secrets, "RP1", "h3", vault.Any) // where there is none
}

// An item is there until the microsecond it expires in, and then counts as
// none: a version of it is a conflict, 0 is not.
func testExpiry(b *bench) {
	end := time.Date(2027, 3, 4, 12, 0, 0, 123_456_789, time.FixedZone("", 3600)).Add(time.Hour)
	kept := end.Truncate(time.Microsecond)
	item := vault.Item{Value: []byte("one"), Expires: end}
	version, err := b.vault.Put(b.Context(), noon, vault.Sessions, "token", item)
	if err != nil {
		b.Fatal(err)
	}
	item.Version, item.Expires = version, kept
	b.want(noon, vault.Sessions, "token", item)
	b.want(kept.Add(-time.Nanosecond), vault.Sessions, "token", item)
	for _, now := range []time.Time{kept, end, end.Add(1000 * time.Hour)} {
		b.want(now, vault.Sessions, "token", vault.Item{})
		_, err := b.vault.Put(b.Context(), now, vault.Sessions, "token", of("two", version))
		b.refused("Put over what has expired", err, vault.CodeConflict)
	}
	got, err := b.vault.Get(b.Context(), noon, vault.Sessions, "token")
	if err != nil || got.Expires.Location() != time.UTC {
		b.Errorf("it expires at %v (%v)", got.Expires, err)
	}
	_, err = b.vault.Put(b.Context(), kept.Add(-time.Nanosecond), vault.Sessions, "token", of("two", 0))
	b.refused("Put over what has not expired", err, vault.CodeConflict)

	next, err := b.vault.Put(b.Context(), kept, vault.Sessions, "token", of("two", 0)) // never expires
	if err != nil {
		b.Fatal(err)
	}
	b.want(end.AddDate(500, 0, 0), vault.Sessions, "token", of("two", next))

	gone, err := b.vault.Put(b.Context(), noon, vault.Sessions, "token", vault.Item{Version: next, Expires: noon})
	if err != nil {
		b.Fatal(err)
	}
	b.want(noon, vault.Sessions, "token", vault.Item{})
	if err := b.vault.Remove(b.Context(), vault.Sessions, "token", gone); err != nil {
		b.Errorf("Remove of what has expired: %v", err)
	}
}

// Sweep removes what has expired and nothing else.
func testSweep(b *bench) {
	items := map[string]vault.Item{}
	for _, shelf := range shelves {
		for name, expires := range map[string]time.Time{
			"before": noon.Add(-time.Hour), "now": noon, "after": noon.Add(time.Microsecond), "never": {},
		} {
			item := vault.Item{Value: []byte(name), Expires: expires}
			var err error
			if item.Version, err = b.vault.Put(b.Context(), noon.Add(-2*time.Hour), shelf, name, item); err != nil {
				b.Fatal(err)
			}
			items[string(shelf)+name] = item
		}
	}
	for _, want := range []int{2 * len(shelves), 0} {
		if n, err := b.vault.Sweep(b.Context(), noon); n != want || err != nil {
			b.Errorf("Sweep: %d, want %d (%v)", n, want, err)
		}
	}
	early := noon.Add(-2 * time.Hour)
	for _, shelf := range shelves {
		for _, name := range []string{"before", "now"} {
			b.want(early, shelf, name, vault.Item{})
			b.refused("Remove", b.vault.Remove(b.Context(), shelf, name, items[string(shelf)+name].Version), vault.CodeConflict)
		}
		b.want(noon, shelf, "after", items[string(shelf)+"after"])
		b.want(noon, shelf, "never", items[string(shelf)+"never"])
	}
}

// The refusals of the package comment, in its order.
func testRefusals(b *bench) {
	version := b.put(vault.Secrets, "RP1", "h1", 0)
	long := strings.Repeat("k", vault.MaxKey+1)
	for _, c := range []struct {
		name  string
		shelf vault.Shelf
		key   string
		size  int
		code  string
	}{
		{"no shelf", "", "RP1", 1, vault.CodeKey},
		{"another shelf", "record", "RP1", 1, vault.CodeKey},
		{"no key", vault.Secrets, "", 1, vault.CodeKey},
		{"long key", vault.Secrets, long, 1, vault.CodeKey},
		{"oversize", vault.Secrets, "RP1", vault.MaxValue + 1, vault.CodeOversize},
		{"key before oversize", vault.Secrets, long, vault.MaxValue + 1, vault.CodeKey},
	} {
		// The version is a wrong one too: a conflict comes last.
		_, err := b.vault.Put(b.Context(), noon, c.shelf, c.key, vault.Item{Value: make([]byte, c.size), Version: version + 1})
		b.refused("Put, "+c.name, err, c.code)
		if c.code == vault.CodeKey {
			_, err = b.vault.Get(b.Context(), noon, c.shelf, c.key)
			b.refused("Get, "+c.name, err, c.code)
			b.refused("Remove, "+c.name, b.vault.Remove(b.Context(), c.shelf, c.key, version+1), c.code)
		}
	}
	b.want(noon, vault.Secrets, "RP1", of("h1", version))
}

// The caller may change what it gave and what it got.
func testOwnership(b *bench) {
	value := []byte("one")
	version, err := b.vault.Put(b.Context(), noon, vault.Drafts, "key", vault.Item{Value: value})
	if err != nil {
		b.Fatal(err)
	}
	clear(value)
	got, err := b.vault.Get(b.Context(), noon, vault.Drafts, "key")
	if err != nil {
		b.Fatal(err)
	}
	clear(got.Value)
	b.want(noon, vault.Drafts, "key", of("one", version))
}

// What was put or removed through one handle is so for another, at once and
// after all were closed.
func testReopen(b *bench) {
	version := b.put(vault.Secrets, "RP1", "h1", 0)
	gone := b.put(vault.Secrets, "RP2", "h1", 0)
	first := b.vault
	b.vault = b.again()
	b.want(noon, vault.Secrets, "RP1", of("h1", version))
	version = b.put(vault.Secrets, "RP1", "h2", version)
	if err := first.Remove(b.Context(), vault.Secrets, "RP2", gone); err != nil {
		b.Fatal(err)
	}
	b.want(noon, vault.Secrets, "RP2", vault.Item{})
	for _, v := range []vault.Vault{first, b.vault} {
		if err := v.Close(); err != nil {
			b.Fatal(err)
		}
	}
	b.vault = b.again()
	b.want(noon, vault.Secrets, "RP1", of("h2", version))
	b.want(noon, vault.Secrets, "RP2", vault.Item{})
}

// calls are the four calls on a key that may lie on a shelf that is none, so
// that a refusal that comes first is seen to.
func calls(ctx context.Context, v vault.Vault, key string) map[string]error {
	_, get := v.Get(ctx, noon, vault.Secrets, key)
	_, put := v.Put(ctx, noon, vault.Secrets, key, vault.Item{})
	_, sweep := v.Sweep(ctx, noon)
	return map[string]error{"Get": get, "Put": put, "Remove": v.Remove(ctx, vault.Secrets, key, 7), "Sweep": sweep}
}

// A closed handle refuses everything, and nothing else before that; the other
// handles go on. Closing again does nothing.
func testClosed(b *bench) {
	version := b.put(vault.Secrets, "RP1", "h1", 0)
	other := b.again()
	for range 2 {
		if err := b.vault.Close(); err != nil {
			b.Fatal(err)
		}
	}
	ctx, cancel := context.WithCancel(b.Context())
	cancel()
	for _, ctx := range []context.Context{b.Context(), ctx} {
		for name, err := range calls(ctx, b.vault, "") {
			b.refused(name, err, store.CodeClosed)
		}
	}
	b.vault = other
	b.want(noon, vault.Secrets, "RP1", of("h1", version))
}

// With a done context nothing is read, kept or removed, and the error is the
// context's.
func testCancelled(b *bench) {
	version := b.put(vault.Secrets, "RP1", "h1", 0)
	ctx, cancel := context.WithCancel(b.Context())
	cancel()
	for _, key := range []string{"RP1", "RP2", ""} {
		for name, err := range calls(ctx, b.vault, key) {
			if !isCancelled(err) {
				b.Errorf("%s of %q: %v", name, key, err)
			}
		}
	}
	if _, err := b.vault.Put(ctx, noon, vault.Secrets, "RP1", of("h2", version)); !isCancelled(err) {
		b.Errorf("Put: %v", err)
	}
	if err := b.vault.Remove(ctx, vault.Secrets, "RP1", version); !isCancelled(err) {
		b.Errorf("Remove: %v", err)
	}
	b.want(noon, vault.Secrets, "RP1", of("h1", version))
}
