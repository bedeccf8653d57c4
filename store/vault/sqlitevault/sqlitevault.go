// Package sqlitevault is the vault in one SQLite file of its own, beside the
// journal: what may change and be lost stands apart from what may not. A change
// is on stable storage when a call returns (WAL, synchronous FULL). What a
// vault promises is specified in package vault.
package sqlitevault

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"sync"

	_ "modernc.org/sqlite" // the driver

	"vialwright/store"
	"vialwright/store/vault"
)

// File is an open file of a vault.
type File struct {
	vault.Vault
	// mended are the files that others could read until they were opened.
	mended []string
}

// engine runs the statements of a vault in a file; it implements
// [vault.Engine].
type engine struct {
	*sql.DB
	// writing is held by the one who changes something. The engine would let
	// others look again and again, for up to 0.1 s each, and in no order.
	writing sync.Mutex
	// prepared are the statements that look, by their text: every request asks
	// who makes it.
	prepared sync.Map
}

// statement gives a statement that looks, prepared once.
func (e *engine) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	if s, ok := e.prepared.Load(query); ok {
		return s.(*sql.Stmt), nil
	}
	s, err := e.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	if first, there := e.prepared.LoadOrStore(query, s); there {
		return first.(*sql.Stmt), s.Close()
	}
	return s, nil
}

// last is the last version given: none is ever given twice.
const last = "(SELECT last FROM given)"

var dialect = vault.Dialect{
	Item: "item", Version: last, Parameter: "?", Key: func(key string) any { return key },
	Sweep: "DELETE FROM item WHERE expires <= ?1",
}

// application marks the file as ours ("VWKP"); version is that of its layout.
const (
	application = 0x56574b50
	version     = 1
)

// Open opens the file, making it where there is none. It refuses a file of
// another program or of a newer version, and changes nothing in it. The file is
// readable by its owner alone, and made so where it was not ([File.Mended]).
func Open(ctx context.Context, path string) (*File, error) {
	if err := claim(path); err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", path, err)
	}
	q := url.Values{"_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)"}, "_txlock": {"immediate"}}
	db, err := sql.Open("sqlite", "file:"+(&url.URL{Path: path}).EscapedPath()+"?"+q.Encode())
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", path, err)
	}
	if err := prepare(ctx, db); err != nil {
		return nil, errors.Join(fmt.Errorf("%s cannot be used: %w", path, err), db.Close())
	}
	mended, err := tighten(path)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s cannot be kept from others: %w", path, err), db.Close())
	}
	return &File{vault.Over(&engine{DB: db}, dialect), mended}, nil
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
		`CREATE TABLE item (shelf TEXT NOT NULL, key TEXT NOT NULL, value BLOB NOT NULL, version INTEGER NOT NULL, expires INTEGER,
			PRIMARY KEY (shelf, key)) STRICT, WITHOUT ROWID`,
		`CREATE TABLE given (last INTEGER NOT NULL) STRICT`,
		`INSERT INTO given VALUES (0)`,
		fmt.Sprintf("PRAGMA application_id = %d", application),
		fmt.Sprintf("PRAGMA user_version = %d", version),
	} {
		if _, err := tx.ExecContext(ctx, s); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// failed names an error of the database; that of an ended context stays
// itself.
func failed(ctx context.Context, err error) error {
	var own *store.Error
	switch {
	case err == nil, errors.As(err, &own):
		return err
	case ctx.Err() != nil:
		return ctx.Err()
	}
	return &store.Error{Code: store.CodeFailed, Msg: "the vault could not be used", Hint: "look at the disk, and try again", Err: err}
}

// Look implements [vault.Engine].
func (e *engine) Look(ctx context.Context, query string, args []any, dest ...any) (found bool, err error) {
	s, err := e.statement(ctx, query)
	if err == nil {
		err = s.QueryRowContext(ctx, args...).Scan(dest...)
	}
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, failed(ctx, err)
}

// Change implements [vault.Engine]. What is being committed runs to its end.
func (e *engine) Change(ctx context.Context, statement string, args []any, dest ...any) (found bool, err error) {
	e.writing.Lock()
	defer e.writing.Unlock()
	tx, err := e.BeginTx(ctx, nil)
	if err != nil {
		return false, failed(ctx, err)
	}
	defer func() { _ = tx.Rollback() }() // after a commit it does nothing
	if strings.Contains(statement, last) {
		if _, err := tx.ExecContext(ctx, "UPDATE given SET last = last + 1"); err != nil {
			return false, failed(ctx, err)
		}
	}
	if !strings.Contains(statement, "RETURNING") {
		if _, err := tx.ExecContext(ctx, statement, args...); err != nil {
			return false, failed(ctx, err)
		}
		statement, args = "SELECT changes()", nil
	}
	switch err := tx.QueryRowContext(ctx, statement, args...).Scan(dest...); {
	case errors.Is(err, sql.ErrNoRows):
		return false, nil // nothing was changed
	case err != nil:
		return false, failed(ctx, err)
	}
	if err := tx.Commit(); err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			return false, ctx.Err()
		}
		return false, &store.Error{Code: store.CodeUnsure, Msg: "it is not known whether the change was kept", Hint: "look again", Err: err}
	}
	return true, nil
}
