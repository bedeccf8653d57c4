package keep

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/witness"
)

// place keeps notes.
type place interface {
	// name is how people know it, without a password.
	name() string
	// put keeps a note for good. Putting the same note again does nothing.
	put(ctx context.Context, n witness.Note, data []byte) error
	// notes gives what is kept of a site, the newest first, so many at most.
	notes(ctx context.Context, site string, most int) ([][]byte, error)
	close()
}

// opened gives the place of a name as it is typed; shown is how it may be printed.
func opened(text, shown string) (place, error) {
	if path, ok := strings.CutPrefix(text, "strip:"); ok {
		return strip{path}, nil
	}
	if !postgres.IsAddress(text) {
		return folder{text}, nil
	}
	db, err := postgres.Connect(text)
	if err != nil {
		return nil, err
	}
	return &database{db, shown}, nil
}

// folder keeps a file for each note. The folder itself is never made: where a
// mount is gone, notes would fall on the disk beneath it.
type folder struct{ dir string }

func (f folder) name() string { return f.dir }
func (folder) close()         {}

const ending = ".note"

// fileOf is the name of a note's file; names sort as the notes were made.
func fileOf(n witness.Note) string {
	return fmt.Sprintf("%012d-%s%s", n.Head.Seq, n.At.Format("20060102T150405Z"), ending)
}

func (f folder) put(_ context.Context, n witness.Note, data []byte) error {
	if _, err := os.Stat(f.dir); err != nil {
		return err
	}
	dir := filepath.Join(f.dir, n.Site)
	if err := os.Mkdir(dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return writeOnce(filepath.Join(dir, fileOf(n)), data)
}

// writeOnce writes a file that was not there, whole or not at all; one with the
// same content may be there already.
func writeOnce(path string, data []byte) error {
	if there, err := os.ReadFile(path); err == nil {
		if string(there) != string(data) {
			return fmt.Errorf("%s is there already, with something else in it", path)
		}
		return nil
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err == nil {
		// A link is never made over a file; some shares have none.
		if err = os.Link(f.Name(), path); err != nil && !errors.Is(err, fs.ErrExist) {
			err = os.Rename(f.Name(), path)
		}
	}
	_ = os.Remove(f.Name()) // the name it was written under, if it still has it
	return err
}

// CopyNotes copies the notes of a folder that are of a record up to a number into
// another folder, which is made, and tells how many that were.
func CopyNotes(from, to string, upTo uint64) (n int, err error) {
	sites, err := os.ReadDir(from)
	if err != nil {
		return 0, err
	}
	for _, site := range sites {
		notes, err := filepath.Glob(filepath.Join(from, site.Name(), "*"+ending))
		if err != nil {
			return n, err
		}
		for _, path := range notes {
			var seq uint64
			if _, err := fmt.Sscanf(filepath.Base(path), "%d-", &seq); err != nil || seq > upTo {
				continue
			}
			data, err := readSome(path)
			if err == nil {
				err = os.MkdirAll(filepath.Join(to, site.Name()), 0o755)
			}
			if err == nil {
				err = writeOnce(filepath.Join(to, site.Name(), filepath.Base(path)), data)
			}
			if err != nil {
				return n, err
			}
			n++
		}
	}
	return n, nil
}

// mostOfOne bounds what is read of one note.
const mostOfOne = witness.MostBytes + 1

func (f folder) notes(ctx context.Context, site string, most int) ([][]byte, error) {
	if _, err := os.Stat(f.dir); err != nil {
		return nil, err
	}
	entries, err := os.ReadDir(filepath.Join(f.dir, site))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	slices.Reverse(entries)
	var out [][]byte
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ending) || len(out) == most {
			continue
		}
		if err := ctx.Err(); err != nil {
			return out, err
		}
		data, err := readSome(filepath.Join(f.dir, site, e.Name()))
		if err != nil {
			return out, err
		}
		out = append(out, data)
	}
	return out, nil
}

// readSome reads a file, and of one that is too long for a note the beginning.
func readSome(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, _ := io.ReadAll(io.LimitReader(f, mostOfOne)) // what cannot be read is no note
	return data, nil
}

// strip writes a text to be printed for each note.
type strip struct{ dir string }

func (s strip) name() string { return "strip:" + s.dir }
func (strip) close()         {}

func (s strip) put(_ context.Context, n witness.Note, _ []byte) error {
	if _, err := os.Stat(s.dir); err != nil {
		return err
	}
	return writeOnce(filepath.Join(s.dir, n.Site+"-"+strings.TrimSuffix(fileOf(n), ending)+".txt"), []byte(Strip(n)))
}

func (strip) notes(context.Context, string, int) ([][]byte, error) { return nil, nil }

// Strip is a head as it is printed and kept on paper.
func Strip(n witness.Note) string {
	use := ""
	if n.Practice {
		use = "PRACTICE - not for patient use\n"
	}
	return fmt.Sprintf("%sHead of the journal of %s\nRecords  %d\nMade     %s\nDigits   %s\n\nTo compare: vialwright verify --journal JOURNAL --head '%s'\n",
		use, n.Site, n.Head.Seq, n.At.Format("2006-01-02 15:04:05 MST"), witness.Digits(n.Head.Hash, 24), witness.Digits(n.Head.Hash, 24))
}

// database keeps a row for each note.
type database struct {
	db    *postgres.Beside
	shown string
}

func (d *database) name() string { return cmp.Or(d.shown, "database") }
func (d *database) close()       { _ = d.db.Close() }

// createNotes makes the table where it is not there. Who has no right to make one
// works with GRANT USAGE ON SCHEMA vialwright_witness and GRANT SELECT, INSERT ON
// vialwright_witness.note.
const (
	hasNotes    = "SELECT to_regclass('vialwright_witness.note') IS NOT NULL"
	createNotes = `CREATE SCHEMA IF NOT EXISTS vialwright_witness;
CREATE TABLE IF NOT EXISTS vialwright_witness.note (
  site text NOT NULL,
  records bigint NOT NULL,
  note text NOT NULL,
  kept timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (site, records, note)
)`
	insertNote = "INSERT INTO vialwright_witness.note (site, records, note) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING"
	selectNote = "SELECT note FROM vialwright_witness.note WHERE site = $1 ORDER BY records DESC, kept DESC LIMIT $2"
)

// plain leaves out what the driver says: it may hold parts of the address.
func plain(err error) error {
	if e, ok := errors.AsType[*store.Error](err); ok {
		return errors.New(e.Msg)
	}
	return err
}

func (d *database) put(ctx context.Context, n witness.Note, data []byte) error {
	return plain(d.db.Use(ctx, func(conn *pgx.Conn) error {
		var there bool
		if err := conn.QueryRow(ctx, hasNotes).Scan(&there); err != nil {
			return err
		}
		if !there {
			if _, err := conn.Exec(ctx, createNotes); err != nil {
				return err
			}
		}
		_, err := conn.Exec(ctx, insertNote, n.Site, int64(n.Head.Seq), string(data))
		return err
	}))
}

func (d *database) notes(ctx context.Context, site string, most int) (out [][]byte, err error) {
	err = d.db.Use(ctx, func(conn *pgx.Conn) error {
		out = nil
		var there bool
		if err := conn.QueryRow(ctx, hasNotes).Scan(&there); err != nil || !there {
			return err
		}
		rows, err := conn.Query(ctx, selectNote, site, most)
		if err != nil {
			return err
		}
		texts, err := pgx.CollectRows(rows, pgx.RowTo[string])
		for _, text := range texts {
			out = append(out, []byte(text))
		}
		return err
	})
	return out, plain(err)
}

// beside is the head that was acknowledged last, in a file beside the journal.
type beside struct {
	path string
	mu   sync.Mutex
	file *os.File
}

// checkLine ends the file, so that a damaged one is not believed.
func checkLine(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "check " + hex.EncodeToString(sum[:8]) + "\n"
}

// read gives what was noted; false where there is nothing, or what is there was
// damaged, which the error says.
func (b *beside) read() (n witness.Note, found bool, err error) {
	data, err := readSome(b.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return n, false, nil
	case err != nil:
		return n, false, err
	}
	text, _, _ := strings.Cut(string(data), "\n\n")
	lines := strings.TrimRight(text, "\n")
	i := strings.LastIndex(lines, "\n")
	if i < 0 || lines[i+1:]+"\n" != checkLine(lines[:i+1]) {
		return n, false, fmt.Errorf("%s was cut short or damaged, and is passed over: it is not known from it how far the journal went", b.path)
	}
	n, err = witness.Parse(lines[:i+1])
	return n, err == nil, err
}

// write notes a head. It does not wait for the disk.
func (b *beside) write(n witness.Note) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.file == nil {
		f, err := os.OpenFile(b.path, os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		b.file = f
	}
	text := n.Text()
	// What is left of a longer one stands behind an empty line, and is not read.
	_, err := b.file.WriteAt([]byte(text+checkLine(text)+"\n"), 0)
	return err
}

func (b *beside) close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.file != nil {
		_ = b.file.Close() // it is a lower bound, and is not waited for
		b.file = nil
	}
}
