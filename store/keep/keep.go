// Package keep holds what is no fact of a preparation and may change: accounts,
// sessions, half-typed forms. It is a table of named values in one SQLite file
// beside the journal, durable when a call returns (WAL, synchronous FULL).
//
// A value has a shelf and a key, both texts, and is bytes that the table does
// not look into. Losing the file loses no record: people sign in anew, and an
// administrator makes the accounts again.
package keep

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"

	_ "modernc.org/sqlite" // the driver
)

// Table is an open file of values. It may be used by many goroutines.
type Table struct{ db *sql.DB }

// application marks the file as ours ("VWKP"); version is that of its layout.
const (
	application = 0x56574b50
	version     = 1
)

// Open opens the file, making it where there is none. It refuses a file of
// another program or of a newer version, and changes nothing in it.
func Open(ctx context.Context, path string) (*Table, error) {
	q := url.Values{"_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)"}, "_txlock": {"immediate"}}
	db, err := sql.Open("sqlite", "file:"+(&url.URL{Path: path}).EscapedPath()+"?"+q.Encode())
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", path, err)
	}
	if err := prepare(ctx, db); err != nil {
		return nil, errors.Join(fmt.Errorf("%s cannot be used: %w", path, err), db.Close())
	}
	return &Table{db}, nil
}

func prepare(ctx context.Context, db *sql.DB) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // after a commit it does nothing
	var app, layout, tables int
	row := tx.QueryRowContext(ctx, `SELECT a.application_id, u.user_version, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id a, pragma_user_version u`)
	if err := row.Scan(&app, &layout, &tables); err != nil {
		return err
	}
	switch {
	case app == application && layout == version:
		return nil
	case app == application && layout > version:
		return errors.New("it was made by a newer version of this program; use that one")
	case app != 0 || layout != 0 || tables > 0:
		return errors.New("it is the file of another program; choose another path")
	}
	for _, s := range []string{
		`CREATE TABLE kept (shelf TEXT NOT NULL, key TEXT NOT NULL, value BLOB NOT NULL, PRIMARY KEY (shelf, key)) STRICT, WITHOUT ROWID`,
		fmt.Sprintf("PRAGMA application_id = %d", application),
		fmt.Sprintf("PRAGMA user_version = %d", version),
	} {
		if _, err := tx.ExecContext(ctx, s); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// Close closes the file.
func (t *Table) Close() error { return t.db.Close() }

// Get gives a value; false where there is none.
func (t *Table) Get(ctx context.Context, shelf, key string) ([]byte, bool, error) {
	return get(ctx, t.db, shelf, key)
}

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func get(ctx context.Context, q querier, shelf, key string) ([]byte, bool, error) {
	var v []byte
	err := q.QueryRowContext(ctx, "SELECT value FROM kept WHERE shelf = ? AND key = ?", shelf, key).Scan(&v)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	return v, err == nil, err
}

// All gives every value of a shelf in the order of their keys.
func (t *Table) All(ctx context.Context, shelf string) (keys []string, values [][]byte, err error) {
	rows, err := t.db.QueryContext(ctx, "SELECT key, value FROM kept WHERE shelf = ? ORDER BY key", shelf)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var k string
		var v []byte
		if err := rows.Scan(&k, &v); err != nil {
			return nil, nil, err
		}
		keys, values = append(keys, k), append(values, v)
	}
	return keys, values, rows.Err()
}

// Update replaces a value by what change makes of it (nil for none there). A
// nil answer removes it; an error keeps what was there. Updates never overlap.
func (t *Table) Update(ctx context.Context, shelf, key string, change func([]byte) ([]byte, error)) error {
	tx, err := t.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // after a commit it does nothing
	old, _, err := get(ctx, tx, shelf, key)
	if err != nil {
		return err
	}
	v, err := change(old)
	if err != nil {
		return err
	}
	if v == nil {
		_, err = tx.ExecContext(ctx, "DELETE FROM kept WHERE shelf = ? AND key = ?", shelf, key)
	} else {
		_, err = tx.ExecContext(ctx, `INSERT INTO kept (shelf, key, value) VALUES (?, ?, ?)
			ON CONFLICT (shelf, key) DO UPDATE SET value = excluded.value`, shelf, key, v)
	}
	if err != nil {
		return err
	}
	return tx.Commit()
}

// Put keeps a value, in place of the one before; nil removes it.
func (t *Table) Put(ctx context.Context, shelf, key string, v []byte) error {
	return t.Update(ctx, shelf, key, func([]byte) ([]byte, error) { return v, nil })
}
