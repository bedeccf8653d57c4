package web_test

import (
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"

	"vialwright/fact"
)

// unformed are the kinds of entry that no form records, and what writes them.
var unformed = map[string]string{
	"near-miss":      "a scan that is refused",
	"paper":          "the sheet that entries are made from",
	"supervised":     "the PIN of a supervisor on any form",
	"first-password": "the page of a person's account, beside the password",
	"drill-answer":   "the answer page of a drill",
	"site":           "the first start",
}

// TestEveryKindHasAForm: each kind of entry is a part of a form of some room, or
// written beside another entry.
func TestEveryKindHasAForm(t *testing.T) {
	parts := map[string]bool{} // the kinds that forms have parts of
	named := regexp.MustCompile(`Kind: +"([a-z-]+)"|\b[a-zA-Z]+\("([a-z-]+)"|\t"([a-z-]+)": +\{(?:"|\s*kit\.Form\{)|, "([a-z-]+)": \{"`)
	err := fs.WalkDir(os.DirFS("."), ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
			return err
		}
		data, err := os.ReadFile(p)
		for _, m := range named.FindAllSubmatch(data, -1) {
			parts[string(m[1])+string(m[2])+string(m[3])+string(m[4])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range fact.Kinds() {
		if word := k.Word(); parts[word] == (unformed[word] != "") {
			t.Errorf("a form has a part of the kind %s: %v; it is written by: %q", word, parts[word], unformed[word])
		}
	}
}
