package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"os"

	"vialwright/store"
)

// Log is a log in a SQLite file. It implements store.Log.
type Log struct {
	path   string
	handle store.Handle
	opened os.FileInfo // the file that was opened for writing
	tail   tail        // what was found in the -wal file when it was opened

	// Appending: one connection, used by the one whose turn it is. All nil when
	// the log is open for reading only.
	writer *sql.DB
	conn   *sql.Conn
	stmt   statements
	settle *settler

	readers *sql.DB
	last    *sql.Stmt
	settled os.FileInfo // the file as found when it is read without locks, else nil
}

var _ store.Log = (*Log)(nil)

// statements are prepared once on the connection that appends.
type statements struct {
	begin, last, insert, commit, rollback *sql.Stmt
}

const selectHead = "SELECT seq, hash FROM record ORDER BY seq DESC LIMIT 1"

// Close implements store.Log.
func (l *Log) Close() error {
	return l.handle.Close(func() error {
		if err := l.disconnect(); err != nil {
			return &store.Error{Code: store.CodeFailed, Msg: "closing the journal", Err: err}
		}
		return nil
	})
}

// disconnect closes what is open, the writer last: the last connection to go
// moves the -wal file into the file.
func (l *Log) disconnect() error {
	var errs []error
	if l.settle != nil {
		errs = append(errs, l.settle.close())
	}
	if l.readers != nil {
		errs = append(errs, l.readers.Close())
	}
	// A pool closes its own statements, but not those of a single
	// connection, and SQLite keeps a connection open for them.
	s := l.stmt
	for _, stmt := range []*sql.Stmt{s.begin, s.last, s.insert, s.commit, s.rollback} {
		if stmt != nil {
			errs = append(errs, stmt.Close())
		}
	}
	if l.conn != nil {
		errs = append(errs, l.conn.Close())
	}
	if l.writer != nil {
		errs = append(errs, l.writer.Close())
	}
	return errors.Join(errs...)
}

// Append implements store.Log.
func (l *Log) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	return l.handle.Append(ctx, expect, records, l.transact)
}

// transact appends in one transaction. Only the wait for the lock heeds the
// context: a statement cut off in the middle would leave the outcome open.
func (l *Log) transact(ctx context.Context, expect store.Head, records []store.Record) error {
	whole := context.WithoutCancel(ctx)
	if err := l.there(); err != nil {
		return err
	}
	if _, err := l.stmt.begin.ExecContext(ctx); err != nil {
		l.rollback(whole) // it may have begun all the same
		return failure(ctx, "waiting for the journal", err)
	}
	if err := l.insert(whole, expect, records); err != nil {
		l.rollback(whole)
		return err
	}
	if _, err := l.stmt.commit.ExecContext(whole); err != nil {
		l.rollback(whole)
		return unsure(err)
	}
	l.settle.appended(records)
	return nil
}

// there refuses to write to a file that no longer lies where it was opened: what
// is written to one that was removed is gone with the program, and what is written
// beside one that was put in its place is in neither.
func (l *Log) there() error {
	info, err := os.Stat(l.path)
	if err == nil && os.SameFile(info, l.opened) {
		return nil
	}
	return &store.Error{
		Code: store.CodeReplaced, Msg: "the file of the journal was removed or replaced while it was in use", Err: err,
		Hint: "nothing more is recorded; work on paper, look for the file that was there, and start the program again with it",
	}
}

// rollback ends the transaction if there is one. That there is none, or that
// SQLite has ended it, is an error of the statement and nothing else.
func (l *Log) rollback(ctx context.Context) { _, _ = l.stmt.rollback.ExecContext(ctx) }

// insert compares the head and adds the records, inside the transaction.
func (l *Log) insert(ctx context.Context, expect store.Head, records []store.Record) error {
	have, err := scanHead(l.stmt.last.QueryRowContext(ctx))
	if err != nil {
		return failure(ctx, "reading the head of the journal", err)
	}
	if have != expect {
		return &store.ConflictError{Have: have, Expected: expect}
	}
	for _, r := range records {
		if _, err := l.stmt.insert.ExecContext(ctx, int64(r.Seq), r.Hash[:], r.Body); err != nil {
			return failure(ctx, "writing to the journal", err)
		}
	}
	return nil
}

// Head implements store.Log.
func (l *Log) Head(ctx context.Context) (store.Head, error) {
	if err := l.handle.Usable(); err != nil {
		return store.Head{}, err
	}
	head, err := scanHead(l.last.QueryRowContext(ctx))
	if err != nil {
		return store.Head{}, l.readFailure(ctx, "reading the head of the journal", err)
	}
	return head, l.unchanged()
}

// readFailure is failure for a reader, which Close does not wait for: what
// fails for no named reason on a closed log fails because it is closed.
func (l *Log) readFailure(ctx context.Context, doing string, err error) error {
	err = failure(ctx, doing, err)
	if closed := l.handle.Usable(); closed != nil && store.CodeOf(err) == store.CodeFailed {
		return closed
	}
	return err
}

// scanHead reads the row of selectHead; no row is the head of an empty log.
func scanHead(row *sql.Row) (store.Head, error) {
	var seq int64
	var hash []byte
	switch err := row.Scan(&seq, &hash); {
	case errors.Is(err, sql.ErrNoRows):
		return store.Head{}, nil
	case err != nil:
		return store.Head{}, err
	case seq < 1 || len(hash) != 32:
		return store.Head{}, corrupt("the last record is not one this program wrote")
	}
	return store.Head{Seq: uint64(seq), Hash: [32]byte(hash)}, nil
}

// unchanged refuses what was read from a file without locks if the file was
// written to since it was opened.
func (l *Log) unchanged() error {
	if l.settled == nil {
		return nil
	}
	info, err := os.Stat(l.path)
	if err == nil && os.SameFile(info, l.settled) && info.Size() == l.settled.Size() && info.ModTime().Equal(l.settled.ModTime()) {
		return nil
	}
	return &store.Error{
		Code: store.CodeChanged, Msg: "the journal was written to while it was being read", Err: err,
		Hint: "open it again",
	}
}

// Alone tells that the file was read without a -wal file beside it: it is
// complete, or a copy that was made while the program ran.
func (l *Log) Alone() bool { return l.settled != nil }
