package sqlite

import (
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"

	"vialwright/store"
)

// header is what the first 100 bytes of a SQLite file tell
// (SQLite documentation, "Database File Format", 1.3).
type header struct {
	id, version int64
}

// checkHeader refuses what is not a log of this program before SQLite gets to
// see it, since opening a database may already change it or the files beside.
func checkHeader(path string) error {
	h, err := readHeader(path)
	if err != nil {
		return err
	}
	return refuseMarks(h.id, h.version)
}

func readHeader(path string) (header, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return header{}, &store.Error{Code: store.CodeMissing, Msg: "there is no journal at " + path, Hint: "check the path, or make a journal there first"}
	case err != nil:
		return header{}, &store.Error{Code: store.CodeFailed, Msg: "looking at the journal", Err: err}
	case !info.Mode().IsRegular():
		return header{}, &store.Error{Code: store.CodeForeign, Msg: path + " is not a file", Hint: "name the file of the journal"}
	case info.Size() == 0:
		return header{}, &store.Error{
			Code: store.CodeForeign, Msg: path + " is empty",
			Hint: "if its creation was cut short, delete it and create it again",
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return header{}, &store.Error{Code: store.CodeFailed, Msg: "looking at the journal", Err: err}
	}
	defer f.Close()

	var b [100]byte
	if _, err := io.ReadFull(f, b[:]); err != nil || string(b[:16]) != "SQLite format 3\x00" {
		return header{}, &store.Error{
			Code: store.CodeForeign, Msg: path + " is not a journal of this program",
			Hint: "look at the file name; the file was left as it is",
		}
	}
	// Signed big-endian at offsets 68 and 60.
	return header{
		id:      int64(int32(binary.BigEndian.Uint32(b[68:]))),
		version: int64(int32(binary.BigEndian.Uint32(b[60:]))),
	}, nil
}
