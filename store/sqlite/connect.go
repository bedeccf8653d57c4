package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"vialwright/store"
)

// settings are the pragmas of every connection, in this order. busy_timeout
// comes first since the others may have to wait too. recursive_triggers makes
// INSERT OR REPLACE meet the trigger against removal; the next two look at a
// damaged or hostile file with more suspicion.
var settings = []string{
	"busy_timeout(10000)",
	"synchronous(FULL)",
	"fullfsync(ON)",
	"checkpoint_fullfsync(ON)",
	"foreign_keys(ON)",
	"recursive_triggers(ON)",
	"cell_size_check(ON)",
	"trusted_schema(OFF)",
	autoMove,
}

// openPool opens a pool of connections to path; query goes into the address,
// mode is that of SQLite's file addresses (ro, rw).
func openPool(path, mode string, pragmas []string) (*sql.DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") { // C:/...
		slashed = "/" + slashed
	}
	query := "mode=" + mode + "&_defensive=1&_dqs=0&_error_rc=1"
	for _, pragma := range pragmas {
		query += "&_pragma=" + url.QueryEscape(pragma)
	}
	address := url.URL{Scheme: "file", Path: slashed, RawQuery: query}
	return sql.Open("sqlite", address.String())
}

// connect opens both pools for reading and writing and checks the file.
func (l *Log) connect(ctx context.Context) (err error) {
	if l.writer, err = openPool(l.path, "rw", settings); err != nil {
		return failure(ctx, "opening the journal", err)
	}
	l.writer.SetMaxOpenConns(1)
	// The header was read from the file; what counts may be in the -wal file.
	if err := checkMarks(ctx, l.writer); err != nil {
		return err
	}
	if err := checkSchema(ctx, l.writer); err != nil {
		return err
	}
	if err := errors.Join(setWAL(ctx, l.writer), l.prepare(ctx)); err != nil {
		return failure(ctx, "opening the journal", err)
	}
	return l.connectReaders(ctx, "rw")
}

// setWAL puts the file into WAL mode. Unlike the other pragmas this one is
// kept in the file, so that one connection sets it for all.
func setWAL(ctx context.Context, db *sql.DB) error {
	var mode string
	if err := db.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return err
	}
	if mode != "wal" {
		return &store.Error{
			Code: store.CodeFailed, Msg: "the file system cannot share memory between programs, which the journal needs",
			Hint: "put the journal on a local disk",
		}
	}
	return nil
}

func (l *Log) prepare(ctx context.Context) (err error) {
	if l.conn, err = l.writer.Conn(ctx); err != nil {
		return err
	}
	for _, s := range []struct {
		stmt **sql.Stmt
		text string
	}{
		{&l.stmt.begin, "BEGIN IMMEDIATE"},
		{&l.stmt.last, selectHead},
		{&l.stmt.insert, "INSERT INTO record (seq, hash, body) VALUES (?, ?, ?)"},
		{&l.stmt.commit, "COMMIT"},
		{&l.stmt.rollback, "ROLLBACK"},
	} {
		if *s.stmt, err = l.conn.PrepareContext(ctx, s.text); err != nil {
			return err
		}
	}
	return nil
}

// connectReadOnly opens the reading pool alone. The -wal file is there while
// any connection is open and after one was cut off; without it the file is
// complete and nobody is at it.
func (l *Log) connectReadOnly(ctx context.Context) error {
	mode := "ro"
	info, err := os.Stat(l.path)
	if err != nil {
		return failure(ctx, "looking at the journal", err)
	}
	if _, err := os.Stat(l.path + "-wal"); errors.Is(err, os.ErrNotExist) {
		mode, l.settled = "ro&immutable=1", info
	}
	if err := l.connectReaders(ctx, mode); err != nil {
		return err
	}
	return checkMarks(ctx, l.readers)
}

func (l *Log) connectReaders(ctx context.Context, mode string) (err error) {
	if l.readers, err = openPool(l.path, mode, slices.Concat(settings, []string{"query_only(ON)"})); err != nil {
		return failure(ctx, "opening the journal", err)
	}
	l.readers.SetMaxIdleConns(4)
	if l.last, err = l.readers.PrepareContext(ctx, selectHead); err != nil {
		return failure(ctx, "opening the journal", err)
	}
	return nil
}
