// Package keep is the vault in one SQLite file of its own, beside the journal:
// what may change and be lost stands apart from what may not. A change is on
// stable storage when a call returns (WAL, synchronous FULL). What a vault
// promises is specified in package vault.
package keep

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver

	"vialwright/store"
	"vialwright/store/vault"
)

// File is an open file of a vault; it implements [vault.Vault].
type File struct {
	db *sql.DB
	// turn is held for reading by every call and for writing by Close, which
	// so waits for the calls in progress.
	turn   sync.RWMutex
	closed bool
	// writing is held by the one who changes something. The engine would let
	// others look again and again, for up to 0.1 s each, and in no order.
	writing sync.Mutex
	// mended are the files that others could read until they were opened.
	mended []string
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
	return &File{db: db, mended: mended}, nil
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
		// The last version given: no version is ever given twice.
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

// Close waits for calls in progress and closes the file. Closing again does
// nothing.
func (f *File) Close() error {
	f.turn.Lock()
	defer f.turn.Unlock()
	if f.closed {
		return nil
	}
	f.closed = true
	return f.db.Close()
}

// begin holds the file open for a call; done gives it back.
func (f *File) begin() (done func(), err error) {
	f.turn.RLock()
	if f.closed {
		f.turn.RUnlock()
		return nil, &store.Error{Code: store.CodeClosed, Msg: "the vault is closed", Hint: "open it again"}
	}
	return f.turn.RUnlock, nil
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

// in runs change in a transaction of its own. What is being committed runs to
// its end.
func (f *File) in(ctx context.Context, change func(*sql.Tx) error) error {
	f.writing.Lock()
	defer f.writing.Unlock()
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return failed(ctx, err)
	}
	defer func() { _ = tx.Rollback() }() // after a commit it does nothing
	if err := change(tx); err != nil {
		return failed(ctx, err)
	}
	if err := tx.Commit(); err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			return ctx.Err()
		}
		return &store.Error{Code: store.CodeUnsure, Msg: "it is not known whether the change was kept", Hint: "look again", Err: err}
	}
	return nil
}

// Get implements [vault.Vault].
func (f *File) Get(ctx context.Context, now time.Time, shelf vault.Shelf, key string) (vault.Item, error) {
	done, err := f.begin()
	if err != nil {
		return vault.Item{}, err
	}
	defer done()
	if err := vault.Check(ctx, shelf, key, nil); err != nil {
		return vault.Item{}, err
	}
	item, err := get(ctx, f.db, shelf, key)
	if err != nil {
		return vault.Item{}, failed(ctx, err)
	}
	return there(item, now), nil
}

// there is the item, or none if it has expired.
func there(item vault.Item, now time.Time) vault.Item {
	if !item.Expires.IsZero() && !now.Before(item.Expires) {
		return vault.Item{}
	}
	return item
}

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func get(ctx context.Context, q querier, shelf vault.Shelf, key string) (vault.Item, error) {
	var item vault.Item
	var expires sql.NullInt64
	row := q.QueryRowContext(ctx, "SELECT value, version, expires FROM item WHERE shelf = ? AND key = ?", string(shelf), key)
	err := row.Scan(&item.Value, &item.Version, &expires)
	if errors.Is(err, sql.ErrNoRows) {
		return vault.Item{}, nil
	}
	if expires.Valid {
		item.Expires = time.UnixMicro(expires.Int64).UTC()
	}
	return item, err
}

// Put implements [vault.Vault].
func (f *File) Put(ctx context.Context, now time.Time, shelf vault.Shelf, key string, item vault.Item) (given int64, err error) {
	done, err := f.begin()
	if err != nil {
		return 0, err
	}
	defer done()
	if err := vault.Check(ctx, shelf, key, item.Value); err != nil {
		return 0, err
	}
	err = f.in(ctx, func(tx *sql.Tx) error {
		old, err := get(ctx, tx, shelf, key)
		if err != nil {
			return err
		}
		if have := there(old, now).Version; item.Version != vault.Any && item.Version != have {
			return vault.Conflict()
		}
		if err := tx.QueryRowContext(ctx, "UPDATE given SET last = last + 1 RETURNING last").Scan(&given); err != nil {
			return err
		}
		var expires sql.NullInt64
		expires.Int64, expires.Valid = vault.Micros(item.Expires)
		value := item.Value
		if value == nil {
			value = []byte{} // SQLite would keep NULL for no bytes
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO item (shelf, key, value, version, expires) VALUES (?, ?, ?, ?, ?)
			ON CONFLICT (shelf, key) DO UPDATE SET value = excluded.value, version = excluded.version, expires = excluded.expires`,
			string(shelf), key, value, given, expires)
		return err
	})
	if err != nil {
		return 0, err
	}
	return given, nil
}

// Remove implements [vault.Vault].
func (f *File) Remove(ctx context.Context, shelf vault.Shelf, key string, version int64) error {
	done, err := f.begin()
	if err != nil {
		return err
	}
	defer done()
	if err := vault.Check(ctx, shelf, key, nil); err != nil {
		return err
	}
	return f.in(ctx, func(tx *sql.Tx) error {
		old, err := get(ctx, tx, shelf, key)
		if err != nil {
			return err
		}
		if version != vault.Any && (version == 0 || version != old.Version) {
			return vault.Conflict()
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM item WHERE shelf = ? AND key = ?", string(shelf), key)
		return err
	})
}

// Sweep implements [vault.Vault].
func (f *File) Sweep(ctx context.Context, now time.Time) (removed int, err error) {
	done, err := f.begin()
	if err != nil {
		return 0, err
	}
	defer done()
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	err = f.in(ctx, func(tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, "DELETE FROM item WHERE expires <= ?", now.UnixMicro())
		if err != nil {
			return err
		}
		n, err := r.RowsAffected()
		removed = int(n)
		return err
	})
	return removed, err
}
