package identity

import (
	"encoding/binary"
	"fmt"
	"math/bits"
	"strings"
	"unicode"
)

const (
	alphabet = "23456789CDFHJKMNPRTVWXY"
	length   = 12
	// practice is the first character of every practice serial.
	practice = 'X'
)

// Serial names one printed label. The zero Serial is absent; every other comes
// from [New], [NewPractice] or [Parse] and is valid. Serials are
// compared with ==.
type Serial struct {
	text string // the 12 characters, no hyphens
}

// New draws the serial of a label for a patient out of 16 random bytes, which
// the caller takes from a cryptographic source. The same bytes give the same
// serial.
func New(random [16]byte) Serial { return draw(random, false) }

// NewPractice draws the serial of a practice label.
func NewPractice(random [16]byte) Serial { return draw(random, true) }

// draw takes the bytes as one number of 128 bits and writes it in base 23,
// which favours no character by more than 23^11/2^128 < 1e-23.
func draw(random [16]byte, forPractice bool) Serial {
	n := number{binary.BigEndian.Uint64(random[:8]), binary.BigEndian.Uint64(random[8:])}
	s := make([]byte, 0, length)
	if forPractice {
		s = append(s, practice)
	} else {
		first := strings.ReplaceAll(alphabet, string(practice), "")
		s = append(s, first[n.digit(len(first))])
	}
	for len(s) < length-2 {
		s = append(s, alphabet[n.digit(len(alphabet))])
	}
	// The last free character is one of those that lead to a check character
	// of the alphabet: at least 23 + 23 - 37 = 9 of them.
	ends := endings(s)
	return Serial{text: string(append(s, ends[n.digit(len(ends))]...))}
}

// number is an unsigned integer of 128 bits.
type number struct{ hi, lo uint64 }

// digit divides n by base and gives the remainder.
func (n *number) digit(base int) int {
	var rem uint64
	n.hi, rem = bits.Div64(0, n.hi, uint64(base))
	n.lo, rem = bits.Div64(rem, n.lo, uint64(base))
	return int(rem)
}

// endings are the two last characters that may follow the ten before.
func endings(before []byte) []string {
	var out []string
	for i := range len(alphabet) {
		body := string(before) + alphabet[i:i+1]
		if c := checkCharacter(body); strings.IndexByte(alphabet, c) >= 0 {
			out = append(out, body[len(before):]+string(c))
		}
	}
	return out
}

// Parse reads a serial as a person types it or a scanner sends it: letter case, spaces and hyphens
// do not matter. Every refusal is an *Error that names what is wrong:
// CodeEmpty, CodeCharacter, CodeLength or CodeCheck. Nothing is guessed.
func Parse(text string) (Serial, error) {
	var s []byte
	for i, r := range text {
		if r == '-' || unicode.IsSpace(r) {
			continue
		}
		if 'a' <= r && r <= 'z' {
			r -= 'a' - 'A'
		}
		if r > unicode.MaxASCII || strings.IndexByte(alphabet, byte(r)) < 0 {
			return Serial{}, refuse(CodeCharacter, text, fmt.Sprintf("no serial holds %q, the character at %d", r, 1+runes(text[:i])),
				"look again: a serial has only "+alphabet)
		}
		s = append(s, byte(r))
	}
	switch {
	case len(s) == 0:
		return Serial{}, refuse(CodeEmpty, text, "there is no serial", "scan the label, or type its 12 characters")
	case len(s) != length:
		return Serial{}, refuse(CodeLength, text, fmt.Sprintf("a serial has %d characters, and this has %d", length, len(s)),
			"count the groups: three of four")
	case checksum(string(s)) != 1:
		return Serial{}, refuse(CodeCheck, text, "the check character does not agree, so at least one character is wrong",
			"scan it, or type it again from the label")
	}
	return Serial{text: string(s)}, nil
}

func runes(s string) int { return len([]rune(s)) }

// IsZero tells whether the serial is absent.
func (s Serial) IsZero() bool { return s.text == "" }

// Practice tells whether the serial is one of practice.
func (s Serial) Practice() bool { return s.text != "" && s.text[0] == practice }

// Compact gives the 12 characters without hyphens, as the bar code holds them;
// it is empty for an absent serial.
func (s Serial) Compact() string { return s.text }

// String gives the serial in fours, as it is printed and recorded; it is empty
// for an absent serial.
func (s Serial) String() string {
	if s.text == "" {
		return ""
	}
	return s.text[:4] + "-" + s.text[4:8] + "-" + s.text[8:]
}

// values are the characters of ISO/IEC 7064 MOD 37-2 in the order of their
// values, 0 to 36.
const values = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"

// checksum is Σ 2^(n-i)·value(s_i) mod 37 over the n characters of s, which is
// 1 for a text with its right check character (ISO/IEC 7064:2003, MOD 37-2).
// Horner's rule: S ← 2·S + value. s holds only characters of values.
func checksum(s string) int {
	sum := 0
	for i := range len(s) {
		sum = (2*sum + strings.IndexByte(values, s[i])) % 37
	}
	return sum
}

// checkCharacter is the character that makes the checksum of s and it 1:
//
//	c ≡ 1 - 2·S  (mod 37)
func checkCharacter(s string) byte {
	return values[(38-2*checksum(s)%37)%37]
}

// mod10 tells whether the last of the digits is the check digit of a GTIN or
// SSCC: Σ w_i·d_i ≡ 0 (mod 10), w = 1, 3, 1, ... from the right (GS1 General
// Specifications, check digit calculations).
func mod10(digits string) bool {
	sum := 0
	for i := range len(digits) {
		weight := 1 + 2*((len(digits)-1-i)%2)
		sum += weight * int(digits[i]-'0')
	}
	return len(digits) > 0 && sum%10 == 0
}
