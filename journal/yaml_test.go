package journal_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"pgregory.net/rapid"

	"vialwright/journal"
)

// treeOf reads YAML with another reader into the shape of journal.Tree.
func treeOf(data []byte) (any, error) {
	f, err := parser.ParseBytes(data, 0)
	if err != nil {
		return nil, err
	}
	if len(f.Docs) != 1 {
		return nil, fmt.Errorf("%d documents", len(f.Docs))
	}
	return plainTree(f.Docs[0].Body)
}

func plainTree(n ast.Node) (any, error) {
	switch n := n.(type) {
	case nil, *ast.NullNode:
		return nil, nil
	case *ast.MappingNode:
		m := map[string]any{}
		for _, v := range n.Values {
			x, err := plainTree(v.Value)
			if err != nil {
				return nil, err
			}
			m[v.Key.GetToken().Value] = x
		}
		return m, nil
	case *ast.SequenceNode:
		list := make([]any, len(n.Values))
		for i, v := range n.Values {
			x, err := plainTree(v)
			if err != nil {
				return nil, err
			}
			list[i] = x
		}
		return list, nil
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return n.GetToken().Value, nil
	}
	return nil, fmt.Errorf("a node of type %T", n)
}

// drawTree draws a tree of the kind a case file can hold.
func drawTree(t *rapid.T, depth int) any {
	kind := rapid.IntRange(0, 9).Draw(t, "kind")
	switch {
	case kind < 2 && depth < 6:
		m := map[string]any{}
		for range rapid.IntRange(1, 4).Draw(t, "keys") {
			m[rapid.StringMatching(`[a-z][a-z-]{0,8}`).Filter(isWord).Draw(t, "key")] = drawTree(t, depth+1)
		}
		return m
	case kind < 4 && depth < 6:
		list := []any{}
		for range rapid.IntRange(1, 4).Draw(t, "items") {
			list = append(list, drawTree(t, depth+1))
		}
		return list
	case kind == 4:
		return nil
	}
	return rapid.OneOf(
		rapid.StringMatching(`[0-9]{1,4}(\.[0-9]{1,3})? (GBq|mCi|mL|%|uSv/h)`),
		rapid.StringMatching(`2027-0[1-9]-1[0-9]T1[0-9]:[0-5][0-9](-01:00|Z)?`),
		rapid.StringMatching(`[A-Z][0-9]{1,2}`),
		rapid.StringMatching(`[ -~]{1,20}`),
		rapid.String(),
	).Filter(func(s string) bool { return s != "" && !hasControl(s) }).Draw(t, "text")
}

// isWord tells that a key is one for every reader, and not null or true.
func isWord(s string) bool {
	return !map[string]bool{"null": true, "true": true, "false": true, "yes": true, "no": true, "on": true, "off": true, "y": true, "n": true}[s]
}

func hasControl(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool {
		return r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xFEFF || r == 0xFFFD
	}) >= 0
}

// writeTree writes a tree as a person might: in one of the styles, drawn at
// every node.
func writeTree(t *rapid.T, b *strings.Builder, x any, indent int, flow bool) {
	pad := strings.Repeat(" ", indent)
	flow = flow || rapid.IntRange(0, 3).Draw(t, "flow") == 0
	switch x := x.(type) {
	case nil:
		b.WriteString(rapid.SampledFrom([]string{"null", "~"}).Draw(t, "nothing"))
	case string:
		writeText(t, b, x, flow)
	case map[string]any:
		keys := rapid.Permutation(keysOf(x)).Draw(t, "order")
		if flow {
			b.WriteString("{")
			for i, k := range keys {
				if i > 0 {
					b.WriteString(rapid.SampledFrom([]string{", ", ",", " , ", ",\n " + pad}).Draw(t, "comma"))
				}
				b.WriteString(k + ": ")
				writeTree(t, b, x[k], indent+1, true)
			}
			b.WriteString("}")
			return
		}
		for _, k := range keys {
			b.WriteString("\n" + pad + k + ": ")
			writeTree(t, b, x[k], indent+rapid.IntRange(1, 4).Draw(t, "in"), false)
		}
	case []any:
		if flow {
			b.WriteString("[")
			for i, v := range x {
				if i > 0 {
					b.WriteString(", ")
				}
				writeTree(t, b, v, indent+1, true)
			}
			b.WriteString("]")
			return
		}
		for _, v := range x {
			b.WriteString("\n" + pad + "- ")
			writeTree(t, b, v, indent+2, false)
		}
	}
	if _, text := x.(string); !flow && !text && x != nil && rapid.Bool().Draw(t, "comment") {
		b.WriteString(" # so")
	}
}

func keysOf(m map[string]any) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	for i := range keys { // in a fixed order, so that the draw repeats
		for j := i + 1; j < len(keys); j++ {
			if keys[j] < keys[i] {
				keys[i], keys[j] = keys[j], keys[i]
			}
		}
	}
	return keys
}

// writeText writes a text without quotes where that is sure to be read, else
// in one of the two kinds.
func writeText(t *rapid.T, b *strings.Builder, s string, flow bool) {
	plain := isWord(strings.ToLower(s)) && strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .:/%-") == "" &&
		strings.Trim(s[:1], " .:/%-") != "" && !strings.HasSuffix(s, " ") && !strings.HasSuffix(s, ":") && !strings.Contains(s, ": ")
	switch style := rapid.IntRange(0, 2).Draw(t, "style"); {
	case plain && style < 2:
		b.WriteString(s)
	case style == 0:
		b.WriteString("'" + strings.ReplaceAll(s, "'", "''") + "'")
	default:
		b.WriteString(`"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`)
	}
}

// document is a tree and one way to write it.
type document struct {
	tree any
	text string
}

var documents = rapid.Custom(func(t *rapid.T) document {
	tree := map[string]any{"a": drawTree(t, 1), "b": drawTree(t, 1)}
	var b strings.Builder
	writeTree(t, &b, tree, 0, false)
	return document{tree, strings.TrimPrefix(b.String(), "\n") + "\n"}
})

// TestYAMLThereAndBack: what is written in any style is read as it was meant.
func TestYAMLThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := documents.Draw(t, "document")
		got, err := journal.Tree([]byte(d.text))
		if err != nil {
			t.Fatalf("%v\n%s", err, d.text)
		}
		if !reflect.DeepEqual(got, d.tree) {
			t.Fatalf("read %#v, want %#v\n%s", got, d.tree, d.text)
		}
	})
}

// yamlSamples are read alike by every reader of YAML 1.2.
var yamlSamples = []string{
	"a: b\n", "a:\n  b: c\n  d: [e, f]\n", "- a\n- b: c\n  d: e\n-\n  - f\n- - g\n  - h\n", "a:\n- b\n- c\nd: e\n",
	"{a: b, c: [d, {e: f}], g: }\n", "{\"a\":\"b\",\"c\":[\"d\",1,2.50,true,null]}\n",
	"a: 'it''s'\nb: \"\\u00e9\\\\\\\"\\x41\\t\"\n", "a: b#c # d\ne: f:g\n'h' : i\n\"j\": k\n", "# a\n---\n# b\na: b # c\n\n# d\n",
	"a:   b   \nc: d e  f\n", "a: -1\n", "a: ?b\nc: :d\ne: -f\n", "a: http://x/y?z=1&w=[2]\n", "a: {b: c,\n d: e\n }\n", "a: [b,\n c # d\n ]\n",
	"a: 2027-03-04T11:10\nb: 1.30 GBq\nc: 2 %\nd: 0311\ne: 0x1F\nf: 1e5\n", "a: ~\nb: null\nc:\nd: ''\n", "a: \"b: c, [d] {e} # f\"\n", "a: b, c] d} e\n",
}

// TestYAMLAgainstTwoReaders compares with a reader in Go, which departs from
// YAML 1.2 in corners that no sample has, and with Python's, which also reads
// what was written in every style.
func TestYAMLAgainstTwoReaders(t *testing.T) {
	texts := append([]string{string(file(t, "worked.yaml")), string(file(t, "all-kinds.yaml"))}, yamlSamples...)
	var ours []any
	for _, text := range texts {
		got, err := journal.Tree([]byte(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		ours = append(ours, got)
		want, err := treeOf([]byte(text))
		if err != nil {
			t.Errorf("the other reader in Go: %v\n%s", err, text)
		} else if !reflect.DeepEqual(got, want) {
			t.Errorf("read %#v, by the other reader in Go %#v\n%s", got, want, text)
		}
	}
	for seed := range 400 {
		d := documents.Example(seed)
		texts, ours = append(texts, d.text), append(ours, d.tree)
	}
	question, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	var theirs []any
	if err := json.Unmarshal([]byte(python(t, yamlReader, question)), &theirs); err != nil {
		t.Fatal(err)
	}
	for i := range texts {
		if !reflect.DeepEqual(ours[i], theirs[i]) {
			t.Errorf("read %#v, in Python %#v\n%s", ours[i], theirs[i], texts[i])
		}
	}
}

// yamlReader reads texts with Python's YAML, every word as text but for the
// unquoted words that stand for nothing.
const yamlReader = `
import sys, json, yaml
class Words(yaml.BaseLoader): pass
def word(loader, node):
    return None if node.style is None and node.value in ("", "~", "null", "Null", "NULL") else node.value
Words.add_constructor("tag:yaml.org,2002:str", word)
Words.yaml_implicit_resolvers = {}
print(json.dumps([yaml.load(t, Loader=Words) for t in json.load(sys.stdin)]))
`
