package casefile_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
)

// valid validates a case file as JSON by the schema, with a general library.
func valid(tb testing.TB, data []byte) error {
	tb.Helper()
	unmarshal := func(data []byte) any {
		x, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			tb.Fatal(err)
		}
		return x
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("case.json", unmarshal(casefile.Schema())); err != nil {
		tb.Fatal(err)
	}
	schema, err := c.Compile("case.json")
	if err != nil {
		tb.Fatal(err)
	}
	return schema.Validate(unmarshal(asJSON(tb, data, "")))
}

// TestSchema: every case file of the project is valid by the schema, and one with
// a fault that can be seen without reckoning is not.
func TestSchema(t *testing.T) {
	files, err := filepath.Glob("../*/*/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	more, _ := filepath.Glob("../examples/*.yaml")
	checked := 0
	for _, name := range append(files, more...) {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(data, []byte("case:")) && !bytes.Contains(data, []byte("\ncase:")) {
			continue // a drill has lines of its own
		}
		checked++
		if err := valid(t, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if checked < 4 {
		t.Errorf("only %d files were looked at: %v", checked, files)
	}
	text := string(facttest.File(t, "all-kinds.yaml"))
	for fault, change := range map[string][2]string{
		"a field that must be given": {"reason: complete", "text: complete"},
		"a field that is none":       {"lot: L-0311", "lott: L-0311"},
		"a kind that is none":        {"- draw:", "- drow:"},
		"a word that is none":        {"reason: complete", "reason: finished"},
		"an id that is none":         {"vial: S1", "vial: \"S 1\""},
		"a number where a text is":   {"case: 1", "case: 3"},
		"a field of nothing":         {"zone:", "zoen:"},
	} {
		changed := strings.Replace(text, change[0], change[1], 1)
		if changed == text {
			changed = strings.Replace(text, strings.ReplaceAll(change[0], "case: 1", "case: 2"), change[1], 1)
		}
		if changed == text || valid(t, []byte(changed)) == nil {
			t.Errorf("%s: valid, or %q is not in the file", fault, change[0])
		}
	}
}

// TestTable: the table has every field of every kind once, and those of a case
// file that has all kinds are in it.
func TestTable(t *testing.T) {
	rows, err := csv.NewReader(bytes.NewReader(casefile.Table())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, r := range rows[1:] {
		all = append(all, r[0]+" "+r[1])
	}
	if sorted := slices.Sorted(slices.Values(all)); len(slices.Compact(sorted)) != len(all) {
		t.Error("a field stands twice")
	}
	for _, f := range facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts {
		for _, x := range fact.Fields(f) {
			if path := fact.Word(f) + " " + x.Path; fact.Word(f) != "correct" && !slices.Contains(all, path) {
				t.Errorf("%s is not in the table", path)
			}
		}
	}
}
