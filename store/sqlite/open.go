package sqlite

import (
	"cmp"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"modernc.org/sqlite"

	"vialwright/store"
)

// engine turns on, once and for the whole process, what the driver leaves
// off: locks that a mere look at the file does not drop (see readHeader),
// and fdatasync. Both are absent on some systems, which the package comment
// says; there is nothing to do about an error.
var engine = sync.OnceFunc(func() {
	_, _ = sqlite.OFDLocking(true)
	_, _ = sqlite.Fdatasync(true)
})

// Create makes a new, empty log at path, readable by its owner alone, and
// opens it. Errors: CodeExists when there is anything at path, CodeFailed.
func Create(ctx context.Context, path string) (*Log, error) {
	engine()
	if err := claim(path); err != nil {
		return nil, err
	}
	if err := initialise(ctx, path); err != nil {
		_ = os.Remove(path) // ours, and still without a record
		_ = os.Remove(path + "-journal")
		return nil, failure(ctx, "creating the journal", err)
	}
	return Open(ctx, path)
}

// claim makes the empty file, and refuses when that would do away with
// records: SQLite drops a -wal file that lies beside an empty database.
func claim(path string) error {
	for _, beside := range []string{path + "-wal", path + "-journal"} {
		if info, err := os.Stat(beside); err == nil && info.Size() > 0 {
			return &store.Error{
				Code: store.CodeExists, Msg: beside + " is there already, and may hold records of a journal that is gone",
				Hint: "look for the journal it belongs to, or choose another name",
			}
		}
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	switch {
	case errors.Is(err, fs.ErrExist):
		return &store.Error{
			Code: store.CodeExists, Msg: path + " is there already",
			Hint: "open it, or choose another name",
		}
	case err != nil:
		return &store.Error{Code: store.CodeFailed, Msg: "creating the journal", Err: err}
	}
	return f.Close()
}

// initialise writes the schema into the empty file at path and makes both the
// file and its name durable.
func initialise(ctx context.Context, path string) error {
	// First in rollback-journal mode, since the marks must stand in the
	// file itself and not in a -wal file: readHeader looks there.
	db, err := openPool(path, "rw", settings)
	if err != nil {
		return err
	}
	if err := writeSchema(ctx, db); err != nil {
		return errors.Join(err, db.Close())
	}
	if err := errors.Join(setWAL(ctx, db), db.Close()); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// syncDir makes the names in a directory durable. Windows has no such call
// and journals its directories itself.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Open opens the log at path for reading and appending. Errors: CodeMissing,
// CodeForeign, CodeNewer, CodeAltered, CodeDamaged, CodeBusy, CodeFailed.
func Open(ctx context.Context, path string) (*Log, error) {
	engine()
	if err := checkHeader(path); err != nil {
		return nil, err
	}
	t, err := readTail(path + "-wal")
	if err = cmp.Or(err, t.check(path)); err != nil {
		return nil, err
	}
	l := &Log{path: path, tail: t}
	l.handle.ToAppend()
	l.settle = &settler{path: path, there: l.there}
	err = l.connect(ctx)
	if err == nil {
		l.opened, err = os.Stat(path)
	}
	if err != nil {
		l.disconnect()
		return nil, err
	}
	l.settle.makeRoom()
	return l, nil
}

// OpenReadOnly opens the log at path for reading; the file is not changed.
// See the package comment for what lies beside it. A log whose triggers were
// tampered with is opened too, since its records may still prove sound.
// Errors: CodeMissing, CodeForeign, CodeNewer, CodeFailed.
func OpenReadOnly(ctx context.Context, path string) (*Log, error) {
	engine()
	if err := checkHeader(path); err != nil {
		return nil, err
	}
	t, err := readTail(path + "-wal")
	if err != nil {
		return nil, err
	}
	l := &Log{path: path, tail: t}
	if err := l.connectReadOnly(ctx); err != nil {
		l.disconnect()
		return nil, err
	}
	return l, nil
}
