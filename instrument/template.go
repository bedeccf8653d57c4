package instrument

import (
	"encoding/hex"
	"strconv"
	"strings"
)

// kind says what a token of a pattern stands for.
type kind int

const (
	literal kind = iota // bytes that stand for themselves
	blank               // one or more spaces or tabs
	from                // the checksum begins here
	to                  // the checksum ends here
	value
	unit
	state
	nuclide
	serial
	insert
	skip
	check
	kinds
)

// fieldNames are the words between braces.
var fieldNames = [kinds]string{
	from: "from", to: "to", value: "value", unit: "unit", state: "state",
	nuclide: "nuclide", serial: "serial", insert: "insert", skip: "skip", check: "check",
}

// maxWidth is the greatest width of a field, that of the longest number the
// package quantity reads.
const maxWidth = 64

// token is one piece of a pattern.
type token struct {
	kind  kind
	text  []byte // of a literal
	width int    // of a field in bytes; 0 where it is as long as it is
	at    int    // place in the pattern, from 1
	stop  int    // first byte of the literal right after a field, or -1
}

func (t token) isField() bool { return t.kind >= value }

func (t token) name() string {
	switch t.kind {
	case literal:
		return strconv.Quote(string(t.text))
	case blank:
		return "a blank"
	}
	return "{" + fieldNames[t.kind] + "}"
}

// scanPattern takes a pattern apart. The grammar is in the package comment.
func scanPattern(s string) ([]token, *Error) {
	var out []token
	add := func(at int, b byte) {
		if n := len(out); n > 0 && out[n-1].kind == literal {
			out[n-1].text = append(out[n-1].text, b)
			return
		}
		out = append(out, token{kind: literal, text: []byte{b}, at: at, stop: -1})
	}
	for i := 0; i < len(s); {
		at := i + 1
		b, n, ok := escaped(s[i:])
		switch {
		case ok:
			add(at, b)
		case s[i] == '{':
			t, size, err := scanField(s, i)
			if err != nil {
				return nil, err
			}
			out, n = append(out, t), size
		case s[i] == '}':
			return nil, refuse(CodePattern, s, at, "a closing brace without an opening one", "write }} for a brace on the line")
		case isBlank(s[i]):
			n = blanks(s[i:])
			out = append(out, token{kind: blank, at: at, stop: -1})
		case isControl(s[i]):
			return nil, refuse(CodePattern, s, at, "a control character stands in the pattern", "write it as "+hexEscape(s[i]))
		default:
			add(at, s[i])
			n = 1
		}
		i += n
	}
	return out, nil
}

func scanField(s string, i int) (t token, size int, err *Error) {
	no := func(msg, hint string) (token, int, *Error) {
		return token{}, 0, refuse(CodePattern, s, i+1, msg, hint)
	}
	end := strings.IndexByte(s[i:], '}')
	if end < 0 {
		return no("the brace is not closed", "write {{ for a brace on the line")
	}
	name, width, sized := strings.Cut(s[i+1:i+end], ":")
	t = token{at: i + 1, stop: -1}
	for k := from; k < kinds; k++ {
		if fieldNames[k] == name {
			t.kind = k
		}
	}
	if t.kind == literal {
		return no("there is no field {"+s[i+1:i+end]+"}", "the fields are {value} {unit} {state} {nuclide} {insert} {serial} {skip} {check} {from} {to}, and {x02} is the byte 02")
	}
	if !sized {
		return t, end + 1, nil
	}
	n, convErr := strconv.Atoi(width)
	if convErr != nil || n < 1 || n > maxWidth || strconv.Itoa(n) != width {
		return no("the width "+strconv.Quote(width)+" is not a whole number from 1 to "+strconv.Itoa(maxWidth), "write it like {value:8}")
	}
	if t.kind == from || t.kind == to || t.kind == check {
		return no("{"+name+"} has no width of its own", "write {"+name+"}")
	}
	t.width = n
	return t, end + 1, nil
}

// escaped reads {{, }} or {xNN} at the start of s, n bytes that stand for b.
func escaped(s string) (b byte, n int, ok bool) {
	switch {
	case strings.HasPrefix(s, "{{"), strings.HasPrefix(s, "}}"):
		return s[0], 2, true
	case len(s) >= 5 && s[:2] == "{x" && s[4] == '}':
		if raw, err := hex.DecodeString(s[2:4]); err == nil {
			return raw[0], 5, true
		}
	}
	return 0, 0, false
}

// plain reads a text of a description, in which only {{, }} and {xNN} are
// special, into the bytes it stands for.
func plain(s string) (string, *Error) {
	var out []byte
	for i := 0; i < len(s); {
		b, n, ok := escaped(s[i:])
		switch {
		case ok:
		case s[i] == '{' || s[i] == '}':
			return "", refuse(CodeDescription, s, i+1, "a single brace stands here", "write {{ or }} for a brace, {x02} for the byte 02")
		case isControl(s[i]):
			return "", refuse(CodeDescription, s, i+1, "a control character stands in the text", "write it as "+hexEscape(s[i]))
		default:
			b, n = s[i], 1
		}
		out = append(out, b)
		i += n
	}
	return string(out), nil
}

func hexEscape(b byte) string { return "{x" + strings.ToUpper(hex.EncodeToString([]byte{b})) + "}" }

func isBlank(b byte) bool   { return b == ' ' || b == '\t' }
func isControl(b byte) bool { return b < ' ' && b != '\t' || b == 0x7f }
func isDigit(b byte) bool   { return '0' <= b && b <= '9' }

// isWord tells whether b can be part of a word: a letter, a digit, or a byte
// beyond ASCII.
func isWord(b byte) bool {
	return isDigit(b) || 'a' <= b|0x20 && b|0x20 <= 'z' || b >= 0x80
}

func blanks[S string | []byte](s S) int {
	n := 0
	for n < len(s) && isBlank(s[n]) {
		n++
	}
	return n
}
