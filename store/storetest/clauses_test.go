package storetest

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"

	"vialwright/store"
)

// An empty log has the zero head, and nothing to read from anywhere.
func testEmpty(b *bench) {
	b.wantAll(nil)
	for _, from := range []uint64{0, 1, 2, math.MaxInt64, math.MaxUint64} {
		if got, err := collect(b.Context(), b.log, from, store.All); err != nil || len(got) != 0 {
			b.Errorf("Read from %d: %d records, %v", from, len(got), err)
		}
	}
}

// What is appended comes back in order, byte for byte.
func testOrder(b *bench) {
	every := make([]byte, 256)
	for i := range every {
		every[i] = byte(i)
	}
	var want []store.Record
	for _, batch := range [][]string{
		{"a"},
		{"\x00", "\x00\x00", " ", "\xff\xfe", string(every)},
		{"same", "same", "same"},
		{string(bytes.Repeat([]byte("m"), store.MaxBody)), "b"},
	} {
		want = append(want, b.append(batch...)...)
		b.wantAll(want)
	}
}

// The refusals of the package comment, in its order; each leaves the log as
// it was. A row that is wrong in two ways shows which comes first.
func testRefusals(b *bench) {
	first := b.append("one", "two")
	head := b.head()
	stale := first[0].Head()
	next := func() []store.Record { return Chain(head, []byte("three"), []byte("four"), []byte("five")) }

	change := func(i int, f func(*store.Record)) []store.Record {
		records := next()
		f(&records[i])
		return records
	}
	for _, c := range []struct {
		name, code string
		expect     store.Head
		records    []store.Record
	}{
		{"empty", store.CodeEmpty, head, nil},
		{"empty before conflict", store.CodeEmpty, stale, nil},
		{"gap behind the head", store.CodeGap, head, next()[1:]},
		{"gap inside", store.CodeGap, head, append(next()[:1], next()[2])},
		{"number 0", store.CodeGap, head, change(0, func(r *store.Record) { r.Seq = 0 })},
		{"the head again", store.CodeGap, head, first[1:]},
		{"same number twice", store.CodeGap, head, append(next()[:1], next()[:1]...)},
		{"gap at the end", store.CodeGap, head, change(2, func(r *store.Record) { r.Seq++ })},
		{"highest number", store.CodeGap, head, change(0, func(r *store.Record) { r.Seq = math.MaxUint64 })},
		{"bodyless", store.CodeBodyless, head, change(0, func(r *store.Record) { r.Body = nil })},
		{"bodyless last", store.CodeBodyless, head, change(2, func(r *store.Record) { r.Body = []byte{} })},
		{"oversize", store.CodeOversize, head, change(1, func(r *store.Record) { r.Body = make([]byte, store.MaxBody+1) })},
		{"unhashed", store.CodeUnhashed, head, change(2, func(r *store.Record) { r.Hash = [32]byte{} })},
		{"gap before bodyless", store.CodeGap, head, change(0, func(r *store.Record) { r.Seq, r.Body = 9, nil })},
		{"bodyless before conflict", store.CodeBodyless, store.Head{Seq: 2}, change(0, func(r *store.Record) { r.Body = nil })},
	} {
		b.Run(c.name, func(t *testing.T) { b.with(t, b.log).wantCode(c.code, c.expect, c.records...) })
	}
	b.wantAll(first)
}

// An append behind any head but the log's own is refused, with both heads
// named. A head with the right number and another hash is another head.
func testConflict(b *bench) {
	conflict := func(expect store.Head) {
		b.Helper()
		have := b.head()
		b.wantCode(store.CodeConflict, expect, Chain(expect, []byte("late"))...)
		err := b.log.Append(b.Context(), expect, Chain(expect, []byte("late"))...)
		if e, ok := isConflict(err); !ok || e.Have != have || e.Expected != expect {
			b.Errorf("got %v, want a conflict of %d with %d", err, have.Seq, expect.Seq)
		}
	}
	conflict(store.Head{Seq: 1, Hash: [32]byte{1}})
	conflict(store.Head{Hash: [32]byte{1}})
	conflict(store.Head{Seq: math.MaxUint64 - 1, Hash: [32]byte{1}})

	records := b.append("one", "two", "three")
	conflict(store.Head{})
	conflict(records[1].Head())
	conflict(store.Head{Seq: 3})
	conflict(store.Head{Seq: 3, Hash: records[1].Hash})
	conflict(store.Head{Seq: 4, Hash: records[2].Hash})
	b.wantAll(records)
}

// A batch is there as a whole or not at all, whichever record is wrong.
func testAllOrNothing(b *bench) {
	const size = 2000
	bodies := make([][]byte, size)
	for i := range bodies {
		bodies[i] = fmt.Appendf(nil, "record %d", i)
	}
	for _, wrong := range []int{0, 1, size / 2, size - 1} {
		records := Chain(store.Head{}, bodies...)
		records[wrong].Hash = [32]byte{}
		b.wantCode(store.CodeUnhashed, store.Head{}, records...)
		b.wantAll(nil)
	}
	records := Chain(store.Head{}, bodies...)
	if err := b.log.Append(b.Context(), store.Head{}, records...); err != nil {
		b.Fatal(err)
	}
	b.wantAll(records)
}

// A loop sees the log as it was when the loop began, though the loop itself
// appends; the next loop sees the rest.
func testSnapshot(b *bench) {
	want := b.append("one", "two", "three")
	reader := b.log.Read(b.Context(), 1, store.All)
	want = append(want, b.append("before the loop")...) // a sequence is not a loop yet

	var got, later []store.Record
	for r, err := range reader {
		if err != nil {
			b.Fatal(err)
		}
		if got = append(got, r); len(got) > len(want) {
			break
		}
		later = append(later, b.append(fmt.Sprintf("from inside the loop, at %d", r.Seq))...)
	}
	if err := same(got, want); err != nil {
		b.Fatal(err)
	}
	b.wantAll(append(want, later...))
}

// A loop may be left, and loops may stand inside one another, without
// holding up anything.
func testStopEarly(b *bench) {
	want := b.append("one", "two", "three")
	for range 50 {
		for range b.log.Read(b.Context(), 1, store.All) {
			break
		}
	}
	var nested func(depth int)
	nested = func(depth int) {
		for r, err := range b.log.Read(b.Context(), 1, store.All) {
			if err != nil {
				b.Fatal(err)
			}
			if depth > 0 {
				nested(depth - 1)
			}
			if r.Seq == 2 {
				return
			}
		}
	}
	nested(3)
	want = append(want, b.append("four")...)
	b.wantAll(want)
}

// Pages of any size put together are the log; the limits of limit and from.
func testPaging(b *bench) {
	const size = 3000
	bodies := make([][]byte, size)
	for i := range bodies {
		bodies[i] = fmt.Appendf(nil, "record %d", i)
	}
	want := Chain(store.Head{}, bodies...)
	if err := b.log.Append(b.Context(), store.Head{}, want...); err != nil {
		b.Fatal(err)
	}
	for _, page := range []int{97, 1000, size - 1, size, size + 1} {
		var got []store.Record
		for from := uint64(1); from <= size; from += uint64(page) {
			records, err := collect(b.Context(), b.log, from, page)
			if err != nil || len(records) > page {
				b.Fatalf("page of %d from %d: %d records, %v", page, from, len(records), err)
			}
			got = append(got, records...)
		}
		if err := same(got, want); err != nil {
			b.Fatalf("pages of %d: %v", page, err)
		}
	}
	for _, c := range []struct {
		from  uint64
		limit int
		want  []store.Record
	}{
		{0, 1, want[:1]},
		{0, store.All, want},
		{1, 0, nil},
		{1, math.MaxInt, want},
		{1, math.MinInt, want},
		{size, store.All, want[size-1:]},
		{size + 1, store.All, nil},
		{math.MaxInt64, store.All, nil},
		{math.MaxInt64 + 1, store.All, nil},
		{math.MaxUint64, 1, nil},
	} {
		got, err := collect(b.Context(), b.log, c.from, c.limit)
		if err != nil {
			b.Fatal(err)
		}
		if err := same(got, c.want); err != nil {
			b.Errorf("from %d, limit %d: %v", c.from, c.limit, err)
		}
	}
}

// The caller may change what it gave and what it got.
func testOwnership(b *bench) {
	records := Chain(store.Head{}, []byte("one"), []byte("two"))
	given := Chain(store.Head{}, []byte("one"), []byte("two"))
	if err := b.log.Append(b.Context(), store.Head{}, given...); err != nil {
		b.Fatal(err)
	}
	clear(given[0].Body)
	got, err := collect(b.Context(), b.log, 1, store.All)
	if err != nil || len(got) != 2 {
		b.Fatal(got, err)
	}
	_ = append(got[0].Body, "more"...) // must not reach into the next
	clear(got[1].Body)
	b.wantAll(records)
}

// What was appended is there after all handles were closed, and the log goes
// on from there.
func testReopen(b *bench) {
	var want []store.Record
	for i := range 3 {
		want = append(want, b.append(fmt.Sprintf("round %d", i), "and one more")...)
		if err := b.log.Close(); err != nil {
			b.Fatal(err)
		}
		b.log = b.again()
		b.wantAll(want)
	}
}

// What one handle appends the other sees at once, and conflicts with.
func testTwoHandles(b *bench) {
	other := b.with(b.T, b.again())
	var want []store.Record
	for range 3 {
		want = append(want, b.append("mine")...)
		other.wantAll(want)
		other.wantCode(store.CodeConflict, store.Head{}, Chain(store.Head{}, []byte("late"))...)
		want = append(want, other.append("theirs")...)
		b.wantAll(want)
	}
}

// A closed handle refuses everything, and nothing else before that; the
// other handles go on. Closing again does nothing.
func testClosed(b *bench) {
	want := b.append("one")
	other := b.again()
	for range 2 {
		if err := b.log.Close(); err != nil {
			b.Fatal(err)
		}
	}
	if err := b.log.Append(b.Context(), store.Head{}); store.CodeOf(err) != store.CodeClosed {
		b.Errorf("Append: %v", err)
	}
	if _, err := b.log.Head(b.Context()); store.CodeOf(err) != store.CodeClosed {
		b.Errorf("Head: %v", err)
	}
	if _, err := collect(b.Context(), b.log, 1, store.All); store.CodeOf(err) != store.CodeClosed {
		b.Errorf("Read: %v", err)
	}
	b.with(b.T, other).wantAll(want)
}

// With a done context nothing is read or stored, and the error is the
// context's.
func testCancelled(b *bench) {
	want := b.append("one")
	ctx, cancel := context.WithCancel(b.Context())
	cancel()
	if err := b.log.Append(ctx, b.head(), Chain(b.head(), []byte("two"))...); !isCancelled(err) {
		b.Errorf("Append: %v", err)
	}
	if err := b.log.Append(ctx, store.Head{}); !isCancelled(err) {
		b.Errorf("Append of nothing: %v", err)
	}
	if _, err := b.log.Head(ctx); !isCancelled(err) {
		b.Errorf("Head: %v", err)
	}
	if got, err := collect(ctx, b.log, 1, store.All); !isCancelled(err) || len(got) > 0 {
		b.Errorf("Read: %d records, %v", len(got), err)
	}
	b.wantAll(want)
}

// A context that ends inside a loop ends the loop with its error, which comes
// once.
func testCancelledReading(b *bench) {
	want := b.append("one", "two", "three", "four")
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	read, failed := 0, 0
	for r, err := range b.log.Read(ctx, 1, store.All) {
		switch {
		case err == nil:
			read++
		case isCancelled(err):
			failed++
		default:
			b.Fatal(err)
		}
		if r.Seq == 2 {
			cancel()
		}
	}
	if read != 2 || failed != 1 {
		b.Errorf("%d records and %d errors after cancelling at record 2", read, failed)
	}
	b.wantAll(want)
}
