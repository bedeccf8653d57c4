package vialwright

import (
	"bytes"
	"go/ast"
	"go/doc"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// checkLayer holds the code of a package, not its tests, to its row of the
// import table.
func (t *tree) checkLayer(p *pkg) {
	if p.layer == nil {
		t.report(p.dir, "the import table has no row for this package: add it to the table in tidy_test.go with its reason")
		return
	}
	for _, s := range p.code {
		for _, imp := range s.syntax.Imports {
			t.checkImport(p, imp)
		}
		t.checkMentions(p, s)
	}
}

// checkTable wants an object for every row: a folder with code, and for every
// module that may be imported a requirement in go.mod and an import that it
// allows. A rule of nothing is one that nobody would see broken.
func (t *tree) checkTable(rows []layer) {
	for _, l := range rows {
		dir := strings.TrimSuffix(l.dir, "/...")
		if t.folders[dir] == 0 {
			t.report("tidy_test.go", "the import table has a row for %s, and there is no such folder", l.dir)
		}
		for _, module := range l.others {
			imported := slices.ContainsFunc(t.packages, func(p *pkg) bool { return p.layer != nil && p.layer.dir == l.dir && p.imports(module) })
			if module != "*" && !imported {
				t.report("tidy_test.go", "the import table lets %s import %s, and it does not", l.dir, module)
			}
		}
	}
}

// imports tells that the code of a package, or a test of it, imports a module
// or a package below it.
func (p *pkg) imports(module string) bool {
	return slices.ContainsFunc(slices.Concat(p.code, p.tests), func(s *source) bool {
		return slices.ContainsFunc(s.syntax.Imports, func(imp *ast.ImportSpec) bool { return under(importPath(imp), module) })
	})
}

func importPath(imp *ast.ImportSpec) string {
	path, _ := strconv.Unquote(imp.Path.Value)
	return path
}

// under tells whether an import path is that of root or lies below it.
func under(path, root string) bool { return path == root || strings.HasPrefix(path, root+"/") }

func (t *tree) checkImport(p *pkg, imp *ast.ImportSpec) {
	l := p.layer
	path := importPath(imp)
	if imp.Name != nil && imp.Name.Name == "." {
		t.report(imp.Pos(), "imports %s into its own names: a reader cannot tell whose they are", path)
	}
	own, ours := strings.CutPrefix(path, module)
	first, _, _ := strings.Cut(path, "/")
	switch {
	case ours:
		if !slices.Contains(l.ours, own) && !slices.Contains(l.ours, "*") {
			t.report(imp.Pos(), "%s may not import %s: %s", p.dir, path, l.why)
		}
	case strings.Contains(first, "."): // a module of others
		allowed := func(module string) bool { return module == "*" || under(path, module) }
		if !slices.ContainsFunc(l.others, allowed) {
			t.report(imp.Pos(), "%s may not import %s: %s", p.dir, path, l.why)
		}
	case l.kind == pure:
		for _, b := range pureBans {
			if b.name == "" && (under(path, b.path) && path != "math/rand/v2") {
				t.report(imp.Pos(), "a pure package may not import %s: %s", path, b.why)
			}
		}
	}
}

// checkMentions looks for banned names of packages that may be imported.
func (t *tree) checkMentions(p *pkg, s *source) {
	l := p.layer
	var bans []ban
	if l.kind != program {
		bans = clockBans
	}
	if l.kind == pure {
		bans = slices.Concat(bans, pureBans)
	}
	for sel, path := range mentions(s.syntax) {
		name := sel.Sel.Name
		for _, b := range bans {
			if b.path == path && b.name == name {
				t.report(sel.Pos(), "%s may not use %s.%s: %s", p.dir, path, name, b.why)
			}
		}
		if l.kind == pure && path == "math/rand/v2" && !slices.Contains(seeded, name) {
			t.report(sel.Pos(), "%s may not use %s.%s: %s", p.dir, path, name, whyRand)
		}
	}
}

// mentions gives the selectors that name something of an imported package,
// and that package.
func mentions(f *ast.File) map[*ast.SelectorExpr]string {
	paths := map[string]string{}
	for _, imp := range f.Imports {
		path := importPath(imp)
		name := path[strings.LastIndex(path, "/")+1:]
		if path == "math/rand/v2" {
			name = "rand"
		}
		if imp.Name != nil {
			name = imp.Name.Name
		}
		paths[name] = path
	}
	found := map[*ast.SelectorExpr]string{}
	ast.Inspect(f, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			// An identifier with an object is a variable of that name.
			if x, ok := sel.X.(*ast.Ident); ok && x.Obj == nil && paths[x.Name] != "" {
				found[sel] = paths[x.Name]
			}
		}
		return true
	})
	return found
}

// checkDocs wants a package comment, and a comment on every exported name of
// what is not a program.
func (t *tree) checkDocs(p *pkg) {
	if len(p.code) == 0 {
		return
	}
	name := p.code[0].syntax.Name.Name
	documented := slices.ContainsFunc(p.code, func(s *source) bool {
		text := s.syntax.Doc.Text()
		return strings.HasPrefix(text, "Package "+name+" ") || (p.main() && text != "")
	})
	if !documented {
		t.report(p.dir, "no package comment beginning with \"Package %s\": it is the specification", name)
	}
	if p.main() {
		return
	}
	for _, s := range p.code {
		if s.generated {
			continue
		}
		for _, decl := range s.syntax.Decls {
			t.checkDecl(decl)
		}
	}
}

func (t *tree) checkDecl(decl ast.Decl) {
	switch d := decl.(type) {
	case *ast.FuncDecl:
		// What Error and Unwrap do is said by the package errors.
		errs := d.Recv != nil && (d.Name.Name == "Error" || d.Name.Name == "Unwrap")
		if d.Doc == nil && receiverExported(d) && !errs {
			t.undocumented(d.Name)
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.ValueSpec: // the comment of a group will do
				if d.Doc == nil && s.Doc == nil && s.Comment == nil {
					t.undocumented(s.Names...)
				}
			case *ast.TypeSpec:
				text := s.Doc.Text() + s.Comment.Text() + d.Doc.Text()
				if text == "" {
					t.undocumented(s.Name)
				}
				if s.Name.IsExported() {
					t.checkMembers(s.Type, text)
				}
			}
		}
	}
}

// checkMembers wants every method of an interface and every field that is a
// bare number described, by a comment of its own or by name in that of the
// type. A field of a type of ours says by its type what it is.
func (t *tree) checkMembers(typ ast.Expr, typeText string) {
	var members *ast.FieldList
	switch s := typ.(type) {
	case *ast.StructType:
		members = s.Fields
	case *ast.InterfaceType:
		members = s.Methods
	default:
		return
	}
	for _, m := range members.List {
		_, method := typ.(*ast.InterfaceType)
		if m.Doc != nil || m.Comment != nil || !(method || bareNumber(m.Type)) {
			continue
		}
		for _, name := range m.Names {
			if !regexp.MustCompile(`(?i)\b` + name.Name + `\b`).MatchString(typeText) {
				t.undocumented(name)
			}
		}
	}
}

var number = regexp.MustCompile(`^(u?int(8|16|32|64)?|float(32|64)|complex(64|128)|byte|rune)$`)

// bareNumber tells a number without a unit in its type, or a pointer to such
// numbers, a list or a map of them.
func bareNumber(typ ast.Expr) bool {
	switch x := typ.(type) {
	case *ast.Ident:
		return number.MatchString(x.Name)
	case *ast.StarExpr:
		return bareNumber(x.X)
	case *ast.ArrayType:
		return bareNumber(x.Elt)
	case *ast.MapType:
		return bareNumber(x.Value)
	}
	return false
}

func (t *tree) undocumented(names ...*ast.Ident) {
	for _, name := range names {
		if name.IsExported() {
			t.report(name.Pos(), "%s is exported and has no comment", name.Name)
		}
	}
}

func receiverExported(d *ast.FuncDecl) bool {
	if d.Recv == nil {
		return true
	}
	typ := d.Recv.List[0].Type
	if star, ok := typ.(*ast.StarExpr); ok {
		typ = star.X
	}
	switch generic := typ.(type) { // the names of what it is generic in do not count
	case *ast.IndexExpr:
		typ = generic.X
	case *ast.IndexListExpr:
		typ = generic.X
	}
	id, named := typ.(*ast.Ident)
	return named && id.IsExported()
}

// checkExample wants a runnable example of a package that others call.
func (t *tree) checkExample(p *pkg) {
	if p.layer == nil || (p.layer.kind != pure && p.layer.kind != library) || len(p.code) == 0 {
		return
	}
	if p.dir == "." || strings.Contains("/"+p.dir+"/", "/internal/") {
		return // nobody calls it
	}
	for _, s := range p.tests {
		for _, example := range doc.Examples(s.syntax) {
			if example.Output != "" || example.EmptyOutput {
				return
			}
		}
	}
	t.report(p.dir, "no runnable Example (one with an Output comment): it is the documentation that cannot go stale")
}

// checkLengths holds code that a person wrote, not tests, to the lengths.
func (t *tree) checkLengths(p *pkg) {
	for _, s := range p.code {
		if s.generated {
			continue
		}
		if s.lines > maxFile {
			t.report(s.path, "%d lines, more than %d: one file per thing", s.lines, maxFile)
		}
		for _, decl := range s.syntax.Decls {
			f, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if n := t.fset.Position(f.End()).Line - t.fset.Position(f.Pos()).Line + 1; n > maxFunc {
				t.report(f.Pos(), "%s has %d lines, more than %d", f.Name.Name, n, maxFunc)
			}
		}
	}
}

// checkTests looks for tests that wait on the clock, and for skips that do
// not say why.
func (t *tree) checkTests(p *pkg) {
	for _, s := range p.tests {
		used := mentions(s.syntax)
		timer := func(e ast.Expr, names ...string) bool {
			call, ok := e.(*ast.CallExpr)
			if !ok {
				return false
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			return ok && used[sel] == "time" && slices.Contains(names, sel.Sel.Name)
		}
		cases := map[ast.Stmt]bool{} // what a select waits for
		ast.Inspect(s.syntax, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CommClause:
				cases[n.Comm] = true
			case *ast.CallExpr:
				if timer(n, "Sleep") {
					t.report(n.Pos(), "a test that sleeps: wait for what happens, or use testing/synctest")
				}
				if skipsSilently(n) {
					t.report(n.Pos(), "a skip without a reason")
				}
			case *ast.ExprStmt: // <-time.After(d) alone, not one case of a select
				if receive, ok := n.X.(*ast.UnaryExpr); ok && !cases[n] && receive.Op == token.ARROW && timer(receive.X, "After", "Tick") {
					t.report(n.Pos(), "a test that sleeps: wait for what happens, or use testing/synctest")
				}
			}
			return true
		})
	}
}

// skipsSilently tells t.SkipNow(), t.Skip() and t.Skip("").
func skipsSilently(call *ast.CallExpr) bool {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	if x, ok := sel.X.(*ast.Ident); !ok || !slices.Contains([]string{"t", "b", "f", "tb"}, x.Name) {
		return false
	}
	switch sel.Sel.Name {
	case "SkipNow":
		return true
	case "Skip", "Skipf":
		if len(call.Args) == 0 {
			return true
		}
		lit, ok := call.Args[0].(*ast.BasicLit)
		return ok && strings.Trim(lit.Value, "`\" ") == ""
	}
	return false
}

// checkFixtures wants a file in every testdata folder and in those below it.
func (t *tree) checkFixtures() {
	for dir, files := range t.folders {
		if files == 0 && slices.Contains(strings.Split(dir, "/"), "testdata") {
			t.report(dir, "an empty folder of fixtures: the tests that read it test nothing")
		}
	}
}

// unfinished are the words that mark what should have been done. They are
// put together here so that this file does not hold them.
var unfinished = regexp.MustCompile(`\b(TO` + `DO|FIX` + `ME|X` + `XX)\b`)

func (t *tree) checkWords() {
	for _, f := range t.texts {
		for i, line := range bytes.Split(f.content, []byte("\n")) {
			if word := unfinished.Find(line); word != nil {
				t.report(f.path+":"+strconv.Itoa(i+1), "%s: finish it, or write down in docs why not", word)
			}
		}
	}
}
