package witness

import (
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/note"

	"vialwright/journal"
)

// Note is a head of a journal at a time.
type Note struct {
	// Site is the name of the site, which is that of the key.
	Site string
	// Practice is true for a journal that is not for patients.
	Practice bool
	Head     journal.Head
	// First is the hash of record 1, by which journals are told apart.
	First journal.Hash
	// At is when the note was made, in UTC, to the second.
	At    time.Time
	Store Store
	// ResumedBy and ResumedWhy say who let recording go on after a loss, and why;
	// empty in every other note.
	ResumedBy, ResumedWhy string
}

// Store is what a store said of itself when the note was made. What it says only
// grows, so that an older copy can be told from records that were taken away.
type Store struct {
	// Engine is sqlite or postgres; empty where it said nothing.
	Engine string
	// ID is that of the database server and of its database.
	ID string
	// Line is the timeline of the server, which a standby that takes over raises; of
	// a file the number of changes of its tables.
	Line uint64
	// Count is the position in the server's log; 0 for a file.
	Count uint64
}

// Error says why a note was refused. Code is one of the package comment.
type Error struct {
	Code, Msg, Hint string
}

// Error gives what is wrong and the way out.
func (e *Error) Error() string { return e.Msg + "; " + e.Hint }

const (
	title   = "vialwright head 1"
	maxLine = 500
	// MostBytes is the length of a signed note at most, in bytes.
	MostBytes = 8 << 10
)

// Text gives the lines of a note, which are what is signed.
func (n Note) Text() string {
	s := n.Store
	line := func(name string, parts ...string) string { return name + " " + strings.Join(parts, " ") + "\n" }
	out := title + "\n" +
		line("site", n.Site) +
		line("use", map[bool]string{false: "patients", true: "practice"}[n.Practice]) +
		line("records", strconv.FormatUint(n.Head.Seq, 10)) +
		line("hash", n.Head.Hash.String()) +
		line("first", n.First.String()) +
		line("at", n.At.UTC().Format(time.RFC3339)) +
		line("store", orDash(s.Engine), orDash(s.ID), strconv.FormatUint(s.Line, 10), strconv.FormatUint(s.Count, 10))
	if n.ResumedBy != "" {
		out += line("resumed-by", n.ResumedBy) + line("resumed-why", n.ResumedWhy)
	}
	return out
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// Parse reads the lines of a note. It refuses, with the code damaged-note,
// whatever Text would not have written.
func Parse(text string) (Note, error) {
	var n Note
	damaged := func(format string, args ...any) (Note, error) {
		return Note{}, &Error{"damaged-note", "the note cannot be read: " + fmt.Sprintf(format, args...), "compare it with the same note at another place"}
	}
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if lines[0] != title {
		return damaged("it does not begin with %q", title)
	}
	names := []string{"site", "use", "records", "hash", "first", "at", "store", "resumed-by", "resumed-why"}
	if len(lines) != 8 && len(lines) != 10 {
		return damaged("it has %d lines, not 8 or 10", len(lines))
	}
	for i, l := range lines[1:] {
		name, value, ok := strings.Cut(l, " ")
		if !ok || name != names[i] || !n.set(name, value) {
			return damaged("line %d is not what belongs there, %q", i+2, names[i])
		}
	}
	if n.Text() != text {
		return damaged("it is not written as this program writes it")
	}
	return n, nil
}

// set reads the value of a line.
func (n *Note) set(name, value string) bool {
	var err error
	switch name {
	case "site":
		n.Site = value
		return IsName(value)
	case "use":
		n.Practice = value == "practice"
		return true // Text writes one of two
	case "records":
		n.Head.Seq, err = strconv.ParseUint(value, 10, 63)
	case "hash":
		return parseHash(&n.Head.Hash, value)
	case "first":
		return parseHash(&n.First, value)
	case "at":
		n.At, err = time.Parse(time.RFC3339, value)
		n.At = n.At.UTC()
	case "store":
		parts := strings.Split(value, " ")
		if len(parts) != 4 {
			return false
		}
		n.Store.Engine, n.Store.ID = strings.TrimPrefix(parts[0], "-"), strings.TrimPrefix(parts[1], "-")
		n.Store.Line, err = strconv.ParseUint(parts[2], 10, 64)
		if err == nil {
			n.Store.Count, err = strconv.ParseUint(parts[3], 10, 64)
		}
	case "resumed-by":
		n.ResumedBy = value
		return isText(value)
	case "resumed-why":
		n.ResumedWhy = value
		return isText(value)
	}
	return err == nil
}

func parseHash(h *journal.Hash, s string) bool {
	if len(s) != 2*len(h) {
		return false
	}
	_, err := hex.Decode(h[:], []byte(s))
	return err == nil
}

// IsName tells whether a site can be called so: 1 to 32 of A-Z a-z 0-9 . _ -,
// the first a letter or a digit.
func IsName(s string) bool {
	for i, c := range []byte(s) {
		switch {
		case c >= '0' && c <= '9', c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z':
		case i > 0 && (c == '.' || c == '_' || c == '-'):
		default:
			return false
		}
	}
	return s != "" && len(s) <= 32
}

// isText tells a text of one line.
func isText(s string) bool {
	return s != "" && len(s) <= maxLine && utf8.ValidString(s) && strings.TrimSpace(s) == s && !strings.ContainsFunc(s, unicode.IsControl)
}

// Sign gives a signed note. It fails where the note cannot be written so that it
// is read again, or is of another site than the key.
func Sign(n Note, key note.Signer) ([]byte, error) {
	if _, err := Parse(n.Text()); err != nil {
		return nil, err
	}
	if key.Name() != n.Site {
		return nil, fmt.Errorf("the key is that of %s, the note of %s", key.Name(), n.Site)
	}
	return note.Sign(&note.Note{Text: n.Text()}, key)
}

// Open reads a signed note and checks its signature. It refuses with an *Error,
// in this order: damaged-note for what is no signed note or has a signature of a
// known key that does not hold, unknown-key, damaged-note for signed lines that
// are no head, other-site for a head of another site than the key's.
func Open(data []byte, known note.Verifiers) (Note, error) {
	if len(data) > MostBytes {
		return Note{}, &Error{"damaged-note", fmt.Sprintf("the note has %d bytes, more than %d", len(data), MostBytes), "look at what lies in its place"}
	}
	signed, err := note.Open(data, known)
	if unknown, ok := errors.AsType[*note.UnverifiedNoteError](err); ok {
		by := "nobody"
		if s := unknown.Note.UnverifiedSigs; len(s) > 0 {
			by = s[0].Name
		}
		return Note{}, &Error{"unknown-key", fmt.Sprintf("the note is signed by a key of %q that is not known here, so that it proves nothing", by), "find out who put it there; if the key is one of this site, name its public half with --signed-by"}
	}
	if err != nil {
		return Note{}, &Error{"damaged-note", "the note was changed since it was signed, or is no signed note", "compare it with the same note at another place, and find out who changed it"}
	}
	n, err := Parse(signed.Text)
	if err != nil {
		return Note{}, err
	}
	if by := signed.Sigs[0].Name; by != n.Site {
		return Note{}, &Error{"other-site", fmt.Sprintf("the note is of the site %s and signed by %s", n.Site, by), "take it out of this place"}
	}
	return n, nil
}
