package vialwright

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// module is the path of this module, with a slash.
const module = "vialwright/"

// tree is what the rules look at.
type tree struct {
	fset     *token.FileSet
	packages []*pkg // by folder
	texts    []text // every file a person writes
	folders  map[string]int
	findings []string
}

// pkg is the Go files of one folder.
type pkg struct {
	dir   string
	layer *layer // nil when the table has no row
	code  []*source
	tests []*source
}

type source struct {
	path      string
	syntax    *ast.File
	lines     int
	generated bool
}

type text struct {
	path    string
	content []byte
}

// check gives what is wrong in the tree, sorted; rows are those of the import
// table that have to have an object.
func check(root fs.FS, rows ...layer) ([]string, error) {
	t := &tree{fset: token.NewFileSet(), folders: map[string]int{}}
	if err := t.load(root); err != nil {
		return nil, err
	}
	t.checkTable(rows)
	for _, p := range t.packages {
		t.checkLayer(p)
		t.checkDocs(p)
		t.checkExample(p)
		t.checkLengths(p)
		t.checkTests(p)
	}
	t.checkFixtures()
	t.checkWords()
	slices.Sort(t.findings)
	return t.findings, nil
}

// report adds a finding about a place, which is a token.Pos or a path.
func (t *tree) report(place any, format string, args ...any) {
	if pos, ok := place.(token.Pos); ok {
		p := t.fset.Position(pos)
		place = fmt.Sprintf("%s:%d", p.Filename, p.Line)
	}
	t.findings = append(t.findings, fmt.Sprintf("%v: %s", place, fmt.Sprintf(format, args...)))
}

// skipped tells a folder that holds nothing of ours. Of the hidden ones only
// .ci does.
func skipped(p string) bool {
	name := path.Base(p)
	return name == "node_modules" || (len(name) > 1 && name[0] == '.' && name != ".ci")
}

func (t *tree) load(root fs.FS) error {
	return fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && skipped(p):
			return fs.SkipDir
		case d.IsDir():
			t.folders[p] += 0
			return nil
		}
		for dir := path.Dir(p); ; dir = path.Dir(dir) {
			t.folders[dir]++
			if dir == "." {
				break
			}
		}
		return t.loadFile(root, p)
	})
}

// loadFile keeps the text of a file and, of a Go file outside testdata, its
// syntax.
func (t *tree) loadFile(root fs.FS, p string) error {
	if slices.Contains(strings.Split(p, "/"), "testdata") {
		return nil
	}
	content, err := fs.ReadFile(root, p)
	if err != nil {
		return err
	}
	if isText(p) {
		t.texts = append(t.texts, text{p, content})
	}
	if path.Ext(p) != ".go" {
		return nil
	}
	syntax, err := parser.ParseFile(t.fset, p, content, parser.ParseComments)
	if err != nil {
		return err
	}
	s := &source{p, syntax, bytes.Count(content, []byte("\n")), ast.IsGenerated(syntax)}
	owner := t.packageAt(path.Dir(p))
	switch {
	case strings.HasSuffix(p, "_test.go"):
		owner.tests = append(owner.tests, s)
	case !bytes.Contains(content, []byte("\n//go:build ignore\n")) && !bytes.HasPrefix(content, []byte("//go:build ignore\n")):
		owner.code = append(owner.code, s) // else a program that go generate runs
	}
	return nil
}

// isText tells the files that a person writes. Minified files are those of
// others.
func isText(p string) bool {
	switch path.Ext(p) {
	case ".go", ".md", ".sql", ".sh", ".templ", ".ts", ".css", ".html", ".yaml", ".yml", ".toml", ".mod", ".txt":
		return !strings.Contains(path.Base(p), ".min.")
	}
	return p == "Makefile" || p == ".ci/run"
}

func (t *tree) packageAt(dir string) *pkg {
	for _, p := range t.packages {
		if p.dir == dir {
			return p
		}
	}
	p := &pkg{dir: dir, layer: layerOf(dir)}
	t.packages = append(t.packages, p)
	return p
}

// layerOf finds the row for a folder, nil when there is none.
func layerOf(dir string) *layer {
	for i, l := range layers {
		if above, all := strings.CutSuffix(l.dir, "/..."); dir == above || (all && strings.HasPrefix(dir, above+"/")) {
			return &layers[i]
		}
	}
	return nil
}

// main tells whether the package is a program.
func (p *pkg) main() bool { return len(p.code) > 0 && p.code[0].syntax.Name.Name == "main" }
