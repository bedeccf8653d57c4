package journal

import (
	"strconv"
	"strings"
)

// nodeKind is what a node of a case file is.
type nodeKind uint8

const (
	nothing nodeKind = iota // left empty, null or ~
	word                    // text, with or without quotes
	mapping
	sequence
)

// what names the kind in messages.
func (k nodeKind) what() string {
	return [...]string{"nothing", "a single value", "a group of fields", "a list"}[k]
}

// node is one node of a case file. Words are kept as written: what they mean
// is decided by the field they stand in.
type node struct {
	kind   nodeKind
	quoted bool
	// off is the byte it begins at; a file is far shorter than 2^31.
	off  int32
	text string
	// items are those of a sequence, or each key of a mapping and its value.
	items []node
}

// pairs is the number of keys of a mapping, key and val give one and its value.
func (n *node) pairs() int      { return len(n.items) / 2 }
func (n *node) key(i int) *node { return &n.items[2*i] }
func (n *node) val(i int) *node { return &n.items[2*i+1] }

// find gives the value of a key.
func (n *node) find(key string) (*node, bool) {
	for i := range n.pairs() {
		if n.key(i).text == key {
			return n.val(i), true
		}
	}
	return nil, false
}

// Limits that keep a hostile file cheap; a case file stays far below them.
const (
	mostDepth  = 16
	mostKeys   = 64
	mostListed = 1 << 16 // the shortest entry has 16 bytes
)

// yaml reads the part of YAML 1.2 that case files are written in: block and
// flow collections and words of one line. It never looks at a byte more than
// a few times and never goes deeper than mostDepth.
type yaml struct {
	src source
	pos int
	// start is the byte the present line begins at.
	start int
	// more tells that there is a next line with content, indent how far in it
	// begins. Both hold after every block node.
	more   bool
	indent int
	depth  int
	// begun tells that the document has begun, so that a marker is a second.
	begun bool
}

// parseYAML reads the one document of a case file.
func parseYAML(src source) (node, *FileError) {
	y := yaml{src: src}
	if err := y.nextLine(); err != nil {
		return node{}, err
	}
	y.begun = true
	if y.more && y.marker("---") {
		y.pos += len("---")
		if err := y.endLine(); err != nil {
			return node{}, err
		}
		if err := y.nextLine(); err != nil {
			return node{}, err
		}
	}
	if !y.more {
		return node{}, nil
	}
	root, err := y.block(y.indent)
	switch {
	case err != nil:
		return node{}, err
	case y.more:
		return node{}, y.fail(y.pos, "bad-indent", "this line belongs to nothing above it", "line it up with the lines it belongs to")
	}
	return root, nil
}

func (y *yaml) fail(off int, code, msg, hint string) *FileError {
	return y.src.fail(off, code, msg, hint)
}

// here is the place of a node that begins at the present byte.
func (y *yaml) here() int32 { return int32(y.pos) }

// peek gives the byte at distance n, 0 at the end.
func (y *yaml) peek(n int) byte {
	if y.pos+n < len(y.src) {
		return y.src[y.pos+n]
	}
	return 0
}

// blank tells that c ends a word: space, tab, line end or end of file.
func blank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == 0 }

// spaces skips spaces and tabs.
func (y *yaml) spaces() {
	for y.peek(0) == ' ' || y.peek(0) == '\t' {
		y.pos++
	}
}

// marker tells that the line is a document marker.
func (y *yaml) marker(m string) bool {
	return y.pos == y.start && strings.HasPrefix(string(y.src[y.pos:]), m) && blank(y.peek(len(m)))
}

// skipLine goes to the beginning of the next line.
func (y *yaml) skipLine() {
	if n := strings.IndexByte(string(y.src[y.pos:]), '\n'); n >= 0 {
		y.pos += n + 1
	} else {
		y.pos = len(y.src)
	}
	y.start = y.pos
}

// nextLine goes from the beginning of a line to the first content at or below
// it.
func (y *yaml) nextLine() *FileError {
	for ; y.pos < len(y.src); y.skipLine() {
		for y.peek(0) == ' ' {
			y.pos++
		}
		y.indent = y.pos - y.start
		at := y.pos
		y.spaces()
		switch c := y.peek(0); {
		case c == '\n' || c == '#' || y.pos == len(y.src):
			continue
		case y.pos > at:
			return y.fail(at, "tab", "a tab cannot indent a line", "use spaces")
		case y.begun && (y.marker("---") || y.marker("...")):
			return y.fail(at, "several-documents", "a case file holds one document", "take this line away, and what belongs to another case with it")
		case c == '%' && y.indent == 0:
			return y.fail(at, "yaml-not-read", "directives are not read", "take this line away")
		}
		y.more = true
		return nil
	}
	y.more = false
	return nil
}

// endLine asks that nothing but a comment follows on the line, and goes to the
// next one.
func (y *yaml) endLine() *FileError {
	at := y.pos
	y.spaces()
	switch c := y.peek(0); {
	case c == '\n' || y.pos == len(y.src):
	case c == '#' && y.pos > at:
	default:
		return y.fail(y.pos, "trailing", "something follows the value on its line", "put a text with such characters in double quotes")
	}
	y.skipLine()
	return nil
}

// dash tells that an item of a block sequence begins here.
func (y *yaml) dash() bool { return y.peek(0) == '-' && blank(y.peek(1)) }

// enter bounds the depth.
func (y *yaml) enter() *FileError {
	if y.depth++; y.depth > mostDepth {
		return y.fail(y.pos, "too-deep", "the file is nested more than "+strconv.Itoa(mostDepth)+" deep", "a case file needs half of that")
	}
	return nil
}

// block reads the node that begins here, col bytes into its line.
func (y *yaml) block(col int) (node, *FileError) {
	if err := y.enter(); err != nil {
		return node{}, err
	}
	defer func() { y.depth-- }()
	switch {
	case y.dash():
		return y.blockSequence(col)
	case y.keyAhead():
		return y.blockMapping(col)
	}
	return y.inline()
}

// inline reads a value that stands on the rest of the line, and goes to the
// next line.
func (y *yaml) inline() (n node, err *FileError) {
	switch c := y.peek(0); {
	case c == '{' || c == '[':
		n, err = y.flow()
	case c == '"' || c == '\'':
		n, err = y.quoted()
	default:
		n, err = y.plain(false)
	}
	if err == nil {
		err = y.endLine()
	}
	if err == nil {
		err = y.nextLine()
	}
	return n, err
}

// nested reads the value of a key or dash when nothing follows on its line: a
// block further in than col, or nothing. A sequence may stand under its key
// without going further in.
func (y *yaml) nested(col int, underKey bool) (node, *FileError) {
	off := y.here()
	y.skipLine()
	if err := y.nextLine(); err != nil {
		return node{}, err
	}
	switch {
	case y.more && y.indent > col:
		return y.block(y.indent)
	case y.more && y.indent == col && underKey && y.dash():
		return y.block(col)
	}
	return node{off: off}, nil
}

// restEmpty skips spaces and tells that only a comment, or nothing, follows.
func (y *yaml) restEmpty() bool {
	at := y.pos
	y.spaces()
	c := y.peek(0)
	return c == '\n' || y.pos == len(y.src) || c == '#' && y.pos > at
}

func (y *yaml) blockSequence(col int) (node, *FileError) {
	n := node{kind: sequence, off: y.here()}
	for {
		y.pos++
		var x node
		var err *FileError
		if y.restEmpty() {
			x, err = y.nested(col, false)
		} else if strings.IndexByte(string(y.src[y.start:y.pos]), '\t') >= 0 {
			err = y.fail(y.pos-1, "tab", "a tab cannot indent", "use spaces")
		} else {
			x, err = y.block(y.pos - y.start)
		}
		if err != nil {
			return node{}, err
		}
		if err := y.addItem(&n, x); err != nil {
			return node{}, err
		}
		if !y.more || y.indent < col || y.indent == col && !y.dash() {
			return n, nil
		}
		if y.indent > col {
			return node{}, y.continued()
		}
	}
}

func (y *yaml) blockMapping(col int) (node, *FileError) {
	n := node{kind: mapping, off: y.here()}
	for {
		key, err := y.key()
		if err == nil {
			err = y.newKey(&n, &key)
		}
		if err != nil {
			return node{}, err
		}
		var x node
		switch {
		case y.restEmpty():
			x, err = y.nested(col, true)
		case y.dash():
			err = y.fail(y.pos, "bad-list", "a list with dashes begins on a line of its own", "put the dash on the next line, or write [a, b]")
		default:
			x, err = y.inline()
		}
		if err != nil {
			return node{}, err
		}
		n.items = append(n.items, key, x)
		switch {
		case !y.more || y.indent < col:
			return n, nil
		case y.indent > col:
			return node{}, y.continued()
		case y.dash():
			return node{}, y.fail(y.pos, "bad-indent", "a list item stands among keys", "line the dash up with the other items of its list")
		case !y.keyAhead():
			return node{}, y.notKey()
		}
	}
}

// continued refuses a line further in than what it could belong to.
func (y *yaml) continued() *FileError {
	return y.fail(y.pos, "bad-indent", "this line is further in than the one above it, and belongs to nothing",
		"a value stays on one line; line keys up with each other")
}

// addItem takes an item into a list.
func (y *yaml) addItem(n *node, x node) *FileError {
	if len(n.items) == mostListed {
		return y.fail(int(x.off), "too-many-items", "the list has more than "+strconv.Itoa(mostListed)+" items", "check that it is a case file")
	}
	n.items = append(n.items, x)
	return nil
}

// newKey asks that a key is new in its mapping, and not one too many.
func (y *yaml) newKey(n, key *node) *FileError {
	switch _, twice := n.find(key.text); {
	case twice:
		return y.fail(int(key.off), "duplicate-key", "the key "+quote(key.text)+" comes twice here", "take one away")
	case n.pairs() == mostKeys:
		return y.fail(int(key.off), "too-many-keys", "there are more than "+strconv.Itoa(mostKeys)+" keys here", "check that it is a case file")
	}
	return nil
}

// keyAhead tells that the line begins with a key and its colon.
func (y *yaml) keyAhead() bool {
	save := y.pos
	defer func() { y.pos = save }()
	if c := y.peek(0); c == '"' || c == '\'' {
		if _, err := y.quoted(); err != nil {
			return false
		}
		y.spaces()
		return y.peek(0) == ':' && blank(y.peek(1))
	}
	if c := y.peek(0); c == '{' || c == '[' {
		return false
	}
	return y.colon() >= 0
}

// colon finds the colon that ends a key without quotes, -1 if there is none
// on the line.
func (y *yaml) colon() int {
	for i := y.pos; i < len(y.src) && y.src[i] != '\n'; i++ {
		switch c := y.src[i]; {
		case c == ':' && (i+1 == len(y.src) || blank(y.src[i+1])):
			return i
		case c == '#' && i > y.pos && blank(y.src[i-1]):
			return -1
		}
	}
	return -1
}

// key reads a key and its colon.
func (y *yaml) key() (n node, err *FileError) {
	if c := y.peek(0); c == '"' || c == '\'' {
		n, err = y.quoted()
		y.spaces()
	} else {
		if err := y.special(); err != nil {
			return node{}, err
		}
		end := y.colon()
		n = node{kind: word, off: y.here(), text: strings.TrimRight(string(y.src[y.pos:end]), " \t")}
		y.pos = end
	}
	y.pos++ // the colon, which keyAhead has seen
	return n, err
}

// notKey refuses a line among keys that has none.
func (y *yaml) notKey() *FileError {
	if err := y.special(); err != nil {
		return err
	}
	return y.fail(y.pos, "no-key", "a key with a colon was expected here", "write key: value, with a space after the colon")
}
