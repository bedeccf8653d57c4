package identity

import (
	"strconv"
	"unicode/utf8"
)

// Codes of an [Error]. They are stable: a record or a test may rely on them.
const (
	CodeEmpty     = "empty"     // nothing was written or scanned
	CodeCharacter = "character" // a character that no serial holds
	CodeLength    = "length"    // not 12 characters
	CodeCheck     = "check"     // the check character does not agree
	CodeCanonical = "canonical" // readable, but not as a record writes it

	CodeTooLong   = "too-long"   // more than a bar code holds
	CodeUnknown   = "unknown"    // neither a serial of ours nor GS1
	CodeUnknownID = "unknown-id" // an application identifier not in our table
	CodeShort     = "short"      // an element string ends too early
	CodeLong      = "long"       // an element string is too long: was a separator lost?
	CodeData      = "data"       // a character that GS1 does not allow there
	CodeGTIN      = "gtin-check" // the check digit of a GTIN or SSCC does not agree
	CodeDate      = "date"       // no day of the calendar
	CodeTwice     = "twice"      // the same identifier twice, with two values
)

// maxEcho bounds the text an Error repeats.
const maxEcho = 64

// Error says why a text was refused: a stable code, the text, one plain
// sentence, and the way out.
type Error struct {
	Code  string // one of the constants of this package
	Input string // the text refused, cut to 64 bytes
	Msg   string // what is wrong, without a full stop
	Hint  string // what to do instead; may be empty
}

// Error gives the text, what is wrong with it, and the hint.
func (e *Error) Error() string {
	s := strconv.Quote(e.Input) + ": " + e.Msg
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// refuse builds an Error; a long input is cut at a rune.
func refuse(code, input, msg, hint string) *Error {
	if len(input) > maxEcho {
		cut := maxEcho
		for cut > 0 && !utf8.RuneStart(input[cut]) {
			cut--
		}
		input = input[:cut] + "..."
	}
	return &Error{Code: code, Input: input, Msg: msg, Hint: hint}
}
