package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
)

// noNumber is a figure that is none; "Infusion" is a word.
var noNumber = regexp.MustCompile(`NaN|\bInf\b`)

// FuzzReckon: whatever a file holds, it is refused with a message or it
// reckons to a page and to JSON (which has no NaN and no infinity).
func FuzzReckon(f *testing.F) {
	for _, pattern := range []string{"../../examples/*.yaml", "../../casefile/testdata/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			f.Fatalf("no files match %s: %v", pattern, err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := casefile.Decode(data, loadZone)
		if err != nil {
			return
		}
		c, err := fold.File(file)
		if err != nil {
			return
		}
		r := dispensing.Reckon(c, c.Last)
		var text, answer bytes.Buffer
		if err := written(&text, c.Zone, func(p *page) { p.reckoned("fuzz", c, r, nil, true) }); err != nil {
			t.Fatal(err)
		}
		if err := indented(&answer, caseOf(c.Zone, r)); err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if noNumber.Match(text.Bytes()) {
			t.Fatalf("the page shows a number that is none\n%s\n%s", data, text.Bytes())
		}
	})
}
