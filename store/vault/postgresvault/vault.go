// Package postgresvault is the vault in the PostgreSQL database that holds the
// journal (package store/postgres), under the same address. A change is on
// stable storage when a call returns. What a vault promises is specified in
// package vault.
//
// # The database
//
//	schema vialwright_vault
//	  table layout    mark     integer   0x564B4550, the letters VKEP
//	                  version  integer   1, the version of this layout
//	  table item      shelf    text
//	                  key      bytea
//	                  version  bigint
//	                  expires  bigint    microseconds since 1970, or NULL
//	                  value    bytea
//	  sequence given           the versions
//
// It stands apart from the schema of the journal, so that the rights to change
// and to remove end there, and a dump of the journal (pg_dump --schema
// vialwright) has no hash of a password in it. [Open] makes what is not there.
// Another user than the one who did works with
//
//	GRANT USAGE ON SCHEMA vialwright_vault TO bench;
//	GRANT SELECT ON vialwright_vault.layout TO bench;
//	GRANT SELECT, INSERT, UPDATE, DELETE ON vialwright_vault.item TO bench;
//	GRANT USAGE ON SEQUENCE vialwright_vault.given TO bench;
//
// A schema of that name of another program or a newer version is refused and
// left as it is. Get waits for nobody, except for the outcome of a change that
// was in doubt (see package store/postgres).
//
// # Worked example
//
// After Put(Secrets, "RP1", {"h1"}),
//
//	SELECT shelf, convert_from(key, 'UTF8'), version FROM vialwright_vault.item
//
// gives secret, RP1, 1.
package postgresvault

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/vault"
)

// Vault is a vault in a database.
type Vault struct {
	vault.Vault
	db *postgres.Beside
}

var dialect = vault.Dialect{
	Item: "vialwright_vault.item", Version: "nextval('vialwright_vault.given')", Parameter: "$", Key: func(key string) any { return []byte(key) },
	// Locked in order, so that two who sweep do not wait for each other.
	Sweep: `WITH past AS (
			SELECT shelf, key FROM vialwright_vault.item WHERE expires <= $1 ORDER BY shelf, key FOR UPDATE
		), gone AS (
			DELETE FROM vialwright_vault.item i USING past
			WHERE i.shelf = past.shelf AND i.key = past.key AND i.expires <= $1 RETURNING 1
		) SELECT count(*) FROM gone`,
}

// Open opens the vault in the database at address, and makes it where there
// is none. Errors, with codes of package store: CodeMissing when there is no
// such database, CodeForeign, CodeNewer, CodeReadOnly, CodeBusy, CodeFailed,
// and CodeUnsafe of package store/postgres.
func Open(ctx context.Context, address string) (*Vault, error) {
	db, err := postgres.Connect(address)
	if err != nil {
		return nil, err
	}
	if err := db.Use(ctx, func(conn *pgx.Conn) error { return prepare(ctx, conn) }); err != nil {
		_ = db.Close()
		return nil, err
	}
	return &Vault{vault.Over(db, dialect), db}, nil
}

// There tells whether the database at address has a vault. Errors: as of [Open].
func There(ctx context.Context, address string) (there bool, err error) {
	db, err := postgres.Connect(address)
	if err != nil {
		return false, err
	}
	defer db.Close()
	_, err = db.Look(ctx, "SELECT to_regclass('vialwright_vault.layout') IS NOT NULL", nil, &there)
	return there, err
}

// Grant lets a role that is there use the vault. The address is that of the owner.
// Errors: as of [Open].
func Grant(ctx context.Context, address, role string) error {
	db, err := postgres.Connect(address)
	if err != nil {
		return err
	}
	defer db.Close()
	to := pgx.Identifier{role}.Sanitize()
	return db.Use(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `BEGIN;
			GRANT USAGE ON SCHEMA vialwright_vault TO `+to+`;
			GRANT SELECT ON vialwright_vault.layout TO `+to+`;
			GRANT SELECT, INSERT, UPDATE, DELETE ON vialwright_vault.item TO `+to+`;
			GRANT USAGE ON SEQUENCE vialwright_vault.given TO `+to+`;
			COMMIT`)
		return err
	})
}

const (
	mark   = 0x564B4550 // "VKEP"
	layout = 1
)

const create = `
CREATE TABLE vialwright_vault.layout (
  alone boolean PRIMARY KEY DEFAULT true CHECK (alone),
  mark integer NOT NULL,
  version integer NOT NULL
);
CREATE TABLE vialwright_vault.item (
  shelf text NOT NULL,
  key bytea NOT NULL,
  version bigint NOT NULL UNIQUE,
  expires bigint,
  value bytea NOT NULL,
  PRIMARY KEY (shelf, key)
);
CREATE SEQUENCE vialwright_vault.given;`

// prepare makes the vault where there is none, and refuses what is another's.
func prepare(ctx context.Context, conn *pgx.Conn) error {
	const look = `SELECT to_regnamespace('vialwright_vault') IS NULL, to_regclass('vialwright_vault.layout') IS NOT NULL,
		(SELECT count(*) FROM pg_class WHERE relnamespace = to_regnamespace('vialwright_vault'))`
	var none, table bool
	var objects int
	// Two who come first at the same time take turns.
	if _, err := conn.Exec(ctx, fmt.Sprintf("BEGIN; SELECT pg_advisory_xact_lock(%d, 0)", mark)); err != nil {
		return err
	}
	if err := conn.QueryRow(ctx, look).Scan(&none, &table, &objects); err != nil {
		return err
	}
	switch {
	case table:
		return checkMarks(ctx, conn)
	case objects > 0:
		return foreign()
	case none:
		if _, err := conn.Exec(ctx, "CREATE SCHEMA vialwright_vault"); err != nil {
			return err
		}
	}
	_, err := conn.Exec(ctx, fmt.Sprintf("%s INSERT INTO vialwright_vault.layout (mark, version) VALUES (%d, %d); COMMIT", create, mark, layout))
	return err
}

// checkMarks refuses a vault that is not of this layout.
func checkMarks(ctx context.Context, conn *pgx.Conn) error {
	var found string
	// As a row, so that other columns are no error.
	const query = "SELECT coalesce((SELECT to_jsonb(l)->>'mark' || ' ' || (to_jsonb(l)->>'version') FROM vialwright_vault.layout l LIMIT 1), '')"
	if err := conn.QueryRow(ctx, query).Scan(&found); err != nil {
		return err
	}
	var id, version int64
	if n, err := fmt.Sscanf(found, "%d %d", &id, &version); n != 2 || err != nil || id != mark || version < layout {
		return foreign()
	}
	if version > layout {
		return &store.Error{
			Code: store.CodeNewer,
			Msg:  fmt.Sprintf("the vault has layout %d, this program knows layout %d", version, layout),
			Hint: "use the version of the program that wrote it, or a later one; the database was left as it is",
		}
	}
	return nil
}

func foreign() error {
	return &store.Error{
		Code: store.CodeForeign, Msg: "the schema vialwright_vault of the database is not a vault of this program",
		Hint: "use another database; this one was left as it is",
	}
}
