package sqlite

import (
	"context"
	"errors"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"vialwright/store"
)

func corrupt(how string) error {
	return &store.Error{
		Code: store.CodeCorrupt, Msg: "the journal is damaged: " + how,
		Hint: "stop writing to it; keep this file and compare it with a copy",
	}
}

// failure turns an error of the driver into one of ours: the context's own
// when that ended the wait, a named one where a person can act on it.
func failure(ctx context.Context, doing string, err error) error {
	if ctx.Err() != nil && (errors.Is(err, ctx.Err()) || engineCode(err) == sqlite3.SQLITE_INTERRUPT) {
		return ctx.Err()
	}
	if store.CodeOf(err) != "" {
		return err
	}
	switch engineCode(err) {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return &store.Error{
			Code: store.CodeBusy, Msg: doing + ": another program is writing to it", Err: err,
			Hint: "nothing was stored; try again",
		}
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return &store.Error{
			Code: store.CodeCorrupt, Msg: doing + ": the file is damaged", Err: err,
			Hint: "stop writing to it; keep this file and compare it with a copy",
		}
	case sqlite3.SQLITE_FULL:
		return &store.Error{
			Code: store.CodeFailed, Msg: doing + ": no room is left", Err: err,
			Hint: "nothing was stored; make room and try again",
		}
	}
	return &store.Error{Code: store.CodeFailed, Msg: doing, Err: err}
}

// unsure is the outcome of a commit that failed: what was written may or may
// not be found again after the next open.
func unsure(err error) error {
	return &store.Error{
		Code: store.CodeUnsure, Msg: "the disk failed while the records were being stored", Err: err,
		Hint: "look at the disk; then open the journal again and see whether they are there",
	}
}

// engineCode gives SQLite's primary result code, 0 for any other error.
func engineCode(err error) int {
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		return e.Code() & 0xff
	}
	return 0
}
