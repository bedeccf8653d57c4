package fact

import (
	"strconv"
	"strings"
)

// Typed is the source of a figure that a person read from a display and typed.
const Typed = "typed"

// Sources say where the two figures of a reading came from. Each may be
// absent: then nobody noted it, as in a file written by hand.
type Sources struct {
	// Source is that of the reading, BackgroundSource that of the background:
	// Typed, or the address or name of the meter that sent it.
	Source string `may:"source" as:"origin" label:"Reading came from"`
	// Line is what the meter sent, as EscapeLine writes it; only with a source
	// that is a meter.
	Line             string `may:"line" as:"line" label:"Line as the meter sent it"`
	BackgroundSource string `may:"background-source" as:"origin" label:"Background came from"`
	BackgroundLine   string `may:"background-line" as:"line" label:"Line of the background as sent"`
}

// SetUp is how a meter was set for a reading: its setting (a nuclide or a dial
// number) and what was in the well. Each may be absent: then nobody noted it.
type SetUp struct {
	Setting string `may:"setting" label:"Setting of the meter"`
	Insert  string `may:"insert" label:"Insert in the well"`
}

// checkLine refuses what is not written as EscapeLine writes a line.
func checkLine(s string) *Refusal {
	if p := checkText(s); p != nil {
		return p
	}
	if _, _, ok := UnescapeLine(s); !ok {
		return &Refusal{Code: "not-a-line", Msg: Quote(s) + " is not written as the bytes of a line are", Hint: `write a byte that is no visible ASCII character as \xNN, a backslash as \\`}
	}
	return nil
}

// cut stands at the end of a line that was too long to be kept whole; no byte
// is written so.
const cut = `\...`

// EscapeLine writes the bytes of a meter's line as a text that a record can
// hold: visible ASCII and spaces as they are, a backslash twice, any other
// byte, and a space at either end, as \xNN with two lower-case digits. A line
// that takes more than 500 characters is cut, and \... stands at its end. A
// line of no bytes gives the empty text.
//
//	STX "S1 3.2412 GBq" ETX   gives   \x02S1 3.2412 GBq\x03
func EscapeLine(raw string) string {
	var b strings.Builder
	whole := 0 // how much of b is left where it has to be cut
	for i := range len(raw) {
		switch c := raw[i]; {
		case c == '\\':
			b.WriteString(`\\`)
		case c < ' ' || c > '~' || c == ' ' && (i == 0 || i == len(raw)-1):
			b.WriteString(`\x` + hexOf(c))
		default:
			b.WriteByte(c)
		}
		if b.Len() <= mostText-len(cut) {
			whole = b.Len()
		}
	}
	if b.Len() > mostText {
		return b.String()[:whole] + cut
	}
	return b.String()
}

func hexOf(c byte) string { return strconv.FormatUint(0x100|uint64(c), 16)[1:] }

// UnescapeLine gives the bytes back. whole is false where the line was cut, ok
// where the text is not written as EscapeLine writes one.
func UnescapeLine(text string) (raw string, whole, ok bool) {
	var b strings.Builder
	for rest := text; rest != ""; {
		if rest == cut {
			// Something followed: x stands for it.
			return b.String(), false, len(text) <= mostText && EscapeLine(b.String()+"x") == text[:len(text)-len(cut)]+"x"
		}
		c, size := unescape(rest)
		if size == 0 {
			return "", false, false
		}
		b.WriteByte(c)
		rest = rest[size:]
	}
	return b.String(), true, EscapeLine(b.String()) == text
}

// unescape reads one byte; size 0 for none.
func unescape(s string) (c byte, size int) {
	switch {
	case s[0] != '\\':
		return s[0], 1
	case strings.HasPrefix(s, `\\`):
		return '\\', 2
	case strings.HasPrefix(s, `\x`) && len(s) >= 4:
		if n, err := strconv.ParseUint(s[2:4], 16, 8); err == nil {
			return byte(n), 4
		}
	}
	return 0, 0
}
