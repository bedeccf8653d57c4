package picture

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"vialwright/quantity"
)

// fonts are tried in this order; the lettering below is set for the widest of
// the first five.
const fonts = "Liberation Sans,Arial,Helvetica,Roboto,DejaVu Sans Condensed,sans-serif"

// Advance widths of the characters from space to tilde in hundredths of the
// font size, rounded up: the larger of Liberation Sans 2.1 (as wide as Arial)
// and 2 %, and of DejaVu Sans Condensed 2.37.
var (
	regularWidths = [95]uint8{
		29, 37, 42, 76, 58, 91, 71, 25, 36, 36, 45, 76, 29, 34, 29, 31, 58, 58, 58, 58, 58, 58, 58, 58, 58, 58, 31, 31, 76, 76, 76, 57,
		104, 69, 69, 74, 74, 69, 63, 80, 74, 29, 51, 69, 57, 85, 74, 80, 69, 80, 74, 69, 63, 74, 69, 97, 69, 69, 63, 36, 31, 36, 76, 57,
		45, 57, 58, 51, 58, 57, 32, 58, 58, 25, 25, 53, 25, 88, 58, 57, 58, 58, 37, 51, 36, 58, 54, 74, 54, 54, 51, 58, 31, 58, 76,
	}
	boldWidths = [95]uint8{
		32, 42, 49, 76, 63, 91, 79, 28, 42, 42, 48, 76, 35, 38, 35, 33, 63, 63, 63, 63, 63, 63, 63, 63, 63, 63, 36, 36, 76, 76, 76, 63,
		100, 74, 74, 74, 75, 69, 63, 80, 76, 34, 57, 74, 63, 90, 76, 80, 69, 80, 74, 69, 63, 74, 70, 100, 70, 69, 66, 42, 33, 42, 76, 57,
		45, 61, 65, 57, 65, 62, 40, 65, 65, 31, 31, 60, 31, 94, 65, 63, 65, 65, 45, 57, 44, 65, 59, 84, 59, 59, 53, 65, 33, 65, 76,
	}
)

// face is a text's size in units and weight.
type face struct {
	size float64
	bold bool
}

// width is what a text takes at most, in units.
func (f face) width(s string) float64 {
	sum := 0.0
	for _, r := range s {
		sum += f.advance(r)
	}
	return sum * f.size / 100
}

// advance of one character, in hundredths of the size. Beyond ASCII the widest
// of its block stands for all.
func (f face) advance(r rune) float64 {
	switch {
	case ' ' <= r && r <= '~' && f.bold:
		return float64(boldWidths[r-' '])
	case ' ' <= r && r <= '~':
		return float64(regularWidths[r-' '])
	case r == nbsp:
		return f.advance(' ')
	case unicode.Is(unicode.Mn, r):
		return 0
	case r < 0x250:
		return 80
	case r == '…':
		return 100
	case r < 0x1100:
		return 100
	case r < 0x1f000:
		return 110
	}
	return 140
}

// fit makes a text smaller, down to a least size, until it fits a width.
func (f face) fit(s string, width, least float64) face {
	if w := f.width(s); w > width {
		f.size = math.Max(least, math.Floor(f.size*width/w))
	}
	return f
}

// cut shortens a text to a width, at a space; an ellipsis says that there is
// more. Of a single word what fits stays, of a number nothing: its beginning
// is another number.
func (f face) cut(s string, width float64) string {
	if f.width(s) <= width {
		return s
	}
	width -= f.width("…")
	end := len(s)
	for i, r := range s {
		if width -= f.advance(r) * f.size / 100; width < 0 {
			end = i
			break
		}
	}
	if space := strings.LastIndexByte(s[:end], ' '); space >= 0 && s[end:] != "" {
		end = space
	} else if numeral(s) {
		end = 0
	}
	return strings.TrimRight(s[:end], " ") + "…"
}

// nbsp is a space that no line is broken at. Only texts of our own have it.
const nbsp = '\u00a0'

func (f face) wrap(s string, width float64) []string {
	return quantity.Lines(s, func(line string) bool { return f.width(line) <= width })
}

// numeral tells a word that begins like a number.
func numeral(w string) bool {
	w = strings.TrimLeft(w, "(+-−")
	return w != "" && '0' <= w[0] && w[0] <= '9'
}

// most characters of a text that are shown.
const mostShown = 96

// clean makes a text fit to be shown: what is no character, or steers how
// others are shown, becomes U+FFFD (XML 1.0, 2.2, does not allow the first;
// the second can turn a number round), space of any kind one space. It is cut
// after 96 characters, a number there as a whole, and an ellipsis says so.
func clean(s string) string {
	var out []rune
	for _, word := range strings.Fields(s) {
		start := len(out)
		if start > 0 {
			out = append(out, ' ')
		}
		for _, r := range word {
			if len(out) >= mostShown {
				if numeral(word) {
					out = out[:start]
				}
				return strings.TrimRight(string(out), " ") + "…"
			}
			if !shown(r) {
				r = utf8.RuneError
			}
			out = append(out, r)
		}
	}
	return string(out)
}

// shown tells a character that stands for itself.
func shown(r rune) bool {
	return !unicode.Is(unicode.Cc, r) && !unicode.Is(unicode.Cf, r) && r&0xfffe != 0xfffe &&
		r != '\u2028' && r != '\u2029' && !(0xfdd0 <= r && r <= 0xfdef)
}
