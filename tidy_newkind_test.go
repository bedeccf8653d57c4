package vialwright

import (
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// added is all that a copy of this tree is given so that it knows a new kind of entry
// and a new field of an old one: below, a file is put there, or a text of it replaced.
var added = []struct{ what, file, old, text string }{
	{"a kind of entry", "fact/cleaning.go", "", `package fact

import "time"

// Cleaning is the cleaning of a bench.
type Cleaning struct {
	Bench string    "must:\"bench\" label:\"Which bench\""
	With  string    "may:\"with\" label:\"Cleaned with\""
	At    time.Time "must:\"at\" label:\"When\""
}

func (c *Cleaning) is() (string, time.Time) { return "cleaning", c.At }
`},
	{
		"a kind of entry", "fact/fact.go", "\t{blank[Contact],",
		"\t{blank[Cleaning], people.Survey, Observation, Replace, Kept | SiteBook, \"\", \"bench cleaned\", \"a bench was cleaned\", \"\"},\n\t{blank[Contact],",
	},
	{"a kind of entry", "web/hotlab/enter.go", `"contact": {`, `"cleaning": {"Enter a cleaning", "/surveys"}, "contact": {`},
	{"a field", "fact/area.go", "\tPhone string", "\tHours string `may:\"hours\" label:\"Answers at\"`\n\tPhone string"},
}

// shown is the test that is run in the copy.
const shown = `package hotlab_test

import (
	"strings"
	"testing"

	"vialwright/casefile"
	"vialwright/web/webtest"
)

func TestAdded(t *testing.T) {
	lab := webtest.New(t, webtest.InPractice).Hire()
	t1 := lab.As("T1")
	enter := func(kind string, words []string, fields ...string) {
		at := "/hot-lab/enter/" + kind
		t1.Look(at).Says(200, words...)
		t1.Fill(at, kind, at, fields...).Recorded()
	}
	enter("cleaning", []string{"Enter a cleaning", "Which bench", "Cleaned with"}, "p0.bench", "B1", "p0.with", "wipes")
	lab.Tell("cleaning: {bench: B2, with: soap, at: 2027-03-04T09:00}")
	t1.Look("/history").Says(200, "bench cleaned", "wipes", "soap")
	lab.As("RP1").Look("/hot-lab/enter/contact").Says(200, "Answers at")
	for name, said := range map[string][]string{
		string(casefile.Schema()):  {"\"cleaning\"", "\"bench\"", "\"hours\""},
		string(casefile.Table()):   {"cleaning,with,Cleaned with,", "contact,hours,Answers at,"},
		casefile.Describe():        {"cleaning: a bench was cleaned", "with ", "hours "},
	} {
		for _, want := range said {
			if !strings.Contains(name, want) {
				t.Errorf("%q is not in:\n%s", want, name)
			}
		}
	}
}
`

// TestAddedKind adds a kind of entry and a field to a copy of this tree, and asks there
// for the form, the line of the history, the case file, the CSV row, the JSON schema and
// the description of them. It counts the files that were touched.
func TestAddedKind(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: most of the program is built again")
	}
	dir := t.TempDir()
	copyTree(t, dir)
	touched := map[string][]string{}
	for _, a := range added {
		name := filepath.Join(dir, filepath.FromSlash(a.file))
		text := a.text
		if a.old != "" {
			data, err := os.ReadFile(name)
			if err != nil || strings.Count(string(data), a.old) != 1 {
				t.Fatalf("%s: %v: %q is not there once", a.file, err, a.old)
			}
			text = strings.Replace(string(data), a.old, a.text, 1)
		}
		write(t, name, []byte(text))
		if !slices.Contains(touched[a.what], a.file) {
			touched[a.what] = append(touched[a.what], a.file)
		}
	}
	for _, s := range specimens {
		if n := len(touched[s.what]); n > s.gate {
			t.Errorf("%s touched %d files, %q; it may touch %d", s.what, n, touched[s.what], s.gate)
		}
	}
	write(t, filepath.Join(dir, "web", "hotlab", "added_test.go"), []byte(shown))
	run := exec.Command("go", "test", "-vet=off", "-trimpath", "./web/hotlab", "-run", "^TestAdded$")
	run.Dir = dir
	if out, err := run.CombinedOutput(); err != nil {
		t.Errorf("%v:\n%s", err, out)
	}
}

// copyTree copies what the program is built from.
func copyTree(t *testing.T, to string) {
	t.Helper()
	from := os.DirFS(".")
	err := fs.WalkDir(from, ".", func(p string, d fs.DirEntry, err error) error {
		switch name := path.Base(p); {
		case err != nil:
			return err
		case d.IsDir() && (skipped(p) || name == "testdata" || p == "docs" || p == "out" || p == "bin"):
			return fs.SkipDir
		case d.IsDir():
			return os.MkdirAll(filepath.Join(to, p), 0o700)
		case strings.HasSuffix(name, "_test.go"):
			return nil
		}
		data, err := fs.ReadFile(from, p)
		write(t, filepath.Join(to, p), data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func write(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
}
