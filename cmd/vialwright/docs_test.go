package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"vialwright/casefile"
)

func page1(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestFormatIsDocumented: the page shows what the program prints.
func TestFormatIsDocumented(t *testing.T) {
	if !strings.Contains(page1(t, "../../docs/case-file.md"), "```\n"+casefile.Describe()+"```\n") {
		t.Error("docs/case-file.md does not show what `vialwright format` prints")
	}
}

// TestFindingsAreDocumented: every code has a row, whichever package finds it,
// and every row a code.
func TestFindingsAreDocumented(t *testing.T) {
	files, err := filepath.Glob("../../*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	declared := regexp.MustCompile(`\b(?:dispensing\.)?Code += "([a-z-]+)"`)
	doc, codes := page1(t, "../../docs/findings.md"), 0
	for _, file := range files {
		inside, test := strings.Contains(file, "/dispensing/") || strings.Contains(file, "/dose/"), strings.HasSuffix(file, "_test.go")
		for _, m := range declared.FindAllStringSubmatch(page1(t, file), -1) {
			if test || !inside && !strings.HasPrefix(m[0], "dispensing.") {
				continue // another package's own kind of code
			}
			codes++
			if !strings.Contains(doc, "| `"+m[1]+"` |") {
				t.Errorf("docs/findings.md has no row for %s", m[1])
			}
		}
	}
	if rows := strings.Count(doc, "\n| `"); rows != codes || codes < 40 {
		t.Errorf("docs/findings.md has %d rows, the program %d codes", rows, codes)
	}
}
