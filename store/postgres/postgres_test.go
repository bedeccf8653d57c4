package postgres

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"

	"vialwright/store"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/storetest"
)

// TestMain runs the tests, or what a test does in a process of its own.
func TestMain(m *testing.M) {
	if role := os.Getenv(roleEnv); role != "" {
		os.Exit(playRole(role))
	}
	code := m.Run()
	pgtest.Stop()
	if err := goleak.Find(); err != nil && code == 0 {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// makeLog creates a log in a database of its own and gives its address.
func makeLog(t testing.TB) (*Log, string) {
	t.Helper()
	address := pgtest.Shared(t).Database(t)
	l, err := Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	return l, address
}

func closeAtEnd(t testing.TB, l *Log) {
	t.Cleanup(func() {
		if err := l.Close(); err != nil {
			t.Error(err)
		}
	})
}

// open opens the log at address.
func open(t testing.TB, address string) *Log {
	t.Helper()
	l, err := Open(t.Context(), address)
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

// raw connects as another program would.
func raw(t testing.TB, address string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { hangUp(conn) })
	return conn
}

func mustExec(t testing.TB, conn *pgx.Conn, script string) {
	t.Helper()
	if _, err := conn.Exec(t.Context(), script); err != nil {
		t.Fatalf("%s: %v", script, err)
	}
}

// TestAppendOnly: another program cannot change what is written by mistake, in
// PostgreSQL's own SQL; a superuser, whom no right is denied, neither, and not with
// triggers off as replication has them.
func TestAppendOnly(t *testing.T) { onlyAppends(t, "") }

// TestAppendOnlyOlder: so is a log whose table checks the sizes.
func TestAppendOnlyOlder(t *testing.T) { onlyAppends(t, makeOlder) }

func onlyAppends(t *testing.T, script string) {
	l, address := makeLog(t)
	mustExec(t, raw(t, address), script)
	want := appendBodies(t, l, "one", "two", "three")
	conn := raw(t, address)
	mustExec(t, conn, "SET search_path = vialwright")
	for _, role := range []string{"origin", "replica"} {
		mustExec(t, conn, "SET session_replication_role = "+role)
		for _, statement := range []string{
			"UPDATE record SET body = body WHERE false",
			"DELETE FROM record WHERE false",
			"DELETE FROM ONLY record",
			"TRUNCATE record",
			"TRUNCATE layout, record CASCADE",
			"UPDATE layout SET version = 2",
			"DELETE FROM layout",
			"INSERT INTO layout (mark, version) VALUES (1, 2)",
			"INSERT INTO layout (alone, mark, version) VALUES (false, 1, 2)",
			"INSERT INTO record SELECT 9, hash, body FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 9, hash, body FROM record WHERE seq = 3 ON CONFLICT DO NOTHING",
			"INSERT INTO record SELECT 3, hash, body FROM record WHERE seq = 2 ON CONFLICT (seq) DO UPDATE SET body = excluded.body",
			"INSERT INTO record SELECT NULL, hash, body FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 4, substr(hash, 1, 31), body FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 4, hash, '' FROM record WHERE seq = 3",
			"INSERT INTO record SELECT 4, hash, decode(repeat('00', 1048577), 'hex') FROM record WHERE seq = 3",
			"INSERT INTO record SELECT seq + 5, hash, body FROM record",
			"MERGE INTO record r USING (VALUES (2)) v (seq) ON r.seq = v.seq WHEN MATCHED THEN DELETE",
			"WITH gone AS (DELETE FROM record RETURNING seq) SELECT count(*) FROM gone",
			"DO $$BEGIN EXECUTE 'DELETE FROM record'; END$$",
		} {
			if _, err := conn.Exec(t.Context(), statement); err == nil {
				t.Errorf("accepted with triggers as for %s: %s", role, statement)
			}
			got, err := readAll(t.Context(), l)
			if err != nil || len(got) != len(want) || got[2].Hash != want[2].Hash || string(got[1].Body) != "two" {
				t.Fatalf("after %s: %v", statement, err)
			}
		}
	}
}

// TestRights: the owner is left with the rights to select and insert, and a
// user who is given these two can work; one who is given less is told.
func TestRights(t *testing.T) {
	superuser := pgtest.Start(t).Database(t) // where nobody needs a password
	conn := raw(t, superuser)
	names := make([]string, 2)
	for i := range names {
		names[i] = fmt.Sprintf("test_%d_%d", os.Getpid(), i)
		mustExec(t, conn, "CREATE ROLE "+names[i]+" LOGIN")
	}
	owner, bench := withUser(t, superuser, names[0]), withUser(t, superuser, names[1])

	if _, err := Create(t.Context(), owner); store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "rights") {
		t.Errorf("Create without the right to: %v", err)
	}
	mustExec(t, conn, "CREATE SCHEMA vialwright AUTHORIZATION "+names[0])
	l, err := Create(t.Context(), owner)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	want := appendBodies(t, l, "one", "two")
	for _, statement := range []string{
		"UPDATE vialwright.record SET body = hash", "DELETE FROM vialwright.record", "TRUNCATE vialwright.record",
		"UPDATE vialwright.layout SET version = 2", "DELETE FROM vialwright.layout",
	} {
		if _, err := raw(t, owner).Exec(t.Context(), statement); !hasState(err, stateInsufficientRights) {
			t.Errorf("%s: %v", statement, err)
		}
	}

	if _, err := Open(t.Context(), bench); store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "rights") {
		t.Errorf("Open without rights: %v", err)
	}
	mustExec(t, conn, "GRANT USAGE ON SCHEMA vialwright TO "+names[1])
	mustExec(t, conn, "GRANT SELECT ON vialwright.record, vialwright.layout TO "+names[1])
	granted := open(t, bench)
	next := storetest.Chain(want[1].Head(), []byte("three"))
	err = granted.Append(t.Context(), want[1].Head(), next...)
	if store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "rights") {
		t.Errorf("Append without the right to insert: %v", err)
	}
	mustExec(t, conn, "GRANT INSERT ON vialwright.record TO "+names[1])
	if err := granted.Append(t.Context(), want[1].Head(), next...); err != nil {
		t.Error(err)
	}
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 3 {
		t.Errorf("%d records, %v", len(got), err)
	}
}

// withUser gives the address for another user, without a password.
func withUser(t testing.TB, address, name string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	u.User = url.User(name)
	return u.String()
}

// TestLimitsAgree: the table takes exactly what store.Check lets through, and
// the lock is the one that the package comment names.
func TestLimitsAgree(t *testing.T) {
	if want := fmt.Sprintf("BETWEEN 1 AND %d)", store.MaxBody); !strings.Contains(create, want) {
		t.Errorf("the table does not say %s", want)
	}
	l, address := makeLog(t)
	head, conn := appendBodies(t, l, "one")[0].Head(), raw(t, address)
	for size, want := range map[int]bool{0: false, 1: true, store.MaxBody: true, store.MaxBody + 1: false} {
		r := storetest.Chain(head, make([]byte, size))[0]
		_, err := conn.Exec(t.Context(), insert, []int64{int64(r.Seq)}, [][]byte{r.Hash[:]}, [][]byte{r.Body})
		if err == nil != want || err != nil && !hasState(err, stateIntegrity) {
			t.Errorf("a body of %d bytes: %v", size, err)
		}
		if err == nil {
			head = r.Head()
		}
	}
	if want := fmt.Sprintf("(%d, 1)", mark); !strings.Contains(takeLock, want) || !strings.Contains(free, want) {
		t.Errorf("the lock is not %s", want)
	}
}

// TestSettings asks every connection of both pools, several open at once, for
// the settings that durability and patience rest on, whatever was set for the
// user, the database or in the address.
func TestSettings(t *testing.T) {
	_, address := makeLog(t)
	conn := raw(t, address)
	for name, value := range map[string]string{
		"synchronous_commit": "off", "default_transaction_isolation": "serializable", "lock_timeout": "0",
		"statement_timeout": "'1h'", "default_transaction_read_only": "on", "idle_in_transaction_session_timeout": "'1h'",
	} {
		mustExec(t, conn, "ALTER DATABASE "+conn.Config().Database+" SET "+name+" = "+value)
	}
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	query := u.Query()
	query.Set("synchronous_commit", "off")
	query.Set("options", "-csynchronous_commit=off -cjit=on")
	u.RawQuery = strings.ReplaceAll(query.Encode(), "+", "%20") // a plus is a plus there
	l := open(t, u.String())
	appendBodies(t, l, "one")
	want := map[string]string{
		"synchronous_commit": "on", "default_transaction_isolation": "read committed", "lock_timeout": "10s",
		"statement_timeout": "0", "jit": "off", "search_path": "pg_catalog", "application_name": "vialwright",
		"fsync": "on", "full_page_writes": "on",
	}
	for _, c := range []struct {
		pool           *pool
		readOnly, idle string
	}{{l.writers, "off", "5s"}, {l.readers, "on", "0"}} {
		want["default_transaction_read_only"], want["idle_in_transaction_session_timeout"] = c.readOnly, c.idle
		for range maxIdle + 2 {
			conn, err := c.pool.use(t.Context(), func(conn *pgx.Conn) error {
				for name, value := range want {
					var got string
					if err := conn.QueryRow(t.Context(), "SHOW "+name).Scan(&got); err != nil || got != value {
						t.Errorf("%s is %s, want %s (%v)", name, got, value, err)
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
			defer c.pool.give(conn) // held, so that each is another one
		}
	}
}

// TestReadersComeBack: however a loop ends, its connection is free again or
// gone, and no transaction stays open.
func TestReadersComeBack(t *testing.T) {
	l, address := makeLog(t)
	appendBodies(t, l, "one", "two", "three")
	conn := raw(t, address)
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
		open := true
		for i := 0; open && i < 100_000; i++ { // one that was cancelled is gone soon
			err := conn.QueryRow(t.Context(), `SELECT count(*) > 0 FROM pg_stat_activity
				WHERE datname = current_database() AND pid <> pg_backend_pid() AND state LIKE 'idle in transaction%'`).Scan(&open)
			if err != nil {
				t.Fatal(err)
			}
		}
		if open {
			t.Fatal("a transaction stays open")
		}
		if n := len(l.readers.idle); n > 1 {
			t.Errorf("%d connections for one reader at a time", n)
		}
	}
}

// awaitWaiter waits until some session waits for a lock.
func awaitWaiter(t *testing.T, conn *pgx.Conn) {
	t.Helper()
	for range 100_000 { // more than ten seconds of asking
		const waiting = `SELECT count(*) > 0 FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`
		var found bool
		if err := conn.QueryRow(t.Context(), waiting).Scan(&found); err != nil {
			t.Fatal(err)
		}
		if found {
			return
		}
	}
	t.Fatal("nobody waits for a lock")
}

// TestBusy: while another program holds the lock, an append waits until its
// context ends or the time is up, and stores nothing; Read and Head do not
// wait.
func TestBusy(t *testing.T) {
	l, address := makeLog(t)
	want := appendBodies(t, l, "one")
	other, watch := raw(t, address), raw(t, address)
	mustExec(t, other, begin+"; "+takeLock)

	next := storetest.Chain(want[0].Head(), []byte("two"))
	ctx, cancel := context.WithCancel(t.Context())
	result := make(chan error)
	go func() { result <- l.Append(ctx, want[0].Head(), next...) }()
	awaitWaiter(t, watch)
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
		t.Errorf("Read: %d records, %v", len(got), err)
	}
	cancel()
	if err := <-result; !errors.Is(err, context.Canceled) || store.CodeOf(err) != "" {
		t.Errorf("cancelled: %v", err)
	}

	go func() { result <- l.Append(t.Context(), want[0].Head(), next...) }()
	awaitWaiter(t, watch)
	mustExec(t, other, "COMMIT")
	if err := <-result; err != nil {
		t.Errorf("free again: %v", err)
	}

	mustExec(t, other, begin+"; "+takeLock)
	mustExec(t, l.writers.idle[0], "SET lock_timeout = 1")
	err := l.Append(t.Context(), next[0].Head(), storetest.Chain(next[0].Head(), []byte("three"))...)
	if store.CodeOf(err) != store.CodeBusy {
		t.Errorf("time up: %v", err)
	}
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 2 {
		t.Errorf("%d records, %v", len(got), err)
	}
}

// TestOvertaken: a session that inserts without taking the lock makes a
// conflict when it commits after we have read the head; when it takes its
// record back there is none.
func TestOvertaken(t *testing.T) {
	l, address := makeLog(t)
	head := appendBodies(t, l, "one")[0].Head()
	other, watch := raw(t, address), raw(t, address)
	for _, end := range []string{"COMMIT", "ROLLBACK"} {
		next := storetest.Chain(head, []byte("ours"))
		mustExec(t, other, `BEGIN; INSERT INTO vialwright.record
			SELECT max(seq) + 1, decode(repeat('01', 32), 'hex'), 'theirs' FROM vialwright.record`)
		result := make(chan error)
		go func() { result <- l.Append(t.Context(), head, next...) }()
		awaitWaiter(t, watch)
		mustExec(t, other, end)
		err := <-result
		theirs := store.Head{Seq: head.Seq + 1, Hash: [32]byte(bytes.Repeat([]byte{1}, 32))}
		if end == "ROLLBACK" {
			if err != nil {
				t.Errorf("after their %s: %v", end, err)
			}
			continue
		}
		if e, ok := errors.AsType[*store.ConflictError](err); !ok || e.Have != theirs || e.Expected != head {
			t.Errorf("after their %s: %v", end, err)
		}
		head = theirs
	}
}

// TestNoRoom: when the server refuses in the middle of a batch, nothing of it
// is stored and the log goes on.
func TestNoRoom(t *testing.T) {
	l, address := makeLog(t)
	head := appendBodies(t, l, "one")[0].Head()
	conn := raw(t, address)
	mustExec(t, conn, `CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS
		$$BEGIN RAISE 'could not extend file' USING ERRCODE = 'disk_full'; END$$;
		CREATE TRIGGER z BEFORE INSERT ON vialwright.record FOR EACH ROW WHEN (NEW.seq > 1500) EXECUTE FUNCTION full_disk()`)
	bodies := make([][]byte, 3*maxRecords)
	for i := range bodies {
		bodies[i] = fmt.Appendf(nil, "record %d", i)
	}
	batch := storetest.Chain(head, bodies...)
	err := l.Append(t.Context(), head, batch...)
	if store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "no room") {
		t.Errorf("got %v", err)
	}
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
		t.Errorf("%d records, %v", len(got), err)
	}
	mustExec(t, conn, "DROP TRIGGER z ON vialwright.record")
	if err := l.Append(t.Context(), head, batch...); err != nil {
		t.Error(err)
	}
	if got, err := l.Head(t.Context()); err != nil || got != batch[len(batch)-1].Head() {
		t.Errorf("head %d, %v", got.Seq, err)
	}
}

// TestPortions: a batch goes out in messages of limited size, each of at
// least one record.
func TestPortions(t *testing.T) {
	of := func(n, size int) []store.Record {
		records := make([]store.Record, n)
		for i := range records {
			records[i].Body = make([]byte, size)
		}
		return records
	}
	for _, c := range []struct {
		records []store.Record
		want    int
	}{
		{of(1, 1), 1},
		{of(maxRecords, 1), maxRecords},
		{of(maxRecords+1, 1), maxRecords},
		{of(8, store.MaxBody), 8},
		{of(9, store.MaxBody), 8},
		{of(1, maxBytes+1), 1},
		{of(2, maxBytes+1), 1},
	} {
		if got := portion(c.records); got != c.want {
			t.Errorf("%d of %d records of %d bytes, want %d", got, len(c.records), len(c.records[0].Body), c.want)
		}
	}
}

// TestDamage: records are read page after page in their order, and a record
// that is missing or that no append can have written ends the reading.
func TestDamage(t *testing.T) {
	for _, c := range []struct{ name, damage, where string }{
		{"missing", "DELETE FROM vialwright.record WHERE seq = 1500", "record 1500 is missing"},
		{"no hash", "UPDATE vialwright.record SET hash = decode(repeat('00', 32), 'hex') WHERE seq = 7", "record 7 is not"},
		{"no body", "UPDATE vialwright.record SET body = '' WHERE seq = 1025", "record 1025 is not"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, address := makeLog(t)
			bodies := make([][]byte, 7*firstPage+1) // three pages and one record
			for i := range bodies {
				bodies[i] = []byte("body")
			}
			want := storetest.Chain(store.Head{}, bodies...)
			if err := l.Append(t.Context(), store.Head{}, want...); err != nil {
				t.Fatal(err)
			}
			if got, err := readAll(t.Context(), l); err != nil || len(got) != len(want) {
				t.Fatalf("%d records, %v", len(got), err)
			}
			mustExec(t, raw(t, address), "ALTER TABLE vialwright.record DISABLE TRIGGER USER; "+c.damage)
			_, err := readAll(t.Context(), l)
			if store.CodeOf(err) != store.CodeCorrupt || !strings.Contains(err.Error(), c.where) {
				t.Errorf("got %v", err)
			}
		})
	}
}

// TestSnapshotOverPages: what is appended from inside a loop is not seen by
// it on a later page either.
func TestSnapshotOverPages(t *testing.T) {
	l, _ := makeLog(t)
	bodies := make([][]byte, firstPage+10)
	for i := range bodies {
		bodies[i] = []byte("body")
	}
	if err := l.Append(t.Context(), store.Head{}, storetest.Chain(store.Head{}, bodies...)...); err != nil {
		t.Fatal(err)
	}
	n := 0
	for r, err := range l.Read(t.Context(), 1, store.All) {
		if err != nil {
			t.Fatal(err)
		}
		if n++; r.Seq == 1 || r.Seq == firstPage {
			appendBodies(t, l, "from inside the loop")
		}
	}
	if n != len(bodies) {
		t.Errorf("%d records, want %d", n, len(bodies))
	}
}
