package postgres

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/storetest"
)

// TestPrivate: beyond this machine a server has to prove that it is the one meant,
// with each of the hosts that an address names. The modes are those of PostgreSQL
// ("SSL Support", "Protection Provided in Different Modes").
func TestPrivate(t *testing.T) {
	for address, refused := range map[string]bool{
		"postgres://bench@db.example/lab":                                           true, // prefer
		"postgres://bench@db.example/lab?sslmode=disable":                           true,
		"postgres://bench@db.example/lab?sslmode=allow":                             true,
		"postgres://bench@db.example/lab?sslmode=require":                           true,
		"postgres://bench@192.0.2.1/lab?sslmode=verify-ca":                          true,
		"postgres://bench@db.example/lab?sslmode=verify-full":                       false,
		"postgres://bench@db.example,db2.example/lab?sslmode=verify-full":           false,
		"postgres://bench@localhost,db2.example/lab?sslmode=require":                true,
		"postgres://bench@127.0.0.1/lab?sslmode=disable":                            false,
		"postgres://bench@[::1]/lab":                                                false,
		"postgres://bench@localhost:5433/lab":                                       false,
		"postgres:///lab?host=/run/postgresql&user=bench&sslmode=disable":           false,
		"postgres:///lab?host=/run/postgresql,db.example&user=bench&sslmode=prefer": true,
	} {
		_, err := configure(address, writing)
		if refused && (store.CodeOf(err) != CodeUnsafe || !strings.Contains(err.Error(), "another machine")) || !refused && err != nil {
			t.Errorf("%s: %v", address, err)
		}
	}
}

// failovers is how often a primary server is lost.
func failovers() int {
	if os.Getenv("VIALWRIGHT_LONG") == "1" {
		return 10
	}
	return 1
}

// TestFailover: the primary server is killed while benches append, and the standby
// that it waited for takes its place. Every append that was answered is there,
// whole, and the same handles go on by themselves.
func TestFailover(t *testing.T) {
	rng := rand.New(rand.NewPCG(20270304, 1112))
	answered, unsure := 0, atomic.Int64{}
	for range failovers() {
		primary, standby := pgtest.StartPair(t)
		primary.Database(t) // from here on the standby is there
		address := primary.Either(standby, "postgres")
		first, err := Create(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		closeAtEnd(t, first)
		benches := []*Log{first, open(t, address), open(t, address)}
		killed := uint64(20 + rng.IntN(200))
		down, over := make(chan struct{}), make(chan struct{})
		acked := make([][]store.Record, len(benches))
		kill := sync.OnceFunc(func() { close(down) })
		var all sync.WaitGroup
		for i, l := range benches {
			all.Go(func() {
				after := 0
				for n := 0; after < 20; n++ {
					r, err := tryAppend(t, l, fmt.Sprintf("bench %d, record %d", i, n))
					switch store.CodeOf(err) {
					case "":
						acked[i] = append(acked[i], r)
					case store.CodeUnsure:
						unsure.Add(1)
					case store.CodeConflict, store.CodeFailed, store.CodeBusy, store.CodeReadOnly:
					default:
						t.Errorf("bench %d: %v", i, err)
					}
					if r.Seq >= killed {
						kill()
					}
					select {
					case <-over:
						if err == nil {
							after++
						}
					default:
					}
				}
			})
		}
		<-down
		primary.Kill(t)
		standby.Promote(t)
		close(over)
		all.Wait()
		got, err := readAll(t.Context(), open(t, address))
		if err != nil {
			t.Fatal(err)
		}
		for i := range acked {
			for _, r := range acked[i] {
				if answered++; r.Seq > uint64(len(got)) || got[r.Seq-1].Head() != r.Head() {
					t.Errorf("record %d of bench %d was answered, and is not there", r.Seq, i)
				}
			}
		}
	}
	t.Logf("%d records were answered, all are there; %d were unsure", answered, unsure.Load())
}

// TestLostBeforeStandby: a session that waits for the standby server is ended, as when
// the primary is started again. Its record is there at once, and is answered only when
// the standby has it.
func TestLostBeforeStandby(t *testing.T) {
	primary, standby := pgtest.StartPair(t)
	address := primary.Database(t)
	l, err := Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	head := appendBodies(t, l, "one")[0].Head()
	standby.Halt(t)
	r := storetest.Chain(head, []byte("fateful"))[0]
	done := make(chan error, 1)
	go func() { done <- l.Append(t.Context(), head, r) }()
	admin := raw(t, address)
	waiting := func(not int) (pid int) { // for the standby server
		t.Helper()
		const session = "SELECT coalesce(min(pid), 0) FROM pg_stat_activity WHERE wait_event = 'SyncRep' AND pid <> $1"
		for pid == 0 {
			select {
			case err := <-done:
				t.Fatalf("answered with %v before the standby has it", err)
			default:
			}
			if err := admin.QueryRow(t.Context(), session, not).Scan(&pid); err != nil {
				t.Fatal(err)
			}
		}
		return pid
	}
	first := waiting(0)
	mustExec(t, admin, fmt.Sprintf("SELECT pg_terminate_backend(%d)", first))
	waiting(first) // the record was found
	cfg, err := pgx.ParseConfig(address)
	if err != nil {
		t.Fatal(err)
	}
	standby.Restart(t, "primary_conninfo=host="+cfg.Host+" user=postgres")
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if got, err := readAll(t.Context(), l); err != nil || len(got) != 2 || got[1].Head() != r.Head() {
		t.Errorf("%d records are there, want 2 (%v)", len(got), err)
	}
}

// tryAppend appends one record behind the head as it is just now.
func tryAppend(t *testing.T, l *Log, body string) (store.Record, error) {
	head, err := l.Head(t.Context())
	if err != nil {
		return store.Record{}, err
	}
	r := storetest.Chain(head, []byte(body))[0]
	return r, l.Append(t.Context(), head, r)
}

// TestExposed: what a database does not keep the journal from is said, and a role
// that was granted what it needs can do nothing else.
func TestExposed(t *testing.T) {
	superuser := pgtest.Start(t).Database(t)
	l, err := Create(t.Context(), superuser)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	appendBodies(t, l, "one")
	says := func(l *Log) string {
		t.Helper()
		sentences, err := l.Exposed(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(sentences, "\n")
	}
	if text := says(l); !strings.Contains(text, "is a superuser") || !strings.Contains(text, "No synchronous standby") {
		t.Errorf("a superuser: %s", text)
	}
	if err := Grant(t.Context(), superuser, "bench"); store.CodeOf(err) != store.CodeFailed || !strings.Contains(err.Error(), "no role bench") {
		t.Errorf("no such role: %v", err)
	}
	conn := raw(t, superuser)
	mustExec(t, conn, "CREATE ROLE bench LOGIN; GRANT ALL ON SCHEMA vialwright TO bench; GRANT ALL ON vialwright.record, vialwright.layout TO bench")
	if text := says(open(t, withUser(t, superuser, "bench"))); !strings.Contains(text, "more with the records") || !strings.Contains(text, "may create objects") {
		t.Errorf("one who was granted all: %s", text)
	}
	for range 2 {
		if err := Grant(t.Context(), superuser, "bench"); err != nil {
			t.Fatal(err)
		}
	}
	bench := open(t, withUser(t, superuser, "bench"))
	if text := says(bench); strings.Contains(text, "could alter") {
		t.Errorf("one who was granted what it needs: %s", text)
	}
	want := len(appendBodies(t, bench, "two")) + 1
	own := raw(t, withUser(t, superuser, "bench"))
	for _, statement := range []string{
		"UPDATE vialwright.record SET body = hash", "DELETE FROM vialwright.record", "TRUNCATE vialwright.record",
		"INSERT INTO vialwright.layout (alone, mark, version) VALUES (false, 1, 1)", "UPDATE vialwright.layout SET version = 2",
		"ALTER TABLE vialwright.record DISABLE TRIGGER ALL", "DROP TRIGGER record_stays ON vialwright.record",
		"DROP TABLE vialwright.record", "DROP SCHEMA vialwright CASCADE", "ALTER TABLE vialwright.record OWNER TO bench",
		"CREATE OR REPLACE FUNCTION vialwright.refuse() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'",
		"CREATE TRIGGER a BEFORE INSERT ON vialwright.record FOR EACH ROW EXECUTE FUNCTION vialwright.refuse()",
		"CREATE RULE r AS ON INSERT TO vialwright.record DO INSTEAD NOTHING", "SET session_replication_role = replica",
		"GRANT UPDATE ON vialwright.record TO bench", "SET ROLE postgres", "COPY vialwright.record TO PROGRAM 'cat'",
	} {
		if _, err := own.Exec(t.Context(), statement); err == nil && !strings.HasPrefix(statement, "GRANT") {
			t.Errorf("accepted: %s", statement)
		}
		if got, err := readAll(t.Context(), bench); err != nil || len(got) != want {
			t.Fatalf("after %s: %d records, %v", statement, len(got), err)
		}
	}
	if text := says(bench); strings.Contains(text, "could alter") {
		t.Errorf("afterwards: %s", text)
	}
}
