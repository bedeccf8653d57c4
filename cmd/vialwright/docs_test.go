package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"vialwright/journal"
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
	if !strings.Contains(page1(t, "../../docs/case-file.md"), "```\n"+journal.Describe()+"```\n") {
		t.Error("docs/case-file.md does not show what `vialwright format` prints")
	}
}

// TestFindingsAreDocumented: every code has a row, and every row a code.
func TestFindingsAreDocumented(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../../dispensing/finding.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	doc := page1(t, "../../docs/findings.md")
	codes := 0
	ast.Inspect(file, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if id, ok := v.Type.(*ast.Ident); !ok || id.Name != "Code" {
			return true
		}
		code, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
		if err != nil {
			t.Fatal(err)
		}
		codes++
		if !strings.Contains(doc, "| `"+code+"` |") {
			t.Errorf("docs/findings.md has no row for %s", code)
		}
		return true
	})
	if rows := strings.Count(doc, "\n| `"); rows != codes || codes < 30 {
		t.Errorf("docs/findings.md has %d rows, the package %d codes", rows, codes)
	}
}
