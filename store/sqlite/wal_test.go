package sqlite

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"vialwright/store"
)

// interrupted is a log of 25 batches as a power cut leaves it: a file with its -wal
// file beside it, and the number of the newest record.
func interrupted(t *testing.T) (path string, head uint64) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "journal")
	l, err := Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if out, err := roleCommand(t, "few", path).Output(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	l, err = OpenReadOnly(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	h, err := l.Head(t.Context())
	if err != nil || l.Torn() || l.Damaged() != nil || h.Seq < 25 {
		t.Fatalf("head %v, %v, torn %v, damaged %v", h, err, l.Torn(), l.Damaged())
	}
	return path, h.Seq
}

// used is how much of a -wal file was written over, up to the room behind it.
func used(t *testing.T, path string) []byte {
	t.Helper()
	wal, err := os.ReadFile(path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	for at := walHeader; at+frameHeader+pageSize <= len(wal); at += frameHeader + pageSize {
		if [frameHeader]byte(wal[at:]) == [frameHeader]byte{} {
			return wal[:at]
		}
	}
	return wal
}

// with gives a copy of the log with another -wal file.
func with(t *testing.T, path string, wal []byte) string {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "journal")
	if err := errors.Join(os.WriteFile(to, file, 0o600), os.WriteFile(to+"-wal", wal, 0o600)); err != nil {
		t.Fatal(err)
	}
	return to
}

// TestFlippedBitsInWAL: of 200 -wal files with one bit flipped each, every one
// keeps all records, or is refused for writing, or says that its end is not whole;
// more than one lost append is always refused. So none loses a record in silence.
func TestFlippedBitsInWAL(t *testing.T) {
	path, head := interrupted(t)
	wal := used(t, path)
	rng := rand.New(rand.NewPCG(20270304, 5))
	whole, refused, said := 0, 0, 0
	for range 200 {
		bad := append([]byte(nil), wal...)
		bad[rng.IntN(len(bad))] ^= 1 << rng.IntN(8)
		copied := with(t, path, bad)
		l, err := Open(t.Context(), copied)
		if store.CodeOf(err) == store.CodeDamaged {
			refused++
			if now, err := os.ReadFile(copied + "-wal"); err != nil || string(now) != string(bad) {
				t.Fatalf("the damaged -wal file was touched: %v", err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		h, err := l.Head(t.Context())
		switch {
		case err != nil:
			t.Fatal(err)
		case h.Seq == head:
			whole++
		case !l.Torn():
			t.Fatalf("%d of %d records are there, and nothing is said", h.Seq, head)
		default:
			said++
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("of 200: %d refused, %d open and say that the end is not whole, %d hold every record", refused, said, whole)
	if refused < 100 {
		t.Errorf("%d refused", refused)
	}
}

// TestTornEndOfWAL: a -wal file that ends anywhere inside its last append opens, says
// so, and holds all before it; one that ends between two appends is whole.
func TestTornEndOfWAL(t *testing.T) {
	path, head := interrupted(t)
	wal := used(t, path)
	last := 0 // where the last append begins
	for at := walHeader; at+frameHeader+pageSize <= len(wal); at += frameHeader + pageSize {
		if next := at + frameHeader + pageSize; next < len(wal) && string(wal[at+4:at+8]) != "\x00\x00\x00\x00" {
			last = next
		}
	}
	var before uint64
	for _, at := range []int{last, last + 1, last + frameHeader, last + 2000, len(wal) - 1} {
		l, err := Open(t.Context(), with(t, path, wal[:at]))
		if err != nil {
			t.Fatalf("cut at %d of %d: %v", at, len(wal), err)
		}
		h, err := l.Head(t.Context())
		if err != nil || h.Seq >= head || before > 0 && h.Seq != before {
			t.Errorf("cut at %d: head %v, %v; before it %d", at, h, err, before)
		}
		if before = h.Seq; l.Torn() != (at > last+16) {
			t.Errorf("cut at %d, the last append begins at %d: torn %v", at, last, l.Torn())
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestCopyOfTheFileAlone: once the -wal file was moved, a copy of the file alone has
// every record, while the log is still open.
func TestCopyOfTheFileAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal")
	l, err := Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	batch := batchFrom(store.Head{})
	if err := l.Append(t.Context(), store.Head{}, batch...); err != nil {
		t.Fatal(err)
	}
	l.settle.settle()
	if l.settle.late.Stop() {
		t.Error("what was moved is to be moved again two minutes after it was appended")
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	alone := filepath.Join(t.TempDir(), "copy")
	if err := os.WriteFile(alone, data, 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := OpenReadOnly(t.Context(), alone)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if h, err := c.Head(t.Context()); err != nil || h != batch[len(batch)-1].Head() || !c.Alone() {
		t.Errorf("the copy has the head %v, %v", h, err)
	}
}

// TestAppendWaitsForNoMove: appends go on while pages are moved, and what they have filled
// the -wal file with is moved once that is through, without anybody closing the log or
// waiting until it is quiet.
func TestAppendWaitsForNoMove(t *testing.T) {
	l, err := Create(t.Context(), filepath.Join(t.TempDir(), "journal"))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	size := func() int64 {
		info, err := os.Stat(l.path)
		if err != nil {
			t.Fatal(err)
		}
		return info.Size()
	}
	empty := size()
	l.settle.work.Lock() // as while the disk is at work
	head := store.Head{}
	for range manyPages/2 + 1 {
		r := store.Record{Seq: head.Seq + 1, Hash: [32]byte{1}, Body: []byte("a record")}
		if err := l.Append(t.Context(), head, r); err != nil {
			t.Fatal(err)
		}
		head = r.Head()
	}
	l.settle.idle.Stop() // what moves the pages is that there are many
	l.settle.work.Unlock()
	for end := time.Now().Add(time.Minute); size() < empty+manyPages/2*16; {
		if runtime.Gosched(); time.Now().After(end) {
			t.Fatal("the -wal file of a log that is appended to is not moved")
		}
	}
}

// TestReplacedWhileOpen: a file that is removed or replaced under a running program
// takes no further record.
func TestReplacedWhileOpen(t *testing.T) {
	for name, spoil := range map[string]func(path string) error{
		"removed": os.Remove,
		"moved":   func(path string) error { return os.Rename(path, path+".away") },
		"replaced": func(path string) error {
			data, err := os.ReadFile(path)
			return errors.Join(err, os.WriteFile(path+".new", data, 0o600), os.Rename(path+".new", path))
		},
	} {
		path := filepath.Join(t.TempDir(), "journal")
		l, err := Create(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		batch := batchFrom(store.Head{})
		if err := l.Append(t.Context(), store.Head{}, batch...); err != nil {
			t.Fatal(err)
		}
		if err := spoil(path); err != nil {
			t.Fatal(err)
		}
		head := batch[len(batch)-1].Head()
		if err := l.Append(t.Context(), head, batchFrom(head)...); store.CodeOf(err) != store.CodeReplaced {
			t.Errorf("%s: %v", name, err)
		}
		if l.settle.move("PASSIVE") {
			t.Errorf("%s: the -wal file was moved into what lies there now", name)
		}
		_ = l.Close() // of a file that is gone
	}
}

// TestRoomInWAL: the -wal file has room from the start and again once it was moved, so
// that an append does not make it longer. The room is nothing torn and nothing lost,
// also where the beginning of the file was never written.
func TestRoomInWAL(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal")
	l, err := Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	head := store.Head{}
	for _, then := range []func(){func() {}, l.settle.settle, l.settle.settle} {
		then()
		room, err := os.ReadFile(path + "-wal")
		if err != nil || len(room) < manyPages*pageSize {
			t.Fatalf("%d bytes, %v", len(room), err)
		}
		if tail, err := readTail(path + "-wal"); tail != untouched || err != nil {
			t.Errorf("an empty one: %+v, %v", tail, err)
		}
		batch := batchFrom(head)
		if err := l.Append(t.Context(), head, batch...); err != nil {
			t.Fatal(err)
		}
		head = batch[len(batch)-1].Head()
		after, err := os.ReadFile(path + "-wal")
		if err != nil || len(after) != len(room) || len(used(t, path)) <= walHeader {
			t.Errorf("%d bytes, after an append %d, %v", len(room), len(after), err)
		}
		if tail, err := readTail(path + "-wal"); tail != untouched || err != nil {
			t.Errorf("one with an append: %+v, %v", tail, err)
		}
		clear(after[:walHeader]) // as no power cut leaves it, since the header is synced first
		c, err := Open(t.Context(), with(t, path, after))
		if store.CodeOf(err) != store.CodeDamaged && (err != nil || !c.Torn()) {
			t.Errorf("without its header: %v", err)
		}
		if c != nil {
			c.Close()
		}
	}
}

// untouched is the tail of a -wal file in which nothing is torn and nothing lost.
var untouched tail
