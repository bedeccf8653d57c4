package vaulttest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"go.uber.org/goleak"

	"vialwright/store/postgres/pgtest"
	"vialwright/store/vault"
	"vialwright/store/vault/postgresvault"
	"vialwright/store/vault/sqlitevault"
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

// engines are what keeps a vault: where one may lie, and how it is opened there.
var engines = map[string]struct {
	place func(testing.TB) string
	open  func(ctx context.Context, place string) (vault.Vault, error)
}{
	"SQLite": {
		func(t testing.TB) string { return filepath.Join(t.TempDir(), "a b#?.kept") }, // a name that needs escaping
		func(ctx context.Context, path string) (vault.Vault, error) { return sqlitevault.Open(ctx, path) },
	},
	"PostgreSQL": {
		func(t testing.TB) string { return pgtest.Shared(t).Database(t) },
		func(ctx context.Context, address string) (vault.Vault, error) {
			return postgresvault.Open(ctx, address)
		},
	},
}

// TestEngines: each engine is a vault.
func TestEngines(t *testing.T) {
	for name, e := range engines {
		t.Run(name, func(t *testing.T) {
			e.place(t) // skips where there is no such engine
			run(t, func(t *testing.T) (vault.Vault, func() vault.Vault) {
				place := e.place(t)
				open := func() vault.Vault {
					v, err := e.open(t.Context(), place)
					if err != nil {
						t.Fatal(err)
					}
					return v
				}
				return open(), open
			})
		})
	}
}
