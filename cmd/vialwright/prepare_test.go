package main

import (
	"path/filepath"
	"strings"
	"testing"

	"vialwright/store/postgres/pgtest"
)

// TestPrepareDatabase: an owner prepares a database, another role serves from it,
// and the start says what the database does not keep the journal from.
func TestPrepareDatabase(t *testing.T) {
	server := pgtest.Start(t)
	owner := server.Database(t)
	want(t, 2, "the database has no role bench", "prepare-database", "--journal", owner, "--for", "bench")
	bench := server.Role(t, owner, "bench")
	want(t, 2, "it as postgres://OWNER@HOST/DATABASE", "prepare-database", "--journal", "lab.vialwright", "--for", "bench")
	for range 2 {
		want(t, 0, "bench can read and add records, and alter none", "prepare-database", "--journal", owner, "--for", "bench")
	}
	key := filepath.Join(t.TempDir(), "site.key")
	for address, says := range map[string]string{
		owner: "Look: The database user postgres could alter records: it is a superuser",
		bench: "Look: No synchronous standby server is named",
	} {
		p := serve(t, "--journal", address, "--key", key, "--zone", "Atlantic/Azores")
		if text := p.said.String(); !strings.Contains(text, says) || address == bench && strings.Contains(text, "could alter") {
			t.Errorf("%s", text)
		}
		p.kill()
	}
	want(t, 2, "is on another machine", "verify", "--journal", "postgres://bench@db.example/lab?sslmode=require")
}
