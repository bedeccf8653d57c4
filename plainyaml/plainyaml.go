// Package plainyaml reads the plain part of YAML 1.2, of which JSON is a part,
// into a tree of texts, each with its line and column.
//
// A file is one document of mappings, lists and texts. What the file means by
// a text is decided by anyone who reads the tree: 0311, 1e5, no and 2027-03-04
// stay the texts that were written. Refused, each with its place, is what two
// readers can understand differently or what makes a small file large:
// anchors, aliases, tags, merge keys, texts in blocks (| and >), keys that come
// twice, a second document, more than 16 levels, more than 64 keys in one
// mapping, and bytes that are not UTF-8 text without control characters.
//
// The grammar is that of go.yaml.in/yaml/v3, which names the line at which the
// collection around a fault begins; ours is the line of the fault itself. A
// fault of grammar has no column.
//
//	case: 1            {Mapping, items: case, 1, zone, UTC}, where 1 is a Text
//	zone: UTC
package plainyaml

import (
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Kind is what a node is.
type Kind uint8

// The kinds of nodes. Nothing is a value left empty, null or ~ without quotes.
const (
	Nothing Kind = iota
	Text
	Mapping
	List
)

// String names the kind in messages.
func (k Kind) String() string {
	return [...]string{"nothing", "a single value", "a group of fields", "a list"}[k]
}

// Node is one node of a file.
type Node struct {
	Kind Kind
	// Quoted tells a text that stands in quotes.
	Quoted bool
	// Line and Col are where it begins, from 1, Col in characters.
	Line, Col int
	// Text is that of a text, and of a key that is no text what was written.
	Text string
	// Items are those of a list, or each key of a mapping and then its value.
	Items []Node
}

// Pairs is the number of keys of a mapping.
func (n *Node) Pairs() int { return len(n.Items) / 2 }

// Key gives the key number i of a mapping, from 0.
func (n *Node) Key(i int) *Node { return &n.Items[2*i] }

// Val gives the value of key number i of a mapping, from 0.
func (n *Node) Val(i int) *Node { return &n.Items[2*i+1] }

// Find gives the value of a key of a mapping.
func (n *Node) Find(key string) (*Node, bool) {
	if n.Kind != Mapping {
		return nil, false
	}
	for i := range n.Pairs() {
		if n.Key(i).Text == key {
			return n.Val(i), true
		}
	}
	return nil, false
}

// Error says why a file cannot be read: Line and Col from 1, Col 0 for a fault
// of grammar, both 0 for one of the whole file. Code is stable.
type Error struct {
	Line, Col       int
	Code, Msg, Hint string
}

func (e *Error) Error() string {
	return Place(e.Line, e.Col) + e.Msg + "; " + e.Hint
}

// Place writes a line and a column in front of a message; without a column, or
// without both, where they are 0.
func Place(line, col int) string {
	switch {
	case line == 0:
		return ""
	case col == 0:
		return "line " + strconv.Itoa(line) + ": "
	}
	return fmt.Sprintf("line %d, column %d: ", line, col)
}

// Limits that keep a hostile file cheap.
const (
	mostDepth = 16
	mostKeys  = 64
)

// Parse reads a file of at most that many bytes. A file that holds nothing
// gives a node of the kind Nothing. The error is an *Error.
func Parse(data []byte, most int) (Node, error) {
	text, bad := clean(data, most)
	if bad != nil {
		return Node{}, bad
	}
	text = unescapeJSON(text)
	doc, bad := parse(text)
	if bad != nil {
		return Node{}, bad
	}
	if doc == nil {
		return Node{}, nil
	}
	root, bad := convert(doc.Content[0], 1)
	if bad != nil {
		return Node{}, bad
	}
	return root, nil
}

// parse gives the document of a text, nil where it holds none.
func parse(text string) (*yaml.Node, *Error) {
	d := yaml.NewDecoder(strings.NewReader(text))
	var first, second yaml.Node
	fault := grammar(d.Decode(&first))
	if fault == "" && first.Kind == 0 {
		return nil, nil
	}
	if fault == "" {
		fault = grammar(d.Decode(&second))
	}
	switch {
	case fault != "":
		return nil, grammarError(faultyLine(text, fault), fault)
	case second.Kind != 0:
		return nil, fail(&second, "several-documents", "a file holds one document", "take this line away, and what belongs to another document with it")
	}
	return &first, nil
}

// grammar gives the message of a fault of grammar, and nothing for the end of
// the file.
func grammar(err error) string {
	if err == nil {
		return ""
	}
	msg, found := strings.CutPrefix(err.Error(), "yaml: ")
	if !found {
		return "" // the end of the file
	}
	return msg
}

// faults are the library's words for the faults that people make, in ours, and
// the way out of each.
var faults = []struct{ theirs, msg, hint string }{
	{"mapping values are not allowed", "a colon stands where no key can begin", "put a text with a colon in double quotes, and line keys up with each other"},
	{"cannot start any token", "a value begins with a tab, @, % or `", "indent with spaces, and put a text that begins so in double quotes"},
	{"expected ':'", "a key has no colon", "write key: value, with a space after the colon"},
	{"expected ',' or", "a bracket is not closed here, or a comma is missing", "close each bracket, and put a text with a colon, comma or bracket in double quotes"},
	{"expected node content", "a value is missing", "write one, and close each bracket"},
	{"unexpected end of stream", "a quote is not closed", "write the quote where the text ends"},
	{"escape", "there is no such escape in a text", `write \\ for a backslash`},
	{"block sequence entries", "a list with dashes begins beside its key", "put the dash on the next line, or write [a, b]"},
	{"expected key", "this line does not belong to what is above it", "line up what belongs together"},
	{"expected '-'", "this line does not belong to the list above it", "line up what belongs together"},
	{"document start", "this line belongs to nothing above it", "line up what belongs together"},
	{"unknown anchor", "aliases are not read", "write the value out, or put a text that begins with * in double quotes"},
	{"exceeded max depth", "the file is nested too deep", "check that it is the right file"},
}

func grammarError(line int, fault string) *Error {
	for _, f := range faults {
		if strings.Contains(fault, f.theirs) {
			return &Error{line, 0, "not-yaml", f.msg, f.hint}
		}
	}
	_, msg, found := strings.Cut(fault, ": ") // behind the line
	if !found {
		msg = fault
	}
	return &Error{line, 0, "not-yaml", "this is not YAML: " + msg, "write it as the examples are"}
}

// mostSearched bounds the files in which the line of a fault is searched for,
// in bytes: each step of the search reads a part of the file again.
const mostSearched = 1 << 16

// faultyLine finds the line of a fault: the last one of the shortest beginning
// of the text that has the same fault. In a long text it is the line that the
// library names.
func faultyLine(text, fault string) int {
	if len(text) > mostSearched {
		named := 1
		_, _ = fmt.Sscanf(fault, "line %d: ", &named) // a fault on line 1 has none
		return named
	}
	lines := strings.SplitAfter(text, "\n")
	good, bad := 0, len(lines)
	for good+1 < bad {
		half := (good + bad) / 2
		d := yaml.NewDecoder(strings.NewReader(strings.Join(lines[:half], "")))
		var n, after yaml.Node
		if got := grammar(d.Decode(&n)); got == fault || got == "" && grammar(d.Decode(&after)) == fault {
			bad = half
		} else {
			good = half
		}
	}
	return bad
}

func fail(n *yaml.Node, code, msg, hint string) *Error {
	return &Error{n.Line, n.Column, code, msg, hint}
}

// special refuses what plain YAML does without.
func special(n *yaml.Node) *Error {
	no := func(what, hint string) *Error { return fail(n, "yaml-not-read", what+" are not read", hint) }
	const write = "write the value out, or put a text that begins so in double quotes"
	switch {
	case n.Kind == yaml.AliasNode:
		return no("aliases", write)
	case n.Anchor != "":
		return no("anchors", write)
	case n.Style&yaml.TaggedStyle != 0:
		return no("tags", write)
	case n.Tag == "!!merge":
		return no("merge keys", "write the fields out")
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return no("texts of several lines", "write the text on one line")
	}
	return nil
}

// convert makes a node of ours out of one of the library's.
func convert(n *yaml.Node, depth int) (Node, *Error) {
	if bad := special(n); bad != nil {
		return Node{}, bad
	}
	if depth > mostDepth {
		return Node{}, fail(n, "too-deep", "the file is nested more than "+strconv.Itoa(mostDepth)+" deep", "no file needs so much")
	}
	out := Node{Line: n.Line, Col: n.Column, Text: n.Value, Quoted: n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0}
	switch n.Kind {
	case yaml.MappingNode:
		out.Kind = Mapping
	case yaml.SequenceNode:
		out.Kind = List
	default:
		if out.Quoted || n.Tag != "!!null" {
			out.Kind = Text
		}
		return out, nil
	}
	out.Items = make([]Node, 0, len(n.Content))
	for i, c := range n.Content {
		key := out.Kind == Mapping && i%2 == 0
		item, bad := convert(c, depth+1)
		if bad == nil && key {
			bad = out.newKey(c, &item)
		}
		if bad != nil {
			return Node{}, bad
		}
		out.Items = append(out.Items, item)
	}
	return out, nil
}

// newKey asks that a key is a word, new in its mapping, and not one too many.
func (n *Node) newKey(at *yaml.Node, key *Node) *Error {
	_, twice := n.Find(key.Text)
	switch {
	case key.Kind == Mapping || key.Kind == List:
		return fail(at, "no-key", "a key was expected here", "write key: value")
	case twice:
		return fail(at, "duplicate-key", "the key "+quote(key.Text)+" comes twice here", "take one away")
	case n.Pairs() == mostKeys:
		return fail(at, "too-many-keys", "there are more than "+strconv.Itoa(mostKeys)+" keys here", "check that it is the right file")
	}
	return nil
}

// quote shortens a text for a message.
func quote(s string) string {
	if r := []rune(s); len(r) > 40 {
		s = string(r[:39]) + "…"
	}
	return strconv.Quote(s)
}
