package postgresvault

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"

	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/vault"
)

func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.Stop()
	if err := goleak.Find(); err != nil && code == 0 {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

var noon = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

func open(t testing.TB, address string) *Vault {
	t.Helper()
	v, err := Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { v.Close() })
	return v
}

func raw(t testing.TB, address string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close(context.Background()) })
	return conn
}

func mustExec(t testing.TB, conn *pgx.Conn, script string) {
	t.Helper()
	if _, err := conn.Exec(t.Context(), script); err != nil {
		t.Fatalf("%s: %v", script, err)
	}
}

// TestBesideTheJournal: journal and vault share an address, whichever comes
// first, and neither takes the other for something foreign.
func TestBesideTheJournal(t *testing.T) {
	for _, vaultFirst := range []bool{true, false} {
		address := pgtest.Shared(t).Database(t)
		if vaultFirst {
			open(t, address)
		}
		created, err := postgres.Create(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		defer created.Close()
		v := open(t, address)
		if _, err := v.Put(t.Context(), noon, vault.Drafts, "key", vault.Item{Value: []byte("typed")}); err != nil {
			t.Fatal(err)
		}
		r := store.Record{Seq: 1, Body: []byte("sent"), Hash: [32]byte{1}}
		if err := created.Append(t.Context(), store.Head{}, r); err != nil {
			t.Fatal(err)
		}
		again, err := postgres.Open(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		defer again.Close()
		if head, err := again.Head(t.Context()); err != nil || head != r.Head() {
			t.Errorf("head %d, %v", head.Seq, err)
		}
		if item, err := open(t, address).Get(t.Context(), noon, vault.Drafts, "key"); err != nil || string(item.Value) != "typed" {
			t.Errorf("%d bytes, %v", len(item.Value), err)
		}
	}
}

// TestForeign: what is not a vault of this program and layout is refused and
// left as it is; an empty schema is made a vault, for whom the right to make
// schemas is denied.
func TestForeign(t *testing.T) {
	for _, c := range []struct{ name, script, code string }{
		{"an empty schema", "CREATE SCHEMA vialwright_vault", ""},
		{"another table", "CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.milk (litres int)", store.CodeForeign},
		{"other marks", "CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.layout AS SELECT 1 AS pages", store.CodeForeign},
		{"no marks", "CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.layout (mark int, version int)", store.CodeForeign},
		{"marks of others", "CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.layout AS SELECT 7 AS mark, 1 AS version", store.CodeForeign},
		{"older than the first", fmt.Sprintf("CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.layout AS SELECT %d AS mark, 0 AS version", mark), store.CodeForeign},
		{"newer", fmt.Sprintf("CREATE SCHEMA vialwright_vault; CREATE TABLE vialwright_vault.layout AS SELECT %d AS mark, %d AS version", mark, layout+1), store.CodeNewer},
	} {
		t.Run(c.name, func(t *testing.T) {
			address := pgtest.Shared(t).Database(t)
			conn := raw(t, address)
			mustExec(t, conn, c.script)
			v, err := Open(t.Context(), address)
			if v != nil {
				v.Close()
			}
			if store.CodeOf(err) != c.code || (err == nil) != (c.code == "") {
				t.Errorf("%v, want %q", err, c.code)
			}
			var tables int
			const count = "SELECT count(*) FROM pg_tables WHERE schemaname = 'vialwright_vault'"
			if err := conn.QueryRow(t.Context(), count).Scan(&tables); err != nil || (c.code != "" && tables != 1) {
				t.Errorf("%d tables are there, %v", tables, err)
			}
		})
	}
	if _, err := Open(t.Context(), pgtest.Shared(t).Address("no_such_database")); store.CodeOf(err) != store.CodeMissing {
		t.Errorf("no database: %v", err)
	}
	if _, err := Open(t.Context(), "hot-lab.vault"); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("no address: %v", err)
	}
}

// TestOpenAtOnce: of several who come to a database without a vault each gets
// the same one.
func TestOpenAtOnce(t *testing.T) {
	address := pgtest.Shared(t).Database(t)
	const n = 4
	results := make(chan error, n)
	for range n {
		go func() {
			v, err := Open(t.Context(), address)
			if err == nil {
				err = v.Close()
			}
			results <- err
		}()
	}
	for range n {
		if err := <-results; err != nil {
			t.Error(err)
		}
	}
}

// TestBusy: while another session holds an item a change of it waits, and
// gives up with CodeBusy when the time is up; Get waits for nobody.
func TestBusy(t *testing.T) {
	address := pgtest.Shared(t).Database(t)
	v := open(t, address)
	version, err := v.Put(t.Context(), noon, vault.Secrets, "RP1", vault.Item{Value: []byte("h1")})
	if err != nil {
		t.Fatal(err)
	}
	other := raw(t, address)
	mustExec(t, other, "BEGIN; SELECT FROM vialwright_vault.item FOR UPDATE")
	if item, err := v.Get(t.Context(), noon, vault.Secrets, "RP1"); err != nil || item.Version != version {
		t.Errorf("Get: version %d, %v", item.Version, err)
	}
	if err := v.db.Use(t.Context(), func(conn *pgx.Conn) error {
		_, err := conn.Exec(t.Context(), "SET lock_timeout = 1")
		return err
	}); err != nil {
		t.Fatal(err)
	}
	if err := v.Remove(t.Context(), vault.Secrets, "RP1", version); store.CodeOf(err) != store.CodeBusy {
		t.Errorf("Remove: %v", err)
	}
	mustExec(t, other, "COMMIT")
	if err := v.Remove(t.Context(), vault.Secrets, "RP1", version); err != nil {
		t.Errorf("free again: %v", err)
	}
}

// TestRestart: a handle outlives a restart of the server, and what was put
// before the server was killed is there.
func TestRestart(t *testing.T) {
	server := pgtest.Start(t)
	v := open(t, server.Database(t))
	version := int64(0)
	for _, value := range []string{"h1", "h2", "h3"} {
		item := vault.Item{Value: []byte(value), Version: version}
		given, err := v.Put(t.Context(), noon, vault.Secrets, "RP1", item)
		if err != nil || given <= version {
			t.Fatalf("version %d after %d, %v", given, version, err)
		}
		version = given
		server.Kill(t)
		server.Restart(t)
		got, err := v.Get(t.Context(), noon, vault.Secrets, "RP1")
		if err != nil || string(got.Value) != value || got.Version != version {
			t.Errorf("version %d, %v", got.Version, err)
		}
	}
	server.Halt(t)
	server.Restart(t, "fsync=off")
	_, err := v.Put(t.Context(), noon, vault.Secrets, "RP1", vault.Item{Version: vault.Any})
	if store.CodeOf(err) != postgres.CodeUnsafe || !strings.Contains(err.Error(), "fsync") {
		t.Errorf("Put with fsync off: %v", err)
	}
}

// BenchmarkPut keeps a session anew, durably, and looks it up.
func BenchmarkPut(b *testing.B) {
	v := open(b, pgtest.Shared(b).Database(b))
	item := vault.Item{Value: make([]byte, 200), Version: vault.Any}
	for b.Loop() {
		if _, err := v.Put(b.Context(), noon, vault.Sessions, "token", item); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkGet looks up a session.
func BenchmarkGet(b *testing.B) {
	v := open(b, pgtest.Shared(b).Database(b))
	if _, err := v.Put(b.Context(), noon, vault.Sessions, "token", vault.Item{Value: make([]byte, 200)}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := v.Get(b.Context(), noon, vault.Sessions, "token"); err != nil {
			b.Fatal(err)
		}
	}
}
