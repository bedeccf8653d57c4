package postgres

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
	"vialwright/store/postgres/pgtest"
)

// ways are the ways to open.
var ways = map[string]func(context.Context, string) (*Log, error){
	"Create": Create, "Open": Open, "OpenReadOnly": OpenReadOnly,
}

// refused wants a way to open refused with a code.
func refused(t *testing.T, way, address, code string) {
	t.Helper()
	l, err := ways[way](t.Context(), address)
	if l != nil {
		l.Close()
	}
	if store.CodeOf(err) != code {
		t.Errorf("%s: %v, want %s", way, err, code)
	}
}

// dump is what the schema vialwright holds, to see that a refusal left it as
// it is.
func dump(t *testing.T, conn *pgx.Conn) string {
	t.Helper()
	lines, err := described(t.Context(), conn, "vialwright")
	if err != nil {
		t.Fatal(err)
	}
	var marks string
	row := conn.QueryRow(t.Context(), "SELECT coalesce(query_to_xml('TABLE vialwright.layout', true, true, '')::text, '') WHERE to_regclass('vialwright.layout') IS NOT NULL")
	if err := row.Scan(&marks); err != nil && err != pgx.ErrNoRows {
		t.Fatal(err)
	}
	return strings.Join(lines, "\n") + marks
}

// TestForeign: what is not a log of this program and layout is refused by
// each way to open it, and nothing in the database changes.
func TestForeign(t *testing.T) {
	for _, c := range []struct{ name, script, open, create string }{
		{"nothing", "", store.CodeMissing, ""},
		{"an empty schema", "CREATE SCHEMA vialwright", store.CodeForeign, ""},
		{"another table", "CREATE SCHEMA vialwright; CREATE TABLE vialwright.milk (litres int)", store.CodeForeign, store.CodeExists},
		{"another function", "CREATE SCHEMA vialwright; CREATE FUNCTION vialwright.f() RETURNS int LANGUAGE sql RETURN 1", store.CodeForeign, store.CodeExists},
		{"other marks", "CREATE SCHEMA vialwright; CREATE TABLE vialwright.layout (pages int)", store.CodeForeign, store.CodeExists},
		{"no marks", "CREATE SCHEMA vialwright; CREATE TABLE vialwright.layout (mark int, version int)", store.CodeForeign, store.CodeExists},
		{"marks of others", "CREATE SCHEMA vialwright; CREATE TABLE vialwright.layout AS SELECT 7 AS mark, 1 AS version", store.CodeForeign, store.CodeExists},
		{"newer", fmt.Sprintf("CREATE SCHEMA vialwright; CREATE TABLE vialwright.layout AS SELECT %d AS mark, %d AS version", mark, layout+1), store.CodeNewer, store.CodeExists},
		{"older than the first", fmt.Sprintf("CREATE SCHEMA vialwright; CREATE TABLE vialwright.layout AS SELECT %d AS mark, 0 AS version", mark), store.CodeAltered, store.CodeExists},
	} {
		t.Run(c.name, func(t *testing.T) {
			address := pgtest.Shared(t).Database(t)
			conn := raw(t, address)
			mustExec(t, conn, c.script)
			before := dump(t, conn)
			refused(t, "Open", address, c.open)
			refused(t, "OpenReadOnly", address, c.open)
			refused(t, "Create", address, c.create)
			if after := dump(t, conn); c.create != "" && after != before {
				t.Errorf("it was changed from\n%s\nto\n%s", before, after)
			}
		})
	}
}

// TestCreateTwice: a log is never made over another.
func TestCreateTwice(t *testing.T) {
	l, address := makeLog(t)
	want := appendBodies(t, l, "one")
	refused(t, "Create", address, store.CodeExists)
	if got, err := readAll(t.Context(), l); err != nil || len(got) != len(want) {
		t.Errorf("%d records, %v", len(got), err)
	}
}

// TestCreateAtOnce: of several who create a log in one database one does.
func TestCreateAtOnce(t *testing.T) {
	address := pgtest.Shared(t).Database(t)
	const n = 4
	codes := make(chan string, n)
	for range n {
		go func() {
			l, err := Create(t.Context(), address)
			if err == nil {
				err = l.Close()
			}
			codes <- store.CodeOf(err)
		}()
	}
	got := map[string]int{}
	for range n {
		got[<-codes]++
	}
	if want := map[string]int{"": 1, store.CodeExists: n - 1}; !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestAltered: what guards or shapes the tables of a log is as it was made, or
// named; an index more does no harm.
func TestAltered(t *testing.T) {
	l, address := makeLog(t)
	appendBodies(t, l, "one")
	conn := raw(t, address)
	for _, c := range []struct{ script, word string }{
		{"DROP TRIGGER record_stays ON vialwright.record", "missing is trigger record_stays"},
		{"DROP TRIGGER layout_fixed ON vialwright.layout", `missing is trigger layout_fixed`},
		{"ALTER TABLE vialwright.record DISABLE TRIGGER record_unchanged", "switched-off trigger record_unchanged"},
		{"ALTER TABLE vialwright.record ENABLE TRIGGER record_follows", "switched-off trigger record_follows"},
		{"CREATE TRIGGER a BEFORE INSERT ON vialwright.record FOR EACH ROW EXECUTE FUNCTION vialwright.follow()", "trigger a"},
		{"CREATE OR REPLACE FUNCTION vialwright.refuse() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'", "function vialwright.refuse"},
		{"ALTER FUNCTION vialwright.follow() SECURITY DEFINER", "function vialwright.follow"},
		{"ALTER FUNCTION vialwright.follow() SET search_path = public", "function vialwright.follow"},
		{"CREATE FUNCTION vialwright.f() RETURNS int LANGUAGE sql RETURN 1", "function vialwright.f"},
		{"CREATE AGGREGATE vialwright.f(int) (sfunc = int4pl, stype = int)", "function aggregate f"},
		{"CREATE RULE r AS ON INSERT TO vialwright.record DO INSTEAD NOTHING", "rule record.r"},
		{followAlone, "found is function vialwright.follow"},
		{"ALTER TABLE vialwright.record ADD CHECK (octet_length(hash) = 32)", "found is check record"},
		{"ALTER TABLE vialwright.record ADD CHECK (seq < 100)", "check record CHECK ((seq < 100))"},
		{"ALTER TABLE vialwright.record DROP CONSTRAINT record_pkey", "key record"},
		{"ALTER TABLE vialwright.record ADD COLUMN note text", "column record.note"},
		{"ALTER TABLE vialwright.record ALTER body DROP NOT NULL", "column record.body"},
		{"ALTER TABLE vialwright.record ALTER body SET DEFAULT 'x'", "column record.body"},
		{"ALTER TABLE vialwright.record SET UNLOGGED", "unlogged"},
		{"ALTER TABLE vialwright.record ENABLE ROW LEVEL SECURITY", "row security"},
		{"CREATE TABLE vialwright.other (n int)", "other"},
		{"CREATE VIEW vialwright.other AS SELECT 1 AS n", "other"},
		{"CREATE SEQUENCE vialwright.other", "other"},
	} {
		t.Run(c.script, func(t *testing.T) {
			mustExec(t, conn, "BEGIN; "+c.script)
			defer mustExec(t, conn, "ROLLBACK")
			err := checkSchema(t.Context(), conn)
			if store.CodeOf(err) != store.CodeAltered || !strings.Contains(err.Error(), c.word) {
				t.Errorf("%v, want it to say %q", err, c.word)
			}
		})
	}
	mustExec(t, conn, "CREATE INDEX ON vialwright.record (hash); CREATE TABLE public.others (n int)")
	open(t, address)

	mustExec(t, conn, "DROP TRIGGER record_stays ON vialwright.record")
	refused(t, "Open", address, store.CodeAltered)
	r, err := OpenReadOnly(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, r)
	if got, err := readAll(t.Context(), r); err != nil || len(got) != 1 {
		t.Errorf("%d records, %v", len(got), err)
	}
}

// makeOlder makes an empty log one whose table checks the sizes.
const makeOlder = followAlone + `; ALTER TABLE vialwright.record
	ADD CHECK (octet_length(hash) = 32), ADD CHECK (octet_length(body) BETWEEN 1 AND 1048576)`

// TestOlder: a log whose table checks the sizes is opened, appended to and left as it is, and what
// was altered in it is named as in others.
func TestOlder(t *testing.T) {
	_, address := makeLog(t)
	conn := raw(t, address)
	mustExec(t, conn, makeOlder)
	before := dump(t, conn)
	want := appendBodies(t, open(t, address), "one", "two")
	if got, err := readAll(t.Context(), open(t, address)); err != nil || len(got) != len(want) {
		t.Errorf("%d records, %v", len(got), err)
	}
	if after := dump(t, conn); after != before {
		t.Errorf("it was changed from\n%s\nto\n%s", before, after)
	}
	for script, word := range map[string]string{
		"DROP TRIGGER record_stays ON vialwright.record":                    "missing is trigger record_stays",
		"ALTER TABLE vialwright.record DROP CONSTRAINT record_hash_check":   "missing is check record",
		"ALTER TABLE vialwright.record DROP CONSTRAINT record_body_check":   "missing is check record",
		"ALTER TABLE vialwright.record ADD CHECK (octet_length(hash) = 32)": "twice",
		"ALTER FUNCTION vialwright.follow() SECURITY DEFINER":               "function vialwright.follow",
		strings.Replace(followAlone, "a.seq - 1", "a.seq", 1):               "function vialwright.follow",
		follow: "found is function vialwright.follow",
	} {
		mustExec(t, conn, "BEGIN; "+script)
		err := checkSchema(t.Context(), conn)
		if store.CodeOf(err) != store.CodeAltered || !strings.Contains(err.Error(), word) {
			t.Errorf("%s: %v, want it to say %q", script, err, word)
		}
		mustExec(t, conn, "ROLLBACK")
	}
}

// TestInherited: records of a table that was hung under ours are not ours.
func TestInherited(t *testing.T) {
	l, address := makeLog(t)
	head := appendBodies(t, l, "one")[0].Head()
	mustExec(t, raw(t, address), `CREATE TABLE public.child () INHERITS (vialwright.record);
		INSERT INTO public.child SELECT 2, hash, body FROM ONLY vialwright.record`)
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
		t.Errorf("%d records, %v", len(got), err)
	}
	if got, err := l.Head(t.Context()); err != nil || got != head {
		t.Errorf("head %d, %v", got.Seq, err)
	}
	appendBodies(t, l, "two")
}

// TestReadOnly: a log that is open for reading refuses to append, by itself
// and by its connections.
func TestReadOnly(t *testing.T) {
	l, address := makeLog(t)
	want := appendBodies(t, l, "one")
	r, err := OpenReadOnly(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, r)
	if err := r.Append(t.Context(), store.Head{}); store.CodeOf(err) != store.CodeReadOnly {
		t.Errorf("Append: %v", err)
	}
	conn, err := r.readers.use(t.Context(), func(conn *pgx.Conn) error {
		_, err := conn.Exec(t.Context(), insert, []int64{2}, [][]byte{want[0].Hash[:]}, [][]byte{[]byte("two")})
		return err
	})
	if !hasState(err, stateReadOnly) {
		t.Errorf("%v, %v", conn, err)
	}
}

// TestUnsafe: a server that can lose what it acknowledged is refused for
// writing, by name of what is off; it may be read. The check is made for each
// connection, so it holds after a restart too.
func TestUnsafe(t *testing.T) {
	server := pgtest.Start(t)
	address, other := server.Database(t), server.Database(t)
	l, err := Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	head := appendBodies(t, l, "one")[0].Head()
	for _, setting := range []string{"fsync", "full_page_writes"} {
		server.Halt(t)
		server.Restart(t, setting+"=off")
		_, err := Open(t.Context(), address)
		if store.CodeOf(err) != CodeUnsafe || !strings.Contains(err.Error(), "has "+setting+" off") {
			t.Errorf("Open with %s off: %v", setting, err)
		}
		refused(t, "Create", other, CodeUnsafe)
		err = l.Append(t.Context(), head, batchFrom(head)...)
		if store.CodeOf(err) != CodeUnsafe {
			t.Errorf("Append on a new connection with %s off: %v", setting, err)
		}
		if got, err := readAll(t.Context(), l); err != nil || len(got) != 1 {
			t.Errorf("%d records, %v", len(got), err)
		}
	}
	server.Halt(t)
	server.Restart(t, "synchronous_commit=off") // each connection asks for its own
	appendBodies(t, l, "two")

	conn := l.writers.idle[0]
	mustExec(t, conn, "SET synchronous_commit = off")
	if err := checkServer(t.Context(), conn); store.CodeOf(err) != CodeUnsafe {
		t.Errorf("synchronous_commit off: %v", err)
	}
}

// TestStandby: on a standby server a log can be read and not written.
func TestStandby(t *testing.T) {
	server := pgtest.Start(t)
	address := server.Database(t)
	l, err := Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	head := appendBodies(t, l, "one")[0].Head()
	server.Halt(t)
	server.RestartAsStandby(t)
	refused(t, "Open", address, store.CodeReadOnly)
	if err := l.Append(t.Context(), head, batchFrom(head)...); store.CodeOf(err) != store.CodeReadOnly {
		t.Errorf("Append: %v", err)
	}
	r, err := OpenReadOnly(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, r)
	if got, err := readAll(t.Context(), r); err != nil || len(got) != 1 {
		t.Errorf("%d records, %v", len(got), err)
	}
}

// TestAddress: what is no address is refused without repeating a password
// that may stand in it.
func TestAddress(t *testing.T) {
	for s, want := range map[string]bool{
		"postgres://u@h/d": true, "postgresql:///d": true, "postgres:/d": false, "hot-lab.journal": false, "": false,
		"/var/lib/postgres://x": false,
	} {
		if IsAddress(s) != want {
			t.Errorf("IsAddress(%q) is %t", s, !want)
		}
	}
	for _, address := range []string{
		"hot-lab.journal",
		"host=h password=secret-word",
		"postgres://u:secret-word@h:port/d",
		"postgres://u:secret-word%zz@h/d",
		"postgres://u:secret-word@h/d?sslmode=some",
		"postgres://u:secret:word@h:x/d?connect_timeout=long",
	} {
		for _, name := range slices.Sorted(maps.Keys(ways)) {
			_, err := ways[name](t.Context(), address)
			if store.CodeOf(err) != store.CodeFailed {
				t.Errorf("%s: %v", name, err)
			}
			if err != nil && strings.Contains(err.Error(), "secret") {
				t.Errorf("%s tells the password: %v", name, err)
			}
		}
	}
	address := pgtest.Shared(t).Address("no_such_database")
	refused(t, "Create", address, store.CodeMissing)
	refused(t, "Open", address, store.CodeMissing)
	refused(t, "OpenReadOnly", address, store.CodeMissing)
}
