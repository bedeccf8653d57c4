package instrument

import (
	"fmt"
	"strconv"
)

// Codes of an [Error]. They are stable: a record or a test may rely on them.
const (
	CodePattern     = "pattern"     // the pattern of a description cannot be used
	CodeDescription = "description" // another part of a description cannot be used
	CodeAddress     = "address"     // no address of a serial port or TCP socket
	CodeSimulation  = "simulation"  // a simulated meter that cannot be

	CodeText     = "text"     // the line departs from the pattern
	CodeEnd      = "end"      // the line ends too early or too late
	CodeNumber   = "number"   // no number, or one that can be read in two ways
	CodeNegative = "negative" // an activity below zero
	CodeUnit     = "unit"     // no unit, an unknown one, or one that contradicts the description
	CodeState    = "state"    // neither one of the stable nor of the unstable texts
	CodeNuclide  = "nuclide"  // another nuclide setting than the description asks for
	CodeInsert   = "insert"   // no insert where the pattern has one
	CodeSerial   = "serial"   // another meter than the description names
	CodeChecksum = "checksum" // the line was damaged on its way

	CodeLong    = "long"    // the line is longer than the description allows
	CodePart    = "part"    // the beginning of the line was not seen
	CodeTorn    = "torn"    // the line was interrupted
	CodeConnect = "connect" // no connection could be made
	CodeLost    = "lost"    // the connection ended
	CodeIdle    = "idle"    // the connection stands, and nothing arrives
)

// Error says what was refused, where, and what would have been right.
type Error struct {
	Code  string // one of the Code constants
	Input string // the line, pattern or address, cut to 80 bytes
	At    int    // the byte of the input where it goes wrong, from 1; 0 where the whole is meant
	Msg   string // one plain sentence, without a full stop
	Hint  string // the way out; may be empty

	cause error
}

// Error gives the place, the input, the sentence and the hint in one line. The
// input is quoted, so that no control character reaches a screen.
func (e *Error) Error() string {
	s := e.Msg
	switch {
	case e.At > 0:
		s = fmt.Sprintf("character %d of %q: %s", e.At, e.Input, e.Msg)
	case e.Input != "":
		s = strconv.Quote(e.Input) + ": " + e.Msg
	}
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// Unwrap gives the error of the number and its unit, or of the operating
// system, that stands behind this one; nil if there is none.
func (e *Error) Unwrap() error { return e.cause }

func caused(by error, e *Error) *Error {
	e.cause = by
	return e
}

// shownBytes is how much of an input an Error carries.
const shownBytes = 80

// refuse builds an Error; at counts from 1, and 0 means the whole input.
func refuse(code, input string, at int, msg, hint string) *Error {
	if len(input) > shownBytes {
		input = input[:shownBytes] + "..."
	}
	return &Error{Code: code, Input: input, At: at, Msg: msg, Hint: hint}
}
