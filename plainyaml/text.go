package plainyaml

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// clean makes the bytes of a file into text: UTF-8 without control characters
// but tab and line end, a byte order mark in front taken off, Windows line ends
// made plain.
func clean(data []byte, most int) (string, *Error) {
	if len(data) > most {
		return "", &Error{
			Code: "too-large", Msg: "the file is larger than " + strconv.Itoa(most) + " bytes, the most it can be",
			Hint: "check that it is the right file",
		}
	}
	s := strings.ReplaceAll(strings.TrimPrefix(string(data), "\uFEFF"), "\r\n", "\n")
	at, size := 0, 0
	for ; at < len(s); at += size {
		var r rune
		if r, size = utf8.DecodeRuneInString(s[at:]); unreadable(r) || r == utf8.RuneError && size == 1 {
			break
		}
	}
	if at == len(s) {
		return s, nil
	}
	e := &Error{
		Line: 1 + strings.Count(s[:at], "\n"), Col: 1 + utf8.RuneCountInString(s[strings.LastIndexByte(s[:at], '\n')+1:at]),
		Code: "control-character", Hint: "save it as plain UTF-8 text",
	}
	if r := s[at : at+size]; utf8.ValidString(r) {
		e.Msg = "the file holds the control character " + strconv.QuoteToASCII(r)
	} else {
		e.Code, e.Msg, e.Hint = "not-utf-8", "the file is not UTF-8 here", "save it as UTF-8"
	}
	return "", e
}

// unreadable tells what no reader of YAML has to accept as it stands (YAML
// 1.2.2, 5.1), and what one reader takes for a line end and another does not
// (5.4): U+0085, U+2028 and U+2029. In double quotes each can be written as an
// escape.
func unreadable(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case r < ' ' || r >= 0x7f && r < 0xa0:
		return true
	}
	return r == 0x2028 || r == 0x2029 || r == 0xfeff || r == 0xfffe || r == 0xffff
}

// jsonEscape is an escaped backslash, or an escape of JSON that the library
// does not have: a slash, and a character above U+FFFF in two halves.
var jsonEscape = regexp.MustCompile(`\\(\\|/|u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2})`)

// unescapeJSON writes such characters of a JSON file as themselves (RFC 8259,
// 7).
func unescapeJSON(s string) string {
	if !jsonEscape.MatchString(s) || !json.Valid([]byte(s)) {
		return s
	}
	return jsonEscape.ReplaceAllStringFunc(s, func(e string) string {
		switch e {
		case `\\`:
			return e
		case `\/`:
			return "/"
		}
		high, _ := strconv.ParseUint(e[2:6], 16, 16)
		low, _ := strconv.ParseUint(e[8:], 16, 16)
		return string(utf16.DecodeRune(rune(high), rune(low)))
	})
}
