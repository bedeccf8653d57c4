package casefile

import (
	"strings"

	"vialwright/plainyaml"
)

// MaxBytes is the length a case file can have at most. A file of a year's work
// of one case is a hundredth of it; a reader stops there.
const MaxBytes = 1 << 20

// Error says why a case file cannot be used. Code is stable.
type Error struct {
	// File is the name of the file; anyone who opened it fills it in.
	File string
	// Line and Col count from 1, Col in characters; Col is 0 where only the
	// line is known, both are where the fault is in the file as a whole.
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
func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File + ": ")
	}
	b.WriteString(plainyaml.Place(e.Line, e.Col))
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

// failAt is a fault at a node.
func failAt(n *plainyaml.Node, code, msg, hint string) *Error {
	return &Error{Line: n.Line, Col: n.Col, Code: code, Msg: msg, Hint: hint}
}
