package vaulttest

import (
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/vault"
)

// Random histories of puts and removals (of the right version, an old one, or
// any), looks, sweeps, reopenings and passing time give what the same
// histories give on a map. They follow from their number, so that a failure
// comes again.
func testModel(b *bench) {
	for seed := range uint64(6) {
		b.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			m := &model{bench: newBench(t, b.open), rng: rand.New(rand.NewPCG(seed, 0)), now: noon, twin: map[place]vault.Item{}}
			for range 150 {
				m.step()
			}
			for p := range m.twin {
				m.look(p)
			}
		})
	}
}

// model is a vault and its slow twin, which keeps what has expired until it is
// swept.
type model struct {
	*bench
	rng   *rand.Rand
	now   time.Time
	twin  map[place]vault.Item
	given []int64
}

type place struct {
	shelf vault.Shelf
	key   string
}

func (m *model) step() {
	p := place{shelves[m.rng.IntN(len(shelves))], string(rune('a' + m.rng.IntN(3)))}
	m.now = m.now.Add(time.Duration(m.rng.IntN(2000)) * time.Millisecond)
	switch n := m.rng.IntN(20); {
	case n < 9:
		m.put(p)
	case n < 12:
		m.remove(p)
	case n < 18:
		m.look(p)
	case n < 19:
		m.sweep()
	default:
		if err := m.vault.Close(); err != nil {
			m.Fatal(err)
		}
		m.vault = m.again()
	}
}

// there is what the twin has at a place by now.
func (m *model) there(p place) vault.Item {
	item := m.twin[p]
	if !item.Expires.IsZero() && !m.now.Before(item.Expires) {
		return vault.Item{}
	}
	return item
}

// version is mostly that of an item, else one that was given some time, 0 or
// any.
func (m *model) version(item vault.Item) int64 {
	switch n := m.rng.IntN(8); {
	case n == 0:
		return vault.Any
	case n == 1:
		return 0
	case n == 2 && len(m.given) > 0:
		return m.given[m.rng.IntN(len(m.given))]
	}
	return item.Version
}

func (m *model) put(p place) {
	there := m.there(p)
	item := vault.Item{Value: make([]byte, m.rng.IntN(40)), Version: m.version(there)}
	for i := range item.Value {
		item.Value[i] = byte(m.rng.Uint32())
	}
	if m.rng.IntN(2) == 0 {
		item.Expires = m.now.Add(time.Duration(m.rng.IntN(10_000)) * time.Millisecond)
	}
	want := ""
	if item.Version != vault.Any && item.Version != there.Version {
		want = vault.CodeConflict
	}
	version, err := m.vault.Put(m.Context(), m.now, p.shelf, p.key, item)
	if store.CodeOf(err) != want || (err == nil) != (want == "") {
		m.Fatalf("Put of version %d over %d: %v, want %q", item.Version, there.Version, err, want)
	}
	if err == nil {
		item.Version = version
		m.twin[p] = item
		m.given = append(m.given, version)
	}
}

func (m *model) remove(p place) {
	item, found := m.twin[p]
	version := m.version(item)
	want := ""
	if version != vault.Any && (!found || version != item.Version) {
		want = vault.CodeConflict
	}
	err := m.vault.Remove(m.Context(), p.shelf, p.key, version)
	if store.CodeOf(err) != want || (err == nil) != (want == "") {
		m.Fatalf("Remove of version %d of %d: %v, want %q", version, item.Version, err, want)
	}
	if err == nil {
		delete(m.twin, p)
	}
}

func (m *model) look(p place) { m.want(m.now, p.shelf, p.key, m.there(p)) }

func (m *model) sweep() {
	want := 0
	for p := range m.twin {
		if m.there(p).Version == 0 {
			delete(m.twin, p)
			want++
		}
	}
	if n, err := m.vault.Sweep(m.Context(), m.now); n != want || err != nil {
		m.Fatalf("Sweep: %d, want %d (%v)", n, want, err)
	}
}
