package sqlite

import (
	"context"
	"crypto/sha256"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"vialwright/store"
)

// snapshot gives the hash of every file of a directory, by name.
func snapshot(t *testing.T, dir string) map[string][32]byte {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][32]byte{}
	for _, entry := range entries {
		if entry.IsDir() {
			continue
		}
		content, err := os.ReadFile(filepath.Join(dir, entry.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[entry.Name()] = sha256.Sum256(content)
	}
	return files
}

// copyFile copies a file of a log that is closed or cut off.
func copyFile(t testing.TB, from, to string) {
	t.Helper()
	content, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestForeign: what is not a log of this program and layout is refused by
// each way to open, and nothing in its directory changes.
func TestForeign(t *testing.T) {
	ways := map[string]func(context.Context, string) (*Log, error){"Open": Open, "OpenReadOnly": OpenReadOnly}
	ours := func(script string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			l, err := Create(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			appendBodies(t, l, "one")
			l.Close()
			db := rawDB(t, path)
			mustExec(t, db, script)
			db.Close()
		}
	}
	theirs := func(script string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			db := rawDB(t, path)
			mustExec(t, db, script)
			db.Close()
		}
	}
	cutOff := func(make func(*testing.T, string)) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			make(t, path)
			// SQLite would throw this away on opening the database.
			if err := os.WriteFile(path+"-wal", []byte("what a writer left that was cut off"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	text := func(content string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, c := range []struct {
		name, code string
		make       func(*testing.T, string)
	}{
		{"missing", store.CodeMissing, func(*testing.T, string) {}},
		{"directory", store.CodeForeign, func(t *testing.T, path string) { _ = os.Mkdir(path, 0o700) }},
		{"empty", store.CodeForeign, text("")},
		{"text", store.CodeForeign, text("a list of things to buy, long enough to be as long as the header of a database file, which is one hundred bytes")},
		{"cut header", store.CodeForeign, text("SQLite format 3\x00\x10\x00")},
		{"other program", store.CodeForeign, theirs("CREATE TABLE t (a); INSERT INTO t VALUES (1)")},
		{"other program in WAL mode", store.CodeForeign, theirs("PRAGMA journal_mode = WAL; CREATE TABLE t (a)")},
		{"other program's marks", store.CodeForeign, theirs("PRAGMA application_id = -5; PRAGMA user_version = 1; CREATE TABLE t (a)")},
		{"newer", store.CodeNewer, ours("PRAGMA user_version = 2")},
		{"other program, cut off", store.CodeForeign, cutOff(theirs("CREATE TABLE t (a)"))},
		{"newer, cut off", store.CodeNewer, cutOff(ours("PRAGMA user_version = 2"))},
		{"much newer", store.CodeNewer, ours("PRAGMA user_version = 2147483647")},
		{"layout 0", store.CodeAltered, ours("PRAGMA user_version = 0")},
		{"layout -1", store.CodeAltered, ours("PRAGMA user_version = -1")},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "file")
			c.make(t, path)
			before := snapshot(t, dir)
			for way, open := range ways {
				if l, err := open(t.Context(), path); store.CodeOf(err) != c.code || l != nil {
					t.Errorf("%s: %v, want %s", way, err, c.code)
				}
				if !maps.Equal(snapshot(t, dir), before) {
					t.Fatalf("%s left something changed", way)
				}
			}
		})
	}
}

// TestNewerInWAL: a layout that only the -wal file knows of is refused too.
func TestNewerInWAL(t *testing.T) {
	l := newLog(t)
	appendBodies(t, l, "one")
	mustExec(t, rawDB(t, l.path), "PRAGMA user_version = 2")
	for _, open := range []func(context.Context, string) (*Log, error){Open, OpenReadOnly} {
		if _, err := open(t.Context(), l.path); store.CodeOf(err) != store.CodeNewer {
			t.Errorf("got %v", err)
		}
	}
}

// TestCreateRefuses: Create touches nothing that is there, not even what a
// lost journal left behind.
func TestCreateRefuses(t *testing.T) {
	for _, name := range []string{"log", "log-wal", "log-journal"} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, name), []byte("something"), 0o600); err != nil {
			t.Fatal(err)
		}
		before := snapshot(t, dir)
		if _, err := Create(t.Context(), filepath.Join(dir, "log")); store.CodeOf(err) != store.CodeExists {
			t.Errorf("%s: %v", name, err)
		}
		if !maps.Equal(snapshot(t, dir), before) {
			t.Errorf("%s: something changed", name)
		}
	}
	if _, err := Create(t.Context(), filepath.Join(t.TempDir(), "no", "such", "directory")); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("got %v", err)
	}
}

// TestCreateCancelled: a creation that was given up leaves nothing.
func TestCreateCancelled(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Create(ctx, filepath.Join(dir, "log")); err == nil {
		t.Error("created with a done context")
	}
	if files := snapshot(t, dir); len(files) > 0 {
		t.Errorf("left %v", files)
	}
}

// TestAltered: a log whose table or triggers were tampered with can be read
// but not added to.
func TestAltered(t *testing.T) {
	for _, c := range []struct{ name, script string }{
		{"a guard is gone", "DROP TRIGGER record_stays"},
		{"a guard was weakened", "DROP TRIGGER record_unchanged; CREATE TRIGGER record_unchanged BEFORE UPDATE ON record BEGIN SELECT 1; END"},
		{"a trigger was added", "CREATE TRIGGER zz AFTER INSERT ON record BEGIN SELECT 1; END"},
		{"a trigger was added, first by name", "CREATE TRIGGER aa AFTER INSERT ON record BEGIN SELECT 1; END"},
		{"a column was added", "ALTER TABLE record ADD COLUMN note TEXT"},
		{"a table was added", "CREATE TABLE note (text TEXT)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := newLog(t)
			appendBodies(t, l, "one", "two")
			l.Close()
			db := rawDB(t, l.path)
			mustExec(t, db, c.script)
			db.Close()

			before := snapshot(t, filepath.Dir(l.path))
			if _, err := Open(t.Context(), l.path); store.CodeOf(err) != store.CodeAltered {
				t.Errorf("Open: %v", err)
			}
			r, err := OpenReadOnly(t.Context(), l.path)
			if err != nil {
				t.Fatal(err)
			}
			closeAtEnd(t, r)
			if got, err := readAll(t.Context(), r); err != nil || len(got) != 2 {
				t.Errorf("%d records, %v", len(got), err)
			}
			if !maps.Equal(snapshot(t, filepath.Dir(l.path)), before) {
				t.Error("something changed")
			}
		})
	}
	t.Run("statistics are the engine's own", func(t *testing.T) {
		l := newLog(t)
		mustExec(t, rawDB(t, l.path), "ANALYZE")
		open(t, l.path)
	})
}

// TestReadOnlySettled: a file that nobody writes is read without a change to
// it or a file beside it.
func TestReadOnlySettled(t *testing.T) {
	l := newLog(t)
	want := appendBodies(t, l, "one", "two")
	l.Close()
	before := snapshot(t, filepath.Dir(l.path))
	r, err := OpenReadOnly(t.Context(), l.path)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t.Context(), r); err != nil || len(got) != 2 || got[1].Hash != want[1].Hash {
		t.Errorf("%v %v", got, err)
	}
	if head, err := r.Head(t.Context()); err != nil || head != want[1].Head() {
		t.Errorf("%v %v", head, err)
	}
	if err := r.Append(t.Context(), want[1].Head(), want...); store.CodeOf(err) != store.CodeReadOnly {
		t.Errorf("Append: %v", err)
	}
	if !maps.Equal(snapshot(t, filepath.Dir(l.path)), before) {
		t.Error("something changed while reading")
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if !maps.Equal(snapshot(t, filepath.Dir(l.path)), before) {
		t.Error("something changed on closing")
	}
	if err := r.Append(t.Context(), want[1].Head(), want...); store.CodeOf(err) != store.CodeClosed {
		t.Errorf("Append after Close: %v", err)
	}
}

// TestReadOnlyChanged: when a writer changes a file that is read as settled,
// the reading says so; opened again, both work side by side.
func TestReadOnlyChanged(t *testing.T) {
	l := newLog(t)
	appendBodies(t, l, "one", "two")
	l.Close()
	r, err := OpenReadOnly(t.Context(), l.path)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, r)
	w := open(t, l.path)
	appendBodies(t, w, string(make([]byte, 10_000))) // more pages, so the size changes
	if got, err := readAll(t.Context(), r); err != nil || len(got) != 2 {
		t.Errorf("before the file itself changed: %d records, %v", len(got), err)
	}
	w.Close() // moves the -wal file into the file
	if _, err := readAll(t.Context(), r); store.CodeOf(err) != store.CodeChanged {
		t.Errorf("Read: %v", err)
	}
	if _, err := r.Head(t.Context()); store.CodeOf(err) != store.CodeChanged {
		t.Errorf("Head: %v", err)
	}

	w = open(t, l.path)
	beside, err := OpenReadOnly(t.Context(), l.path)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, beside)
	appendBodies(t, w, "four")
	if got, err := readAll(t.Context(), beside); err != nil || len(got) != 4 {
		t.Errorf("beside a writer: %d records, %v", len(got), err)
	}
}

// TestCorrupt: a record that is missing or cannot be one is named, after the
// sound ones before it were read.
func TestCorrupt(t *testing.T) {
	const drop = "DROP TRIGGER record_stays; DROP TRIGGER record_unchanged; DROP TRIGGER record_follows; PRAGMA ignore_check_constraints = ON; "
	for _, c := range []struct {
		name, script string
		sound        int
	}{
		{"first is missing", "DELETE FROM record WHERE seq = 1", 0},
		{"one is missing", "DELETE FROM record WHERE seq = 2", 1},
		{"a short hash", "UPDATE record SET hash = x'01' WHERE seq = 3; UPDATE record SET body = x'02' WHERE seq = 3", 2},
		{"no body", "UPDATE record SET body = x'' WHERE seq = 2", 1},
		{"a huge body", "UPDATE record SET body = zeroblob(1048577) WHERE seq = 2", 1},
		{"a number below 1", "UPDATE record SET seq = -4 WHERE seq = 1", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := newLog(t)
			appendBodies(t, l, "one", "two", "three")
			mustExec(t, rawDB(t, l.path), drop+c.script)
			got, err := readAll(t.Context(), l)
			if store.CodeOf(err) != store.CodeCorrupt || len(got) != c.sound {
				t.Errorf("%d records, then %v", len(got), err)
			}
		})
	}
	t.Run("a short hash at the head", func(t *testing.T) {
		l := newLog(t)
		want := appendBodies(t, l, "one")
		mustExec(t, rawDB(t, l.path), drop+"UPDATE record SET hash = x'01'")
		if _, err := l.Head(t.Context()); store.CodeOf(err) != store.CodeCorrupt {
			t.Errorf("Head: %v", err)
		}
		err := l.Append(t.Context(), want[0].Head(), store.Record{Seq: 2, Body: []byte("b"), Hash: [32]byte{1}})
		if store.CodeOf(err) != store.CodeCorrupt {
			t.Errorf("Append: %v", err)
		}
	})
}

// TestDamagedPages: whatever a disk does to a page, reading ends in an error
// or in whole records in order; it does not panic.
func TestDamagedPages(t *testing.T) {
	l := newLog(t)
	for range 40 {
		appendBodies(t, l, string(make([]byte, 700)))
	}
	l.Close()
	sound, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	failed := 0
	for at := 100; at < len(sound); at += 131 { // behind the file header
		damaged := append([]byte(nil), sound...)
		for i := at; i < min(at+8, len(damaged)); i++ {
			damaged[i] ^= 0xff
		}
		path := filepath.Join(dir, "log")
		if err := os.WriteFile(path, damaged, 0o600); err != nil {
			t.Fatal(err)
		}
		if !readsInOrder(t, path) {
			failed++
		}
	}
	if failed == 0 {
		t.Error("no damage was noticed by the engine: the test damages nothing")
	}
}

// readsInOrder tells whether the file could be read to its end.
func readsInOrder(t *testing.T, path string) bool {
	t.Helper()
	l, err := OpenReadOnly(t.Context(), path)
	if err != nil {
		return false
	}
	defer l.Close()
	got, err := readAll(t.Context(), l)
	for i, r := range got {
		if r.Seq != uint64(i+1) || len(r.Body) == 0 {
			t.Fatalf("record %d (%d bytes) at place %d", r.Seq, len(r.Body), i)
		}
	}
	return err == nil
}
