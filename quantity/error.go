package quantity

import (
	"strconv"
	"unicode/utf8"
)

// Codes of an [Error]. They are stable: a record or a test may rely on them.
const (
	CodeEmpty          = "empty"            // nothing was written
	CodeTooLong        = "too-long"         // more than 64 bytes
	CodeNotText        = "not-text"         // not UTF-8, or a control character
	CodeNotNumber      = "not-a-number"     // does not begin with a number
	CodeLeadingZero    = "leading-zero"     // .5, or 05
	CodeTrailingPoint  = "trailing-point"   // 5.
	CodeComma          = "comma"            // 1,234
	CodeGrouping       = "digit-grouping"   // 1 234, 1'234, 1_234
	CodeExponent       = "exponent"         // 3e, 3e1.5
	CodeNegative       = "negative"         // -3, where the kind has no negative values
	CodeSign           = "sign"             // +3
	CodeTooLarge       = "too-large"        // beyond the largest float64
	CodeTooSmall       = "too-small"        // not zero, yet below the smallest float64
	CodeExtra          = "extra-text"       // more than one number and one unit
	CodeUnitMissing    = "unit-missing"     // a bare number
	CodeUnitUnknown    = "unit-unknown"     // no unit of this kind
	CodeUnitCase       = "unit-case"        // mbq, GBQ
	CodeUnitPrefix     = "unit-prefix"      // mBq, a unit far from those in use
	CodeUnitKind       = "unit-kind"        // mL where an activity is expected
	CodeUnitAmbiguous  = "unit-ambiguous"   // cc, hr, curies
	CodeNotCanonical   = "not-canonical"    // readable, but not as a record writes it
	CodeAbsent         = "absent"           // writing a Stated that holds nothing
	CodeInconsistent   = "inconsistent"     // a Stated whose Value is not that of its Text
	CodeNotFinite      = "not-finite"       // NaN or infinity
	CodeBelowZeroK     = "below-zero-k"     // a temperature below -273.15 °C
	CodeTimeForm       = "time-form"        // not YYYY-MM-DDThh:mm...
	CodeTimeAmbiguous  = "time-ambiguous"   // 11/12/2027
	CodeTimeImpossible = "time-impossible"  // February 30th, 24:00, :60
	CodeTimeCentury    = "time-century"     // not in 2000 to 2099
	CodeTimeOffset     = "time-offset"      // beyond 14 h, or not written +hh:mm
	CodeTimeZone       = "time-zone-needed" // a local time, and no zone to read it in
	CodeTimeGap        = "time-gap"         // a local time that the clocks skipped
	CodeTimeFold       = "time-fold"        // a local time that happened twice
)

// Error says why a text was refused: a stable code, the text, one plain
// sentence, and the way out.
type Error struct {
	Code  string // one of the Code constants
	Input string // the text refused, cut to 64 bytes
	Msg   string // what is wrong, without a full stop
	Hint  string // what to write instead; may be empty
}

// Error gives the text, what is wrong with it, and the hint.
func (e *Error) Error() string {
	s := strconv.Quote(e.Input) + ": " + e.Msg
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// Refuse is for those who refuse texts of another kind in the same way.
func Refuse(code, input, msg, hint string) *Error { return refuse(code, input, msg, hint) }

// refuse builds an Error; a long input is cut at a rune so that an error never
// carries a whole file.
func refuse(code, input, msg, hint string) *Error {
	if len(input) > maxText {
		cut := maxText
		for cut > 0 && !utf8.RuneStart(input[cut]) {
			cut--
		}
		input = input[:cut] + "..."
	}
	return &Error{Code: code, Input: input, Msg: msg, Hint: hint}
}
