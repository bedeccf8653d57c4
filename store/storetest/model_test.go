package storetest

import (
	"math/rand/v2"
	"strconv"
	"testing"

	"vialwright/store"
)

// Random histories of appends (right, behind an old head, with a fault),
// reads and reopenings give what the same histories give on a slice. They
// follow from their number, so that a failure comes again.
func testModel(b *bench) {
	for seed := range uint64(12) {
		b.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			m := &model{bench: newBench(t, b.open), rng: rand.New(rand.NewPCG(seed, 0))}
			for range 80 {
				m.step()
			}
			m.reopen()
			m.wantAll(m.twin)
		})
	}
}

// model is a log and its slow twin.
type model struct {
	*bench
	rng  *rand.Rand
	twin []store.Record
}

func (m *model) step() {
	switch n := m.rng.IntN(20); {
	case n < 11:
		m.appendSome()
	case n < 19:
		m.readSome()
	default:
		m.reopen()
	}
	if got, want := m.head(), m.headAt(len(m.twin)); got != want {
		m.Fatalf("head %d, want %d", got.Seq, want.Seq)
	}
}

// headAt is the head the twin had with n records.
func (m *model) headAt(n int) store.Head {
	if n == 0 {
		return store.Head{}
	}
	return m.twin[n-1].Head()
}

// appendSome appends 0 to 4 records of 0 to 39 bytes, one time in four behind
// an older head, one time in four with a number that does not follow.
func (m *model) appendSome() {
	behind := m.headAt(len(m.twin))
	if m.rng.IntN(4) == 0 {
		behind = m.headAt(m.rng.IntN(len(m.twin) + 1))
	}
	bodies := make([][]byte, m.rng.IntN(5))
	for i := range bodies {
		bodies[i] = make([]byte, m.rng.IntN(40))
		for j := range bodies[i] {
			bodies[i][j] = byte(m.rng.Uint32())
		}
	}
	records := Chain(behind, bodies...)
	if len(records) > 0 && m.rng.IntN(4) == 0 {
		records[m.rng.IntN(len(records))].Seq++
	}

	want := store.CodeOf(store.Check(m.Context(), behind, records))
	if want == "" && behind != m.headAt(len(m.twin)) {
		want = store.CodeConflict
	}
	err := m.log.Append(m.Context(), behind, records...)
	if store.CodeOf(err) != want || (err == nil) != (want == "") {
		m.Fatalf("append of %d records behind %d: %v, want %q", len(records), behind.Seq, err, want)
	}
	if err == nil {
		m.twin = append(m.twin, records...)
	}
}

// readSome reads from anywhere, a little beyond the head too, with a limit
// or without.
func (m *model) readSome() {
	from, limit := m.rng.IntN(len(m.twin)+3), m.rng.IntN(20)-1
	want := m.twin[min(max(from, 1)-1, len(m.twin)):]
	if limit >= 0 {
		want = want[:min(limit, len(want))]
	}
	got, err := collect(m.Context(), m.log, uint64(from), limit)
	if err != nil {
		m.Fatal(err)
	}
	if err := same(got, want); err != nil {
		m.Fatalf("from %d, limit %d: %v", from, limit, err)
	}
}

func (m *model) reopen() {
	if err := m.log.Close(); err != nil {
		m.Fatal(err)
	}
	m.log = m.again()
}
