package plainyaml_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/plainyaml"
)

// most is the length of a file in these tests.
const most = 1 << 20

// tree makes maps, lists, texts and nils of a file.
func tree(data string) (any, error) {
	root, err := plainyaml.Parse([]byte(data), most)
	return treeOf(&root), err
}

func treeOf(n *plainyaml.Node) any {
	switch n.Kind {
	case plainyaml.Text:
		return n.Text
	case plainyaml.Mapping:
		m := map[string]any{}
		for i := range n.Pairs() {
			m[n.Key(i).Text] = treeOf(n.Val(i))
		}
		return m
	case plainyaml.List:
		list := []any{}
		for i := range n.Items {
			list = append(list, treeOf(&n.Items[i]))
		}
		return list
	}
	return nil
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

// TestThereAndBack: what is written in any style is read as it was meant.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := documents.Draw(t, "document")
		got, err := tree(d.text)
		if err != nil {
			t.Fatalf("%v\n%s", err, d.text)
		}
		if !reflect.DeepEqual(got, d.tree) {
			t.Fatalf("read %#v, want %#v\n%s", got, d.tree, d.text)
		}
	})
}

// samples are read alike by every reader of YAML 1.2.
var samples = []string{
	"a: b\n", "a:\n  b: c\n  d: [e, f]\n", "- a\n- b: c\n  d: e\n-\n  - f\n- - g\n  - h\n", "a:\n- b\n- c\nd: e\n",
	"{a: b, c: [d, {e: f}], g: }\n", "{\"a\":\"b\",\"c\":[\"d\",1,2.50,true,null]}\n",
	"a: 'it''s'\nb: \"\\u00e9\\\\\\\"\\x41\\t\"\n", "a: b#c # d\ne: f:g\n'h' : i\n\"j\": k\n", "# a\n---\n# b\na: b # c\n\n# d\n",
	"a:   b   \nc: d e  f\n", "a: -1\n", "a: ?b\nc: :d\ne: -f\n", "a: http://x/y?z=1&w=[2]\n", "a: {b: c,\n d: e\n }\n", "a: [b,\n c # d\n ]\n",
	"a: 2027-03-04T11:10\nb: 1.30 GBq\nc: 2 %\nd: 0311\ne: 0x1F\nf: 1e5\n", "a: ~\nb: null\nc:\nd: ''\n", "a: \"b: c, [d] {e} # f\"\n", "a: b, c] d} e\n",
}

// TestAgainstPython compares with another reader, which also reads what was
// written in every style.
func TestAgainstPython(t *testing.T) {
	var ours []any
	texts := slices.Clone(samples)
	for _, text := range texts {
		got, err := tree(text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		ours = append(ours, got)
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

// TestRefused: what is refused has a code, its place and a message.
func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, file, code, says string }{
		{"anchor", "a: &z b\n", "yaml-not-read", "line 1, column 4: anchors are not read; write the value out, or put a text that begins so in double quotes"},
		{"alias", "a: &z b\nc: *z\n", "yaml-not-read", "line 1, column 4: anchors are not read"},
		{"alias of nothing", "a: *z\n", "not-yaml", "line 1: aliases are not read; write the value out"},
		{"tag", "a: !!str b\n", "yaml-not-read", "line 1, column 4: tags are not read"},
		{"tag of a list", "a:\n  - !x [b]\n", "yaml-not-read", "line 2, column 5: tags are not read"},
		{"merge key", "a:\n  <<: {b: c}\n", "yaml-not-read", "line 2, column 3: merge keys are not read; write the fields out"},
		{"block text", "a: |\n  b\n", "yaml-not-read", "line 1, column 4: texts of several lines are not read; write the text on one line"},
		{"folded text", "a: >-\n  b\n", "yaml-not-read", "line 1, column 4: texts of several lines are not read"},
		{"a key twice", "a: b\n\"a\": c\n", "duplicate-key", "line 2, column 1: the key \"a\" comes twice here; take one away"},
		{"a key twice in braces", "a: {b: 1, c: 2, b: 1}\n", "duplicate-key", "line 1, column 17: the key \"b\" comes twice here"},
		{"a list for a key", "? [a]\n: b\n", "no-key", "line 1, column 3: a key was expected here; write key: value"},
		{"two documents", "a: b\n---\na: b\n", "several-documents", "line 2, column 1: a file holds one document"},
		{"an empty second document", "a: b\n---\n", "several-documents", "line 2, column 1: a file holds one document"},
		{"a fault in a second document", "a: b\n---\na: b: c\n", "not-yaml", "line 3: a colon stands where no key can begin; "},
		{"colon in a text", "a: b\nc:\n  d: e: f\ng: h\n", "not-yaml", "line 3: a colon stands where no key can begin; put a text with a colon in double quotes, and line keys up with each other"},
		{"no key", "a: b\nhello\nc: d\n", "not-yaml", "line 2: a key has no colon; "},
		{"too far in", "a: b\nc:\n  d: 1\n    e: 2\nf: g\n", "not-yaml", "line 4: a colon stands where"},
		{"not far enough in", "a:\n    b: 1\n    c: 2\n  d: 3\ne: 4\n", "not-yaml", "line 4: this line does not belong to what is above it; "},
		{"dash among keys", "a: b\nc: d\n- e\n", "not-yaml", "line 3: this line does not belong to what is above it; "},
		{"tab", "a:\n\tb: c\nd: e\n", "not-yaml", "line 2: a value begins with a tab, @, % or `; "},
		{"reserved", "a: b\nc: @d\n", "not-yaml", "line 2: a value begins with a tab, @, % or `; "},
		{"unclosed brace", "a: b\nc: {d: e\nf: g\nh: i\n", "not-yaml", "line 2: a bracket is not closed here, or a comma is missing; "},
		{"unclosed list", "a: b\nc: [d, e}\nf: g\n", "not-yaml", "line 2: a bracket is not closed here, or a comma is missing; "},
		{"list beside its key", "a: b\nc: - d\n", "not-yaml", "line 2: a list with dashes begins beside its key; "},
		{"key among items", "a:\n  - b\n  c: d\n", "not-yaml", "line 3: this line does not belong to the list above it; "},
		{"belongs to nothing", "  a: b\nc: d\n", "not-yaml", "line 2: this line belongs to nothing above it; "},
		{"a comma too many", "a: [, b]\n", "not-yaml", "line 1: a value is missing; "},
		{"deep", strings.Repeat("[", 10002), "not-yaml", "line 1: the file is nested too deep; "},
		{"directive", "%YAML 1.3\n---\na: b\n", "not-yaml", "line 1: this is not YAML: found incompatible YAML document; write it as the examples are"},
		{"unclosed quote", "a: b\nc: \"d\ne: f\n", "not-yaml", "line 2: a quote is not closed; "},
		{"unknown escape", "a: b\nc: \"\\d\"\nd: e\n", "not-yaml", "line 2: there is no such escape in a text; write \\\\ for a backslash"},
		{"half of a character", "a: b\nc: \"\\ud83d\"\nd: e\n", "not-yaml", "line 2: there is no such escape in a text; "},
		{"something after the value", "a: b\nc: {d: e} f\ng: h\n", "not-yaml", "line 2: this line does not belong to what is above it; "},
		{"on the first line", "a: b: c\n", "not-yaml", "line 1: a colon stands where"},
		{"control character", "a: b\nä: \x1bc\n", "control-character", "line 2, column 4: the file holds the control character \"\\x1b\"; save it as plain UTF-8 text"},
		{"line separator", "a: \u2028b\n", "control-character", "line 1, column 4: the file holds the control character \"\\u2028\""},
		{"not UTF-8", "a: caf\xe9\n", "not-utf-8", "line 1, column 7: the file is not UTF-8 here; save it as UTF-8"},
		{"too large", strings.Repeat("#", most+1), "too-large", "the file is larger than 1048576 bytes, the most it can be; check that it is the right file"},
		{"a fault in a long file", strings.Repeat("#\n", most/4) + "a: b\nc: d: e\nf: g\n", "not-yaml", "line 262146: a colon stands where"},
	} {
		_, err := plainyaml.Parse([]byte(c.file), most)
		var e *plainyaml.Error
		if !errors.As(err, &e) || e.Code != c.code || !strings.HasPrefix(e.Error(), c.says) {
			t.Errorf("%s: %v, want %s", c.name, err, c.says)
		}
	}
}

// TestJSONEscapes: JSON has an escape for a slash, and escapes a character
// above U+FFFF in two halves; a backslash before either is none of them.
func TestJSONEscapes(t *testing.T) {
	const file = `{"a": "\ud83d\uDE00\n\\ud83d\\ude00 \u00e9\\\ud83d\ude01 \/\\/"}`
	var want any
	if err := json.Unmarshal([]byte(file), &want); err != nil {
		t.Fatal(err)
	}
	if got, err := tree(file); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%q, %v, want %q", got, err, want)
	}
}

// TestBombs: files that make other readers use much time, memory or stack are
// refused, or read in about a second; a node takes 150 bytes, with a comment twice that,
// and stands for two of the file at least.
func TestBombs(t *testing.T) {
	const n = most - 64
	head := "case: 1\nzone: UTC\nentries: "
	for name, c := range map[string]struct{ file, code string }{
		"aliases":           {"a: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a]\nc: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b]\n", "yaml-not-read"},
		"brackets":          {head + strings.Repeat("[", n), "not-yaml"},
		"braces":            {head + strings.Repeat("{a: ", n/4), "not-yaml"},
		"dashes":            {strings.Repeat("- ", n/2), "not-yaml"},
		"question marks":    {strings.Repeat("? ", n/2), "not-yaml"},
		"colons":            {strings.Repeat("a: ", n/3), "not-yaml"},
		"stairs":            {stairs(1400), "too-deep"},
		"keys":              {head + "{" + strings.Repeat("k, ", n/3) + "}", "duplicate-key"},
		"different keys":    {head + "{" + manyKeys(1000) + "}", "too-many-keys"},
		"keys in a block":   {strings.ReplaceAll(manyKeys(1000), ", ", ": \n"), "too-many-keys"},
		"closed and opened": {strings.Repeat("[a,{b: c}],", n/11), "not-yaml"},
		"spaces":            {strings.Repeat(" ", n), ""},
		"lines":             {strings.Repeat("\n", n), ""},
		"comments":          {strings.Repeat("#\n", n/2), ""},
		"one long word":     {head + strings.Repeat("x", n), ""},
		"one long text":     {head + "[note: {text: " + strings.Repeat("x", n/2), "not-yaml"},
		"quotes":            {head + strings.Repeat(`"`, n), "not-yaml"},
		"one open quote":    {head + `"` + strings.Repeat("x", n), "not-yaml"},
		"escapes":           {head + `"` + strings.Repeat(`\n`, n/2), "not-yaml"},
		"empty items":       {head + "[" + strings.Repeat("~,", n/2) + "]", ""},
		"empty lists":       {head + "[" + strings.Repeat("["+strings.Repeat("~,", 1<<15)+"],", n>>16) + "]", ""},
		"small lists":       {head + "[" + strings.Repeat("[a,{b: c}],", n/11) + "]", ""},
		"comments in lists": {strings.Repeat("- #\n", n/4), ""},
		"comments, wide":    {"a: [\n" + strings.Repeat("1, # x\n", n/7) + "]", ""},
		"empty dashes":      {strings.Repeat("-\n", n/2), ""},
		"tags":              {strings.Repeat("!!a ", n/4), "not-yaml"},
		"documents":         {strings.Repeat("---\n", n/4), "several-documents"},
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			before := allocated()
			_, err := plainyaml.Parse([]byte(c.file), most)
			used := allocated() - before
			if took := time.Since(start); took > 10*time.Second {
				t.Errorf("it took %v; a second is usual", took)
			}
			if limit := uint64(400*len(c.file) + 1<<16); used > limit {
				t.Errorf("%d bytes used for a file of %d", used, len(c.file))
			}
			code := ""
			if e, ok := errors.AsType[*plainyaml.Error](err); ok {
				code = e.Code
			}
			if code != c.code || err != nil && len(err.Error()) > 1000 {
				t.Errorf("refused with %.200v, want %s", err, c.code)
			}
		})
	}
}

// allocated is the memory given out so far.
func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString("k" + string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676)) + ", ")
	}
	return b.String()
}

// stairs is a mapping in a mapping in a mapping ...
func stairs(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

// python runs a program of Debian's Python; the test is skipped where there is
// none, and fails where there must be.
func python(tb testing.TB, program string, stdin []byte) string {
	tb.Helper()
	if testing.Short() {
		tb.Skip("-short: the program that it is compared with is not asked")
	}
	cmd := exec.Command("/usr/bin/python3", "-c", program)
	cmd.Stdin = bytes.NewReader(stdin)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	switch absent := errors.Is(err, os.ErrNotExist) || strings.Contains(complaint.String(), "ModuleNotFoundError"); {
	case absent && os.Getenv("CI") != "true":
		tb.Skip("no Python with YAML for the independent reader")
	case err != nil:
		tb.Fatalf("python: %v\n%s", err, complaint.String())
	}
	return string(out)
}

// FuzzParse: no bytes make the reader panic; what is refused has a code, and a
// place that is in the file.
func FuzzParse(f *testing.F) {
	for _, s := range samples {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, err := plainyaml.Parse(data, most)
		if err == nil {
			return
		}
		e := err.(*plainyaml.Error)
		if e.Code == "" || e.Msg == "" || e.Line < 1 || e.Line > strings.Count(string(data), "\n")+1 || (e.Col == 0) != (e.Code == "not-yaml") {
			t.Fatalf("%#v", e)
		}
	})
}

func ExampleParse() {
	root, err := plainyaml.Parse([]byte("vial: S1\nvolume: 5.0 mL # as shipped\n"), 1000)
	for i := range root.Pairs() {
		v := root.Val(i)
		fmt.Printf("%s is %q, line %d, column %d\n", root.Key(i).Text, v.Text, v.Line, v.Col)
	}
	fmt.Println(err)
	_, err = plainyaml.Parse([]byte("vial: S1\nvial: S2\n"), 1000)
	fmt.Println(err)
	// Output:
	// vial is "S1", line 1, column 7
	// volume is "5.0 mL", line 2, column 9
	// <nil>
	// line 2, column 1: the key "vial" comes twice here; take one away
}
