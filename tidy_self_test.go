package vialwright

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// clean is a small tree without a fault. Each row of TestRules changes it in
// one place.
func clean() fstest.MapFS {
	return fstest.MapFS{
		"Makefile":               file("all:\n"),
		"README.md":              file("# A tree\n"),
		"quantity/quantity.go":   file("// Package quantity holds quantities.\npackage quantity\n\nimport \"time\"\n\n// Day is a day.\nconst Day = 24 * time.Hour\n"),
		"quantity/a_test.go":     file(example("quantity")),
		"quantity/testdata/x":    file("fixture"),
		"ledger/ledger.go":       file("// Package ledger keeps books.\npackage ledger\n\nimport \"vialwright/quantity\"\n\n// Day is a day.\nconst Day = quantity.Day\n"),
		"ledger/a_test.go":       file(example("ledger")),
		"web/kit/kit.go":         file("// Package kit shows it.\npackage kit\n\nimport (\n\t\"net/http\"\n\t\"vialwright/store\"\n)\n\nvar _ http.Handler\nvar _ store.Log\n"),
		"cmd/vialwright/main.go": file("// Command vialwright does it.\npackage main\n\nimport \"time\"\n\nfunc main() { println(time.Now().String()) }\n"),
		".git/config":            file("unfinished" + todo),
		"node_modules/x/x.go":    file("not Go"),
	}
}

const todo = "TO" + "DO"

func file(content string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(content)} }

func example(name string) string {
	return "package " + name + "\n\nimport \"fmt\"\n\nfunc Example() {\n\tfmt.Println(1)\n\t// Output: 1\n}\n"
}

// pureCode is the package quantity with these imports and these declarations.
func pureCode(imports, decls string) string {
	s := "// Package quantity holds quantities.\npackage quantity\n\n"
	for path := range strings.FieldsSeq(imports) {
		s += "import " + path + "\n"
	}
	return s + "\n" + decls + "\n"
}

func testCode(decls string) string {
	return "package quantity\n\nimport (\n\t\"testing\"\n\t\"time\"\n)\n\n" + decls + "\n"
}

func TestCleanTree(t *testing.T) {
	findings, err := check(clean())
	if err != nil || len(findings) > 0 {
		t.Errorf("%q %v", findings, err)
	}
}

// TestRules: each rule finds its fault, where it is, and nothing else; and
// what looks like a fault but is none is let through (want is empty).
func TestRules(t *testing.T) {
	long := strings.Repeat("\n", maxFile)
	longFunc := "func f() {\n" + strings.Repeat("\t_ = 1\n", maxFunc) + "}"
	for _, c := range []struct {
		name, path, content, want string
	}{
		{"pure imports os", "quantity/b.go", pureCode(`"os"`, ""), "b.go:4: a pure package may not import os"},
		{"pure imports below os", "quantity/b.go", pureCode(`"os/exec"`, ""), "may not import os/exec"},
		{"pure imports io", "quantity/b.go", pureCode(`"io"`, ""), "may not import io"},
		{"pure imports io/fs", "quantity/b.go", pureCode(`"io/fs"`, ""), "may not import io/fs"},
		{"pure imports net/http", "quantity/b.go", pureCode(`"net/http"`, ""), "may not import net/http"},
		{"pure imports database/sql", "quantity/b.go", pureCode(`"database/sql"`, ""), "may not import database/sql"},
		{"pure imports context", "quantity/b.go", pureCode(`"context"`, ""), "may not import context"},
		{"pure imports log", "quantity/b.go", pureCode(`"log"`, ""), "may not import log"},
		{"pure imports log/slog", "quantity/b.go", pureCode(`"log/slog"`, ""), "may not import log/slog"},
		{"pure imports crypto/rand", "quantity/b.go", pureCode(`"crypto/rand"`, ""), "may not import crypto/rand"},
		{"pure imports math/rand", "quantity/b.go", pureCode(`"math/rand"`, ""), "may not import math/rand"},
		{"pure imports testing", "quantity/b.go", pureCode(`"testing"`, ""), "may not import testing"},
		{"pure imports a name that begins alike", "quantity/b.go", pureCode(`"iter" "embed" "errors"`, ""), ""},
		{"pure test imports os", "quantity/b_test.go", "package quantity\n\nimport _ \"os\"\n", ""},
		{"pure imports upwards", "quantity/b.go", pureCode(`"vialwright/ledger"`, ""), "quantity may not import vialwright/ledger: everything rests on it"},
		{"pure imports the store", "ledger/b.go", "package ledger\n\nimport _ \"vialwright/store\"\n", "ledger may not import vialwright/store"},
		{"pure imports a stranger", "quantity/b.go", pureCode(`"github.com/x/y"`, ""), "quantity may not import github.com/x/y"},
		{"gonum where it may be", "settling/b.go", "// Package settling settles.\npackage settling\n\nimport _ \"gonum.org/v1/gonum/mathext\"\n", "settling: no runnable Example"},
		{"a driver in the web", "web/kit/b.go", "package kit\n\nimport _ \"vialwright/store/sqlite\"\n", "web/kit may not import vialwright/store/sqlite: it knows no subject and no driver: a handler asks an interface"},
		{"a driver's module in the web", "web/kit/b.go", "package kit\n\nimport _ \"modernc.org/sqlite\"\n", "may not import modernc.org/sqlite"},
		{"below a row that covers it", "cmd/other/b.go", "// Package other draws.\npackage other\n\nimport _ \"os\"\n", ""},
		{"a module whose name begins alike", "store/postgres/b.go", "// Package postgres keeps.\npackage postgres\n\nimport _ \"github.com/jackc/pgx/v5other\"\n", "store/postgres may not import github.com/jackc/pgx/v5other"},
		{"a package without a row", "stray/b.go", "// Package stray strays.\npackage stray\n", "stray: the import table has no row for this package: add it to the table"},
		{"dot import", "web/kit/b.go", "package kit\n\nimport . \"strings\"\n", "into its own names"},

		{"pure asks for the time", "quantity/b.go", pureCode(`"time"`, "var t = time.Now()"), "quantity may not use time.Now: the instant is part of the question"},
		{"under another name", "quantity/b.go", "// Package quantity q.\npackage quantity\n\nimport clock \"time\"\n\nvar t = clock.Since(clock.Time{})\n", "may not use time.Since"},
		{"as a value", "quantity/b.go", pureCode(`"time"`, "var now func() time.Time = time.Now"), "may not use time.Now"},
		{"time as a value only", "quantity/b.go", pureCode(`"time"`, "var t = time.Date(2027, 3, 4, 0, 0, 0, 0, time.UTC)"), ""},
		{"a variable named time", "quantity/b.go", pureCode(`"time"`, "var _ time.Time\n\ntype clock struct{ Now int }\n\nfunc f(time clock) int { return time.Now }"), ""},
		{"pure waits", "quantity/b.go", pureCode(`"time"`, "var c = time.After(1)"), "may not use time.After"},
		{"pure reads the zone of the machine", "quantity/b.go", pureCode(`"time"`, "var l = time.Local"), "may not use time.Local"},
		{"pure prints", "quantity/b.go", pureCode(`"fmt"`, `func f() { fmt.Println() }`), "may not use fmt.Println"},
		{"pure formats", "quantity/b.go", pureCode(`"fmt"`, `var s = fmt.Sprint(1)`), ""},
		{"pure draws without a seed", "quantity/b.go", pureCode(`"math/rand/v2"`, "var x = rand.Float64()"), "may not use math/rand/v2.Float64"},
		{"pure draws with a seed", "quantity/b.go", pureCode(`"math/rand/v2"`, "var x = rand.New(rand.NewPCG(1, 2)).Float64()"), ""},
		{"an edge asks for the time", "web/kit/b.go", "package kit\n\nimport \"time\"\n\nvar t = time.Now()\n", "web/kit may not use time.Now"},
		{"an edge sleeps", "web/kit/b.go", "package kit\n\nimport \"time\"\n\nfunc f() { time.Sleep(1) }\n", "web/kit may not use time.Sleep"},
		{"an edge has a timer", "web/kit/b.go", "package kit\n\nimport \"time\"\n\nvar t = time.NewTicker(1)\n", ""},

		{"no package comment", "web/view/b.go", "package view\n", "web/view: no package comment"},
		{"a package comment that begins otherwise", "web/view/b.go", "// The pages.\npackage view\n", "web/view: no package comment"},
		{"a program without a comment", "cmd/vialwright/main.go", "package main\n", "cmd/vialwright: no package comment"},
		{"function", "quantity/b.go", pureCode("", "func Half() {}"), "b.go:5: Half is exported and has no comment"},
		{"method", "quantity/b.go", pureCode("", "// T is.\ntype T int\n\nfunc (t *T) Half() {}"), "Half is exported"},
		{"method of a generic type", "quantity/b.go", pureCode("", "// T is.\ntype T[X any] struct{}\n\nfunc (t *T[X]) Half() {}"), "Half is exported"},
		{"method of a hidden type", "quantity/b.go", pureCode("", "type t int\n\nfunc (t) Half() {}"), ""},
		{"Error needs no words", "quantity/b.go", pureCode("", "// T is.\ntype T int\n\nfunc (T) Error() string { return \"\" }"), ""},
		{"type", "quantity/b.go", pureCode("", "type T int"), "T is exported"},
		{"type in a group", "quantity/b.go", pureCode("", "type (\n\t// T is.\n\tT int\n\tU int\n)"), "U is exported"},
		{"constant", "quantity/b.go", pureCode("", "const C = 1"), "C is exported"},
		{"variable among others", "quantity/b.go", pureCode("", "var (\n\t// A is.\n\tA = 1\n\tB = 2\n)"), "B is exported"},
		{"group with a comment", "quantity/b.go", pureCode("", "// Units.\nconst (\n\tA = 1\n\tB = 2\n)"), ""},
		{"comment behind", "quantity/b.go", pureCode("", "const C = 1 // is one"), ""},
		{"bare number in a struct", "quantity/b.go", pureCode("", "// T is.\ntype T struct {\n\tHeight float64\n}"), "Height is exported"},
		{"bare numbers in a struct", "quantity/b.go", pureCode("", "// T is.\ntype T struct {\n\tHeights map[string][]*float64\n}"), "Heights is exported"},
		{"bare number that the type explains", "quantity/b.go", pureCode("", "// T has a height in mm.\ntype T struct {\n\tHeight float64\n}"), ""},
		{"field of a type that says it", "quantity/b.go", pureCode("", "// D is.\ntype D float64\n\n// T is.\ntype T struct {\n\tHeight D\n}"), ""},
		{"method of an interface", "quantity/b.go", pureCode("", "// T is.\ntype T interface {\n\tHalf() string\n}"), "Half is exported"},
		{"undocumented in a generated file", "quantity/b.go", "// Code generated by x. DO NOT EDIT.\n\npackage quantity\n\nfunc Half() {}\n", ""},
		{"undocumented in a test", "quantity/b_test.go", testCode("func Half(*testing.T, time.Time) {}"), ""},
		{"a generator beside the package", "quantity/gen.go", "//go:build ignore\n\npackage main\n\nimport _ \"os\"\n\nfunc main() {}\n", ""},

		{"no example", "ledger/a_test.go", "package ledger\n", "ledger: no runnable Example"},
		{"an example that is not run", "ledger/a_test.go", "package ledger\n\nfunc Example() {}\n", "ledger: no runnable Example"},
		{"an example of no output", "ledger/a_test.go", "package ledger\n\nfunc Example() {\n\t// Output:\n}\n", ""},

		{"a long file", "quantity/b.go", pureCode("", long), "quantity/b.go: 455 lines, more than 450"},
		{"a long generated file", "quantity/b.go", "// Code generated by x. DO NOT EDIT.\n\n" + pureCode("", long), ""},
		{"a long test", "quantity/b_test.go", "package quantity\n" + long, ""},
		{"a long function", "quantity/b.go", pureCode("", longFunc), "b.go:5: f has 72 lines, more than 70"},

		{"a test sleeps", "quantity/b_test.go", testCode("func f(t *testing.T) { time.Sleep(1) }"), "b_test.go:8: a test that sleeps"},
		{"a test sleeps otherwise", "quantity/b_test.go", testCode("func f(t *testing.T) { <-time.After(1) }"), "a test that sleeps"},
		{"a test with a deadline", "quantity/b_test.go", testCode("func f(t *testing.T, c chan int) {\n\tselect {\n\tcase <-c:\n\tcase <-time.After(1):\n\t}\n}"), ""},
		{"a test sleeps after a select", "quantity/b_test.go", testCode("func f(t *testing.T, c chan int) {\n\tselect {\n\tcase <-c:\n\t\ttime.Sleep(1)\n\t}\n}"), "a test that sleeps"},
		{"skip", "quantity/b_test.go", testCode("func f(t *testing.T, _ time.Time) { t.Skip() }"), "b_test.go:8: a skip without a reason"},
		{"skip with an empty word", "quantity/b_test.go", testCode("func f(t *testing.T, _ time.Time) { t.Skip(\" \") }"), "a skip without a reason"},
		{"skip now", "quantity/b_test.go", testCode("func f(b *testing.B, _ time.Time) { b.SkipNow() }"), "a skip without a reason"},
		{"skip with a reason", "quantity/b_test.go", testCode("func f(t *testing.T, _ time.Time) { t.Skip(\"no units program\") }"), ""},

		{"unfinished Go", "quantity/b.go", pureCode("", "// f is.\n// "+todo+": half\nfunc f() {}"), "b.go:6: " + todo},
		{"unfinished test", "quantity/b_test.go", testCode("// FIX" + "ME\n"), "b_test.go:8: FIX" + "ME"},
		{"unfinished page", "docs/a.md", "one\n\nX" + "XX two\n", "docs/a.md:3: X" + "XX"},
		{"unfinished build", "Makefile", "# " + todo + "\n", "Makefile:1: " + todo},
		{"a word that holds the letters", "docs/a.md", "X" + "XXL, " + todo + "S\n", ""},
		{"somebody else's script", "web/assets/x.min.js", "// " + todo, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree := clean()
			tree[c.path] = file(c.content)
			wantFinding(t, tree, c.want)
		})
	}
}

// TestEmptyFixtures: neither a folder of fixtures nor one inside it may be
// empty; other folders may.
func TestEmptyFixtures(t *testing.T) {
	for _, c := range []struct{ dir, want string }{
		{"quantity/testdata/fuzz", "quantity/testdata/fuzz: an empty folder of fixtures"},
		{"ledger/testdata", "ledger/testdata: an empty folder of fixtures"},
		{"docs", ""},
	} {
		tree := clean()
		tree[c.dir] = &fstest.MapFile{Mode: fs.ModeDir}
		wantFinding(t, tree, c.want)
	}
}

// TestRuleWithoutObject: a row of the import table has a folder, and each
// module it allows is imported there.
func TestRuleWithoutObject(t *testing.T) {
	tree := clean()
	tree["uncertainty/b.go"] = file("// Package uncertainty is.\npackage uncertainty\n\nimport _ \"gonum.org/v1/gonum/mathext\"\n")
	tree["uncertainty/a_test.go"] = file(example("uncertainty"))
	for _, c := range []struct {
		dir    string
		others []string
		want   string
	}{
		{"uncertainty", []string{gonum}, ""},
		{"web/kit", nil, ""},
		{"bench/...", []string{"*"}, "the import table has a row for bench/..., and there is no such folder"},
		{"uncertainty", []string{gonum, "github.com/x/y"}, "the import table lets uncertainty import github.com/x/y, and it does not"},
		{"web/kit", []string{gonum}, "the import table lets web/kit import " + gonum + ", and it does not"},
	} {
		wantFinding(t, tree, c.want, layer{dir: c.dir, others: c.others})
	}
}

func wantFinding(t *testing.T, tree fs.FS, want string, rows ...layer) {
	t.Helper()
	findings, err := check(tree, rows...)
	if err != nil {
		t.Fatal(err)
	}
	switch {
	case want == "" && len(findings) > 0:
		t.Errorf("found %q, want nothing", findings)
	case want != "" && (len(findings) != 1 || !strings.Contains(findings[0], want)):
		t.Errorf("found %q, want %q", findings, want)
	}
}

// TestTable: each row has a reason, and each ban too; no row hides another.
func TestTable(t *testing.T) {
	for i, l := range layers {
		if l.why == "" {
			t.Errorf("%s has no reason", l.dir)
		}
		dir := strings.TrimSuffix(l.dir, "/...")
		if layerOf(dir) != &layers[i] {
			t.Errorf("the row of %s is hidden by that of %s", l.dir, layerOf(dir).dir)
		}
		for _, own := range l.ours {
			if own != "*" && layerOf(own) == nil {
				t.Errorf("%s may import %s, which has no row", l.dir, own)
			}
		}
	}
	for _, b := range append(clockBans, pureBans...) {
		if b.why == "" {
			t.Errorf("the ban of %s.%s has no reason", b.path, b.name)
		}
	}
}
