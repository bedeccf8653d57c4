package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"vialwright/store"
	"vialwright/store/storetest"
)

// TestMain runs the tests, or what a test does in a process of its own.
func TestMain(m *testing.M) {
	if role := os.Getenv(roleEnv); role != "" {
		os.Exit(playRole(role))
	}
	goleak.VerifyTestMain(m)
}

// newLog creates a log in a directory of its own.
func newLog(t testing.TB) *Log {
	t.Helper()
	l, err := Create(t.Context(), filepath.Join(t.TempDir(), "log"))
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	return l
}

func closeAtEnd(t testing.TB, l *Log) {
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
}

// open opens the log at path.
func open(t testing.TB, path string) *Log {
	t.Helper()
	l, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	return l
}

// appendBodies appends one batch and gives it.
func appendBodies(t testing.TB, l *Log, bodies ...string) []store.Record {
	t.Helper()
	head, err := l.Head(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var raw [][]byte
	for _, body := range bodies {
		raw = append(raw, []byte(body))
	}
	records := storetest.Chain(head, raw...)
	if err := l.Append(t.Context(), head, records...); err != nil {
		t.Fatal(err)
	}
	return records
}

// readAll reads until the end or the first error.
func readAll(ctx context.Context, l *Log) ([]store.Record, error) {
	var out []store.Record
	for r, err := range l.Read(ctx, 1, store.All) {
		if err != nil {
			return out, err
		}
		out = append(out, r)
	}
	return out, nil
}

// rawDB opens the file as another program would, with SQLite's defaults.
func rawDB(t testing.TB, path string) *sql.DB {
	t.Helper()
	engine() // the kind of lock is chosen before the first is taken
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func mustExec(t testing.TB, db *sql.DB, script string) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), script); err != nil {
		t.Fatal(err)
	}
}

// TestAppendOnly: another program with SQLite's own defaults cannot change
// what is written by mistake, in SQLite's own SQL.
func TestAppendOnly(t *testing.T) {
	l := newLog(t)
	want := appendBodies(t, l, "one", "two", "three")
	db := rawDB(t, l.path)
	for _, statement := range []string{
		"INSERT OR REPLACE INTO record SELECT 2, hash, hash FROM record WHERE seq = 3",
		"REPLACE INTO record SELECT 3, hash, hash FROM record WHERE seq = 3",
		"INSERT OR REPLACE INTO record SELECT 9, hash, hash FROM record WHERE seq = 3",
		"INSERT OR IGNORE INTO record SELECT 9, hash, hash FROM record WHERE seq = 3",
		"UPDATE OR REPLACE record SET seq = 1 WHERE seq = 3",
		"UPDATE OR IGNORE record SET body = hash",
		"INSERT INTO record SELECT NULL, hash, hash FROM record WHERE seq = 3",
		"INSERT INTO record SELECT 4, zeroblob(31), hash FROM record WHERE seq = 3",
		"INSERT INTO record SELECT 4, hash, zeroblob(0) FROM record WHERE seq = 3",
		"INSERT INTO record SELECT 4, hash, zeroblob(1048577) FROM record WHERE seq = 3",
		"INSERT INTO record SELECT 4, hash, 'text' FROM record WHERE seq = 3",
		"INSERT INTO record SELECT 4, 'text', body FROM record WHERE seq = 3",
	} {
		if _, err := db.ExecContext(t.Context(), statement); err == nil {
			t.Errorf("accepted: %s", statement)
		}
		if got, err := readAll(t.Context(), l); err != nil || len(got) != len(want) || got[2].Hash != want[2].Hash || string(got[1].Body) != "two" {
			t.Fatalf("after %s: %v", statement, err)
		}
	}
}

// TestLimitsAgree: the table takes exactly what store.Check lets through.
func TestLimitsAgree(t *testing.T) {
	if want := fmt.Sprintf("BETWEEN 1 AND %d)", store.MaxBody); !strings.Contains(schema[0].sql, want) {
		t.Errorf("the table does not say %s", want)
	}
}

// TestSettings asks every connection of both pools, several open at once,
// for the pragmas that durability and caution rest on.
func TestSettings(t *testing.T) {
	l := newLog(t)
	want := map[string]string{
		"journal_mode": "wal", "synchronous": "2", "busy_timeout": "10000",
		"fullfsync": "1", "checkpoint_fullfsync": "1", "foreign_keys": "1",
		"recursive_triggers": "1", "cell_size_check": "1", "trusted_schema": "0",
	}
	ask := func(name string, conn *sql.Conn, queryOnly string) {
		want["query_only"] = queryOnly
		for pragma, value := range want {
			var got string
			if err := conn.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != value {
				t.Errorf("%s: %s is %s, want %s (%v)", name, pragma, got, value, err)
			}
		}
	}
	ask("writer", l.conn, "0")
	for i := range 8 {
		conn, err := l.readers.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close() // held, so that each is another one
		ask(fmt.Sprintf("reader %d", i), conn, "1")
	}
	if n := l.writer.Stats().OpenConnections; n != 1 {
		t.Errorf("%d connections can write", n)
	}
	if n := l.readers.Stats().OpenConnections; n != 8 {
		t.Errorf("%d readers were asked", n)
	}
}

// TestReadersComeBack: however a loop ends, its connection is free again.
func TestReadersComeBack(t *testing.T) {
	l := newLog(t)
	appendBodies(t, l, "one", "two", "three")
	ctx, cancel := context.WithCancel(t.Context())
	for _, end := range []func(){
		func() { _, _ = readAll(t.Context(), l) },
		func() {
			for range l.Read(t.Context(), 1, store.All) {
				break
			}
		},
		func() {
			for range l.Read(ctx, 1, store.All) {
				cancel()
			}
		},
		func() {
			defer func() { _ = recover() }()
			for range l.Read(t.Context(), 1, store.All) {
				panic("in the loop")
			}
		},
	} {
		end()
		if n := l.readers.Stats().InUse; n != 0 {
			t.Errorf("%d connections are still in use", n)
		}
	}
}

// TestReadFailure: a failure for no named reason on a closed log is that it
// is closed; damage and an ended context keep their names.
func TestReadFailure(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	nameless := errors.New("database is closed")
	for _, c := range []struct {
		closed bool
		ctx    context.Context
		err    error
		code   string
	}{
		{false, t.Context(), nameless, store.CodeFailed},
		{true, t.Context(), nameless, store.CodeClosed},
		{true, t.Context(), corrupt("a record is missing"), store.CodeCorrupt},
		{true, ctx, context.Canceled, ""},
	} {
		l := &Log{}
		if c.closed {
			l.handle.Close(func() error { return nil })
		}
		if err := l.readFailure(c.ctx, "reading", c.err); store.CodeOf(err) != c.code {
			t.Errorf("closed %t, %v: got %v, want %q", c.closed, c.err, err, c.code)
		}
	}
}

// TestNames: a file name may hold what has a meaning in an address.
func TestNames(t *testing.T) {
	t.Chdir(t.TempDir())
	names := []string{"plain", "two words", "a?mode=memory", "a#b", "100%", "%41", "a&b=c", "a+b", "ö漢", "'quoted\"", "-dash", "file:x"}
	if runtime.GOOS == "windows" {
		names = []string{"plain", "two words", "a#b", "100%", "%41", "a&b=c", "a+b", "ö漢"}
	}
	for _, name := range names {
		l, err := Create(t.Context(), name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		appendBodies(t, l, name)
		if err := l.Close(); err != nil {
			t.Error(err)
		}
		l, err = OpenReadOnly(t.Context(), name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, err := readAll(t.Context(), l)
		if err != nil || len(got) != 1 || string(got[0].Body) != name {
			t.Errorf("%s: %v %v", name, got, err)
		}
		l.Close()
	}
	if entries, err := os.ReadDir("."); err != nil || len(entries) != len(names) {
		t.Errorf("%d files for %d logs (%v)", len(entries), len(names), err)
	}
}

// TestPrivate: the records are of patients; only the owner may read them.
func TestPrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such permissions")
	}
	l := newLog(t)
	appendBodies(t, l, "one")
	for _, suffix := range []string{"", "-wal", "-shm"} {
		info, err := os.Stat(l.path + suffix)
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%q: %v %v", suffix, info, err)
		}
	}
}

// TestBusy: while another program holds the file for writing, an append
// waits until its context ends or the time is up, and stores nothing; Read
// and Head do not wait.
func TestBusy(t *testing.T) {
	l := newLog(t)
	want := appendBodies(t, l, "one")
	other, err := rawDB(t, l.path).Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if _, err := other.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}

	next := storetest.Chain(want[0].Head(), []byte("two"))
	ctx, cancel := context.WithCancel(t.Context())
	result := make(chan error)
	go func() { result <- l.Append(ctx, want[0].Head(), next...) }()
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
		t.Errorf("Read: %d records, %v", len(got), err)
	}
	cancel()
	if err := <-result; !errors.Is(err, context.Canceled) || store.CodeOf(err) != "" {
		t.Errorf("cancelled: %v", err)
	}

	if _, err := l.conn.ExecContext(t.Context(), "PRAGMA busy_timeout = 1"); err != nil {
		t.Fatal(err)
	}
	if err := l.Append(t.Context(), want[0].Head(), next...); store.CodeOf(err) != store.CodeBusy {
		t.Errorf("time up: %v", err)
	}
	if _, err := other.ExecContext(t.Context(), "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	if err := l.Append(t.Context(), want[0].Head(), next...); err != nil {
		t.Errorf("free again: %v", err)
	}
}

// TestNoRoom: when the file may not grow, the batch is refused as a whole and
// the log goes on once it may.
func TestNoRoom(t *testing.T) {
	l := newLog(t)
	want := appendBodies(t, l, "one")
	if _, err := l.conn.ExecContext(t.Context(), "PRAGMA max_page_count = 10"); err != nil {
		t.Fatal(err)
	}
	big := storetest.Chain(want[0].Head(), []byte("fits"), make([]byte, 100_000))
	err := l.Append(t.Context(), want[0].Head(), big...)
	if store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "no room") {
		t.Errorf("got %v", err)
	}
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
		t.Errorf("%d records, %v", len(got), err)
	}
	if _, err := l.conn.ExecContext(t.Context(), "PRAGMA max_page_count = 100000"); err != nil {
		t.Fatal(err)
	}
	if err := l.Append(t.Context(), want[0].Head(), big...); err != nil {
		t.Error(err)
	}
}
