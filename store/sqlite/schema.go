package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"strings"

	"vialwright/store"
)

const (
	applicationID = 0x5649414C // "VIAL"
	layout        = 1          // user version
)

// schema is the text of each object of the file exactly as SQLite keeps it,
// by name. The limits of the table are those of store.Check.
var schema = []struct{ name, sql string }{
	{"record", `CREATE TABLE record (
  seq INTEGER PRIMARY KEY,
  hash BLOB NOT NULL CHECK (length(hash) = 32),
  body BLOB NOT NULL CHECK (length(body) BETWEEN 1 AND 1048576)
) STRICT`},
	{"record_follows", `CREATE TRIGGER record_follows BEFORE INSERT ON record
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM record)
BEGIN SELECT raise(ABORT, 'a record follows the last one by number'); END`},
	{"record_stays", `CREATE TRIGGER record_stays BEFORE DELETE ON record
BEGIN SELECT raise(ABORT, 'a record is never removed'); END`},
	{"record_unchanged", `CREATE TRIGGER record_unchanged BEFORE UPDATE ON record
BEGIN SELECT raise(ABORT, 'a record is never changed'); END`},
}

// writeSchema makes the objects and marks the file, in one transaction, so
// that a creation cut short leaves an empty database.
func writeSchema(ctx context.Context, db *sql.DB) error {
	script := []string{"BEGIN EXCLUSIVE"}
	for _, object := range schema {
		script = append(script, object.sql)
	}
	script = append(script,
		fmt.Sprintf("PRAGMA application_id = %d", applicationID),
		fmt.Sprintf("PRAGMA user_version = %d", layout),
		"COMMIT", "")
	_, err := db.ExecContext(ctx, strings.Join(script, ";\n"))
	return err
}

// checkMarks refuses a database that is not marked as a log of this layout.
func checkMarks(ctx context.Context, db *sql.DB) error {
	var id, version int64
	row := db.QueryRowContext(ctx, "SELECT application_id, user_version FROM pragma_application_id, pragma_user_version")
	if err := row.Scan(&id, &version); err != nil {
		return failure(ctx, "reading the marks of the file", err)
	}
	return refuseMarks(id, version)
}

// refuseMarks says why a file with these marks is not opened, or nil.
func refuseMarks(id, version int64) error {
	if id != applicationID {
		return &store.Error{
			Code: store.CodeForeign, Msg: "the database is not a journal of this program",
			Hint: "look at the file name; the file was left as it is",
		}
	}
	return store.CheckLayout(version, layout, "file")
}

// checkSchema refuses a database whose objects are not those of schema: a
// dropped trigger no longer guards, an added one may change what is written.
// Objects named sqlite_... are the engine's own.
func checkSchema(ctx context.Context, db *sql.DB) error {
	rows, err := db.QueryContext(ctx, `SELECT name, coalesce(sql, '') FROM sqlite_schema
		WHERE name NOT LIKE 'sqlite\_%' ESCAPE '\' ORDER BY name`)
	if err != nil {
		return failure(ctx, "reading the tables of the file", err)
	}
	defer rows.Close()

	n := 0
	for ; rows.Next(); n++ {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			return failure(ctx, "reading the tables of the file", err)
		}
		if n == len(schema) || schema[n].name != name || schema[n].sql != text {
			return store.Altered(fmt.Sprintf("%q is not what this program made", name))
		}
	}
	if err := rows.Err(); err != nil {
		return failure(ctx, "reading the tables of the file", err)
	}
	if n < len(schema) {
		return store.Altered(fmt.Sprintf("%q is missing", schema[n].name))
	}
	return nil
}
