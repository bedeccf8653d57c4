package storetest

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/jackc/pgx/v5"
	"go.uber.org/goleak"

	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/sqlite"
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

// engine is one that keeps a log: how one is made at a place of its own, how it is opened
// again, and how another program sends a statement there, with the engine's own defaults.
type engine struct {
	place        func(testing.TB) string
	create, open func(ctx context.Context, place string) (store.Log, error)
	exec         func(t testing.TB, place, statement string) error
}

// opened is a log of whatever engine.
func opened[L store.Log](log L, err error) (store.Log, error) { return log, err }

var engines = map[string]engine{
	"SQLite": {
		place:  func(t testing.TB) string { return filepath.Join(t.TempDir(), "log") },
		create: func(ctx context.Context, path string) (store.Log, error) { return opened(sqlite.Create(ctx, path)) },
		open:   func(ctx context.Context, path string) (store.Log, error) { return opened(sqlite.Open(ctx, path)) },
		exec: func(t testing.TB, path, statement string) error {
			db, err := sql.Open("sqlite", path)
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			_, err = db.ExecContext(t.Context(), statement)
			return err
		},
	},
	"PostgreSQL": {
		place: func(t testing.TB) string { return pgtest.Shared(t).Database(t) },
		create: func(ctx context.Context, address string) (store.Log, error) {
			return opened(postgres.Create(ctx, address))
		},
		open: func(ctx context.Context, address string) (store.Log, error) {
			return opened(postgres.Open(ctx, address))
		},
		exec: func(t testing.TB, address, statement string) error {
			conn, err := pgx.Connect(t.Context(), address)
			if err != nil {
				t.Fatal(err)
			}
			defer conn.Close(context.Background())
			if _, err := conn.Exec(t.Context(), "SET search_path = vialwright"); err != nil {
				t.Fatal(err)
			}
			_, err = conn.Exec(t.Context(), statement)
			return err
		},
	},
}

// opener opens logs of the engine for the suite, and tells where the last of them lies.
func (e engine) opener(place *string) opener {
	must := func(t *testing.T, log store.Log, err error) store.Log {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return log
	}
	return func(t *testing.T) (store.Log, func() store.Log) {
		at := e.place(t)
		*place = at
		log, err := e.create(t.Context(), at)
		return must(t, log, err), func() store.Log {
			log, err := e.open(t.Context(), at)
			return must(t, log, err)
		}
	}
}

// TestEngines: each engine is a log, and no other program changes what is written there by
// mistake, in SQL that both speak.
func TestEngines(t *testing.T) {
	for name, e := range engines {
		t.Run(name, func(t *testing.T) {
			place := e.place(t) // skips where there is no such engine
			run(t, e.opener(&place))
			t.Run("AppendOnly", func(t *testing.T) {
				appendOnly(t, e.opener(&place), func(statement string) error { return e.exec(t, place, statement) })
			})
		})
	}
}
