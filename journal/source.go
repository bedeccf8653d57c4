package journal

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// MaxBytes is the length a case file can have at most. A file of a year's work
// of one case is a hundredth of it; a reader stops there.
const MaxBytes = 1 << 20

// FileError says why a case file cannot be used. Code is stable.
type FileError struct {
	// File is the name of the file; whoever opened it fills it in.
	File string
	// Line and Col count from 1, Col in characters; 0 where the fault is in
	// the file as a whole.
	Line, Col int
	// Path is where in the file, such as "entries[4].draw.volume"; entries,
	// meters and items of lists count from 1.
	Path string
	Code string
	// Msg is what is wrong, Want what was expected, Hint the way out; the
	// last two may be empty.
	Msg, Want, Hint string
}

// Error gives one line: where, what is wrong, what was expected, the way out.
func (e *FileError) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File + ": ")
	}
	if e.Line > 0 {
		b.WriteString("line " + strconv.Itoa(e.Line) + ", column " + strconv.Itoa(e.Col) + ": ")
	}
	if e.Path != "" {
		b.WriteString(e.Path + ": ")
	}
	b.WriteString(e.Msg)
	if e.Want != "" {
		b.WriteString("; expected " + e.Want)
	}
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	return b.String()
}

// source is the text of a case file with plain line ends.
type source string

// place gives the line and the column of a byte.
func (s source) place(off int) (line, col int) {
	before := string(s[:min(off, len(s))])
	line = 1 + strings.Count(before, "\n")
	return line, 1 + utf8.RuneCountInString(before[strings.LastIndexByte(before, '\n')+1:])
}

// fail is a fault at a byte.
func (s source) fail(off int, code, msg, hint string) *FileError {
	e := &FileError{Code: code, Msg: msg, Hint: hint}
	e.Line, e.Col = s.place(off)
	return e
}

// clean makes the bytes of a file into a source: text in UTF-8 without control
// characters but tab and line end, a byte order mark in front taken off,
// Windows line ends made plain.
func clean(data []byte) (source, *FileError) {
	if len(data) > MaxBytes {
		return "", &FileError{
			Code: "too-large", Msg: "the file is larger than " + strconv.Itoa(MaxBytes) + " bytes, the most a case file can be",
			Hint: "check that it is a case file",
		}
	}
	s := source(strings.ReplaceAll(strings.TrimPrefix(string(data), "\uFEFF"), "\r\n", "\n"))
	if at := firstBad(string(s)); at >= 0 {
		if c := s[at]; c < utf8.RuneSelf {
			return "", s.fail(at, "control-character", "the file holds the control character "+strconv.Quote(string(c)), "save it as plain UTF-8 text")
		}
		return "", s.fail(at, "not-utf-8", "the file is not UTF-8 here", "save it as UTF-8")
	}
	return s, nil
}

// firstBad finds the first byte that is a control character or not UTF-8.
func firstBad(s string) int {
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			if c < ' ' && c != '\n' && c != '\t' || c == 0x7f {
				return i
			}
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}
