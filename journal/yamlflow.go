package journal

import (
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// special refuses what begins like a part of YAML that case files do without.
func (y *yaml) special() *FileError {
	no := func(what, hint string) *FileError { return y.fail(y.pos, "yaml-not-read", what+" not read", hint) }
	const write = "write the value out, or put a text that begins so in double quotes"
	switch c := y.peek(0); c {
	case '&':
		return no("anchors are", write)
	case '*':
		return no("aliases are", write)
	case '!':
		return no("tags are", write)
	case '|', '>':
		return no("texts of several lines are", "write the text on one line")
	case '%', '@', '`':
		return no("words that begin with "+string(c)+" are", "put the text in double quotes")
	case ',', ']', '}', '#':
		return y.fail(y.pos, "no-value", "a value was expected before "+string(c), "write a value, or put the text in double quotes")
	case '?', '-', ':':
		if blank(y.peek(1)) {
			return no("a "+string(c)+" and a space here are", "write key: value")
		}
	case '<':
		if y.peek(1) == '<' {
			return no("merge keys are", "write the fields out")
		}
	}
	return nil
}

// plain reads a word without quotes: to the end of the line or a comment, and
// in a flow collection to the next comma, bracket or colon.
func (y *yaml) plain(inFlow bool) (node, *FileError) {
	if err := y.special(); err != nil {
		return node{}, err
	}
	i := y.pos
scan:
	for ; i < len(y.src); i++ {
		switch c := y.src[i]; {
		case c == '\n' || c == '#' && i > y.pos && blank(y.src[i-1]):
			break scan
		case inFlow && strings.IndexByte(",[]{}", c) >= 0:
			break scan
		case c == ':' && (i+1 == len(y.src) || blank(y.src[i+1]) || inFlow && strings.IndexByte(",[]{}", y.src[i+1]) >= 0):
			if inFlow {
				break scan
			}
			return node{}, y.fail(i, "colon-in-value", "a colon and a space stand inside a value", "put a text with a colon in double quotes")
		}
	}
	n := node{kind: word, off: y.here(), text: strings.TrimRight(string(y.src[y.pos:i]), " \t")}
	y.pos += len(n.text)
	switch n.text {
	case "":
		return node{}, y.fail(y.pos, "no-value", "a value was expected here", "")
	case "~", "null", "Null", "NULL":
		n = node{off: n.off}
	}
	return n, nil
}

// gap skips spaces, line ends and comments between the parts of a flow
// collection.
func (y *yaml) gap() *FileError {
	for at := y.pos; ; {
		y.spaces()
		switch c := y.peek(0); {
		case c == '#' && (y.pos > at || y.pos == y.start), c == '\n':
			y.skipLine()
			if y.marker("---") || y.marker("...") {
				return y.fail(y.pos, "several-documents", "a case file holds one document", "close the bracket above, and take this line away")
			}
		default:
			return nil
		}
	}
}

// flow reads a collection in brackets or braces.
func (y *yaml) flow() (node, *FileError) {
	if err := y.enter(); err != nil {
		return node{}, err
	}
	defer func() { y.depth-- }()
	n, end := node{kind: mapping, off: y.here()}, byte('}')
	if y.peek(0) == '[' {
		n.kind, end = sequence, ']'
	}
	y.pos++
	for {
		if err := y.gap(); err != nil {
			return node{}, err
		}
		if y.peek(0) == end {
			y.pos++
			return n, nil
		}
		if err := y.flowItem(&n); err != nil {
			return node{}, err
		}
		if err := y.gap(); err != nil {
			return node{}, err
		}
		switch y.peek(0) {
		case ',':
			y.pos++
		case end:
		default:
			return node{}, y.unclosed(&n, end)
		}
	}
}

// unclosed refuses what is neither a comma nor the end of a collection.
func (y *yaml) unclosed(n *node, end byte) *FileError {
	line, col := y.src.place(int(n.off))
	opened := string(y.src[n.off]) + " of line " + strconv.Itoa(line) + ", column " + strconv.Itoa(col)
	if y.pos == len(y.src) {
		return y.fail(int(n.off), "unclosed", "the "+opened+" is not closed", "write "+string(end)+" where it ends")
	}
	if n.kind == sequence && y.peek(0) == ':' {
		return y.fail(y.pos, "bad-list", "a key stands in a list without braces", "write [{key: value}]")
	}
	return y.fail(y.pos, "unclosed", "a comma or the "+string(end)+" of the "+opened+" was expected here", "a value stays on one line; put a text with such characters in double quotes")
}

// flowItem reads an item of a sequence, or a key and its value.
func (y *yaml) flowItem(n *node) *FileError {
	x, err := y.flowValue()
	if err != nil {
		return err
	}
	if n.kind == sequence {
		return y.addItem(n, x)
	}
	if x.kind == mapping || x.kind == sequence {
		return y.fail(int(x.off), "no-key", "a key was expected here", "write key: value")
	}
	if x.kind == nothing {
		x.text = string(y.src[x.off:y.pos])
	}
	if err := y.newKey(n, &x); err != nil {
		return err
	}
	if err := y.gap(); err != nil {
		return err
	}
	value := node{off: y.here()}
	if y.peek(0) == ':' {
		y.pos++
		if err := y.gap(); err != nil {
			return err
		}
		value.off = y.here()
		if c := y.peek(0); c != ',' && c != '}' {
			if value, err = y.flowValue(); err != nil {
				return err
			}
		}
	}
	n.items = append(n.items, x, value)
	return nil
}

func (y *yaml) flowValue() (node, *FileError) {
	switch y.peek(0) {
	case '{', '[':
		return y.flow()
	case '"', '\'':
		return y.quoted()
	}
	return y.plain(true)
}

// quoted reads a text in single or double quotes on one line.
func (y *yaml) quoted() (node, *FileError) {
	n := node{kind: word, quoted: true, off: y.here()}
	mark := y.peek(0)
	var out []byte
	run := y.pos + 1 // what is copied as it stands begins here
	for i := run; i < len(y.src) && y.src[i] != '\n'; i++ {
		c := y.src[i]
		switch {
		case c == '\'' && mark == c && i+1 < len(y.src) && y.src[i+1] == c:
			out = append(append(out, y.src[run:i]...), c)
			i++
			run = i + 1
		case c == mark:
			n.text = string(append(out, y.src[run:i]...))
			y.pos = i + 1
			return n, nil
		case c == '\\' && mark == '"':
			out = append(out, y.src[run:i]...)
			r, size := escape(string(y.src[i:]))
			if size == 0 {
				return node{}, y.fail(i, "bad-escape", "there is no such escape in a text", `write \\ for a backslash`)
			}
			out = utf8.AppendRune(out, r)
			i += size - 1
			run = i + 1
		}
	}
	return node{}, y.fail(int(n.off), "unclosed", "the quote is not closed on its line", "write "+string(mark)+" where the text ends; a text stays on one line")
}

// escapes are the escapes of one character (YAML 1.2.2, 5.7; JSON's are among
// them).
var escapes = map[byte]rune{
	'0': 0, 'a': 7, 'b': 8, 't': 9, '\t': 9, 'n': 10, 'v': 11, 'f': 12, 'r': 13, 'e': 27,
	' ': ' ', '"': '"', '/': '/', '\\': '\\', 'N': 0x85, '_': 0xA0, 'L': 0x2028, 'P': 0x2029,
}

// escape reads an escape in double quotes and gives its length, 0 for none.
func escape(s string) (r rune, size int) {
	if len(s) < 2 {
		return 0, 0
	}
	if r, ok := escapes[s[1]]; ok {
		return r, 2
	}
	digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[s[1]]
	size = 2 + digits
	r, ok := hexDigits(s, digits)
	if ok && s[1] == 'u' && utf16.IsSurrogate(r) {
		return surrogates(r, s[size:])
	}
	if !ok || !utf8.ValidRune(r) {
		return 0, 0
	}
	return r, size
}

// surrogates joins the two halves in which JSON writes a character above
// U+FFFF.
func surrogates(high rune, rest string) (r rune, size int) {
	if !strings.HasPrefix(rest, `\u`) {
		return 0, 0
	}
	low, ok := hexDigits(rest, 4)
	if r = utf16.DecodeRune(high, low); !ok || r == utf8.RuneError {
		return 0, 0
	}
	return r, len(`\uD800\uDC00`)
}

// hexDigits reads the digits after the two characters of an escape.
func hexDigits(s string, digits int) (rune, bool) {
	if digits == 0 || len(s) < 2+digits {
		return 0, false
	}
	v, err := strconv.ParseUint(s[2:2+digits], 16, 31)
	return rune(v), err == nil
}
