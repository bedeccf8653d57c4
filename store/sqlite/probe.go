package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"strconv"

	"vialwright/store"
)

// leastRoom is how much room there has to be beside the journal, in bytes: some
// thousand entries, and what the engine writes beside the file until it is moved in.
const leastRoom = 32 << 20

// room gives the bytes that are free where a file lies; false where the system does
// not say.
var room = free

// Probe tells, without an append, whether the next one would be stored: the file can
// be written, and there is room for it. Errors: CodeClosed, CodeReadOnly, CodeFailed.
func (l *Log) Probe(context.Context) error {
	if err := l.handle.Appends(); err != nil {
		return err
	}
	f, err := os.OpenFile(l.path, os.O_WRONLY, 0)
	if err != nil {
		return &store.Error{
			Code: store.CodeReadOnly, Msg: "the file of the journal cannot be written", Err: err,
			Hint: "let the account of the service write the file and its folder; where the disk went over to reading only, find out why before anything else",
		}
	}
	_ = f.Close() // nothing was written
	if n, known := room(filepath.Dir(l.path)); known && n < leastRoom {
		return &store.Error{
			Code: store.CodeFailed, Msg: "the disk of the journal is full, or nearly: " + strconv.FormatUint(n>>20, 10) + " MiB are free",
			Hint: "make room on it; " + strconv.Itoa(leastRoom>>20) + " MiB at least are wanted",
		}
	}
	return nil
}
