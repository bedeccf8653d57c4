package vialwright

import (
	"go/token"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// specimens are what was added last of each sort, with the files of the program
// that name it. gate is what a new one may cost; what it costs beside that is its
// use, where it has one of its own.
var specimens = []struct {
	what, name string
	gate       int
	places     []string
	use        []string
}{
	{
		what: "a kind of entry", name: `\bDrillAnswer\b|"drill-answer"`, gate: 3,
		places: []string{"fact/fact.go", "fact/practice.go", "fold/enter.go"}, // its line, its file, and that it moves no activity
		use:    []string{"web/practice/drill.go"},
	},
	{
		what: "a field", name: `\.Wipe\b|"wipe"`, gate: 2,
		places: []string{"fact/work.go", "web/books/forms.go"}, // its declaration, and where the form has it
		use:    []string{"fold/limits.go", "fold/workfold.go"}, // it is held against a limit
	},
	{
		what: "a finding", name: `\bHeldUp\b|"held-up"`, gate: 2,
		places: []string{"dispensing/checkorder.go", "dispensing/finding.go"},
	},
	{
		what: "a step", name: `\bMakeUp +Key\b|key: MakeUp\b|procedure\.MakeUp\b|\) makeUp\(\) standing`, gate: 6,
		places: []string{"procedure/stand.go", "procedure/step.go", "web/forms/steps.go"}, // how it is known to be done, its key and row, its form
		use:    []string{"web/preparation/number.go", "web/preparation/verdict.go"},       // the volume to add, and the finding that waits for it
	},
}

// TestPlaces counts what a change costs: the files that name what was added. That
// none is forgotten is for the tests of the packages: TestKinds, TestEveryStepIsDeclared,
// TestEveryStepHasItsForm, TestEveryFindingHasAStory, TestFindingsAreDocumented.
func TestPlaces(t *testing.T) {
	files := programTexts(t)
	for _, s := range specimens {
		var got []string
		for _, f := range files {
			if regexp.MustCompile(s.name).Match(f.content) {
				got = append(got, f.path)
			}
		}
		want := slices.Sorted(slices.Values(slices.Concat(s.places, s.use)))
		if slices.Sort(got); !slices.Equal(got, want) || len(s.places) > s.gate {
			t.Errorf("%s costs at most %d places and its use; it is named in %q, want %q", s.what, s.gate, got, want)
		}
	}
}

// namers are the files that may name single findings, or single steps, beside
// those that declare and find them: there a finding or a step has a rule of its
// own. All others go by severity, by what it concerns, or by the table of steps.
var namers = map[string][]string{
	"finding": {
		"procedure/hold.go",          // which of them hold a dose, and what lifts them
		"procedure/stand.go",         // an adjustment ends with the override of its finding
		"procedure/view.go",          // what a deviation has to explain
		"web/preparation/event.go",   // leads to the event
		"web/forms/label.go",         // a label that drifted is not printed again
		"web/preparation/timeout.go", // nor passed over at the time-out
		"web/preparation/verdict.go", // which of them the next step ends, or no correction does
	},
	"step": {
		"web/books/event.go",                      // an event asks for time-out and residual
		"web/board/board.go", "web/board/scan.go", // who has it; where a scan leads
		"web/clock/clock.go",       // the steps that draw from a suspension
		"web/readings/readings.go", // the check reads blind
	},
}

// TestNamedInFewPlaces: a finding or a step that is declared is shown, held and
// printed by what is said of it there, so that a new one needs no line elsewhere.
func TestNamedInFewPlaces(t *testing.T) {
	declared := map[string]*regexp.Regexp{
		"finding": names(t, "dispensing/finding.go", `(?m)^\t([A-Z]\w+) +Code = `, "dispensing"),
		"step":    names(t, "procedure/step.go", `(?m)^\t([A-Z]\w+) +Key = `, "procedure"),
	}
	for what, name := range declared {
		for _, f := range programTexts(t) {
			// The bench shows the steps, and its forms record them.
			room := what == "step" && (strings.HasPrefix(f.path, "web/preparation/") || strings.HasPrefix(f.path, "web/forms/"))
			if m := name.Find(f.content); m != nil && !room && !slices.Contains(namers[what], f.path) {
				t.Errorf("%s names %s: a %s is known by its declaration", f.path, m, what)
			}
		}
		for _, file := range namers[what] {
			if data, err := os.ReadFile(file); err != nil || !name.Match(data) {
				t.Errorf("%s names no %s any more: %v", file, what, err)
			}
		}
	}
}

// names finds what a file declares, as other packages name it.
func names(t *testing.T, file, declaration, pkg string) *regexp.Regexp {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, m := range regexp.MustCompile(declaration).FindAllSubmatch(data, -1) {
		all = append(all, string(m[1]))
	}
	if len(all) < 15 {
		t.Fatalf("%s declares only %q", file, all)
	}
	return regexp.MustCompile(`\b` + pkg + `\.(` + strings.Join(all, "|") + `)\b`)
}

// programTexts are the sources of the program, without tests, what they use, and the
// comments of packages.
func programTexts(t *testing.T) []text {
	t.Helper()
	all := &tree{fset: token.NewFileSet(), folders: map[string]int{}}
	if err := all.load(os.DirFS(".")); err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(all.texts, func(f text) bool {
		test := strings.HasSuffix(f.path, "_test.go") || strings.HasSuffix(f.path, "/doc.go") || strings.HasPrefix(f.path, "fact/facttest/") || strings.HasPrefix(f.path, "web/webtest/")
		return path.Ext(f.path) != ".go" || test
	})
}
