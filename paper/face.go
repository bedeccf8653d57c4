package paper

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// The faces, unchanged from DejaVu 2.37; their licence is font/LICENSE.txt. They
// are strings so that nobody can write into them.
var (
	//go:embed font/DejaVuSansCondensed.ttf
	regularTTF string
	//go:embed font/DejaVuSansCondensed-Bold.ttf
	boldTTF string
	//go:embed font/DejaVuSansMono-Bold.ttf
	monoTTF string
)

// face is one of the faces.
type face int

const (
	regular face = iota
	bold
	// mono tells 0 from O and 1 from l and I: for identifiers.
	mono
)

func (f face) ttf() string { return [...]string{regularTTF, boldTTF, monoTTF}[f] }

func (f face) family() string { return [...]string{"sans", "sansbold", "monobold"}[f] }

var coverage = sync.OnceValue(func() (has [3]map[rune]bool) {
	for f := range has {
		has[f] = covered(face(f).ttf())
	}
	return has
})

// covered lists the characters of the basic plane that a TrueType file has a
// glyph for, out of its cmap table of format 4 (OpenType specification, cmap).
// The files are part of the program, so a broken one panics.
func covered(ttf string) map[rune]bool {
	b := []byte(ttf)
	u16 := func(at int) int { return int(binary.BigEndian.Uint16(b[at:])) }
	u32 := func(at int) int { return int(binary.BigEndian.Uint32(b[at:])) }
	cmap := 0
	for i := range u16(4) {
		if record := 12 + 16*i; string(b[record:record+4]) == "cmap" {
			cmap = u32(record + 8)
		}
	}
	has := map[rune]bool{}
	for i := range u16(cmap + 2) {
		table := cmap + u32(cmap+4+8*i+4)
		if u16(table) != 4 {
			continue
		}
		size := u16(table + 6) // twice the number of segments
		for s := 0; s < size; s += 2 {
			last, first := u16(table+14+s), u16(table+16+size+s)
			for r := first; r <= last && r < 0xFFFF; r++ {
				has[rune(r)] = true
			}
		}
	}
	return has
}

// scripts are written from left to right, one glyph after the other; others
// need shaping that we do not do, and would come out wrong.
var scripts = []*unicode.RangeTable{
	unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Armenian, unicode.Georgian, unicode.Common,
}

// clean readies a text for a face: composed (Unicode normalisation form C),
// refused if any character would be missing, invisible or wrongly placed.
func clean(f face, field, text string) (string, error) {
	if !utf8.ValidString(text) {
		return "", &Error{Code: CodeCharacter, Field: field, Msg: "it holds bytes that are no text", Hint: "type it again"}
	}
	text = norm.NFC.String(text)
	for _, r := range text {
		if r == ' ' || (coverage()[f][r] && unicode.IsGraphic(r) && r != 0xAD && !unicode.IsMark(r) && unicode.In(r, scripts...)) {
			continue
		}
		return "", &Error{
			Code: CodeCharacter, Field: field, Msg: fmt.Sprintf("the character %q (U+%04X) cannot be printed", r, r),
			Hint: "write it in Latin, Greek, Cyrillic, Armenian or Georgian letters, on one line",
		}
	}
	return text, nil
}
