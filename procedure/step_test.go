package procedure_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/procedure"
)

// TestEveryStepIsDeclared: each step of the table has its words, an act that
// somebody may do, kinds of entry that record it, a line in the package comment,
// and a stage of the walk, or for what a walk without fault leaves out a test of
// its own.
func TestEveryStepIsDeclared(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	elsewhere := map[procedure.Key]string{procedure.Adjust: "TestTopUp"}
	steps := newBench(t).does(dora, theOrder).prep("P1").Steps
	titles := map[string]bool{}
	for _, s := range steps {
		if s.Title == "" || s.Short == "" || s.Due == "" || s.Needs == "" || titles[s.Title] || titles[s.Short] {
			t.Errorf("%s lacks words, or has those of another: %+v", s.Key, s)
		}
		titles[s.Title] = true
		if s.Key.Act().Text() == "" {
			t.Errorf("nobody may do %s", s.Key)
		}
		for word := range strings.SplitSeq(s.Records, " or ") {
			if fact.KindNamed(word).About == "" {
				t.Errorf("%s is recorded by %q, which is no kind of entry", s.Key, word)
			}
		}
		if !strings.Contains(string(doc), "\n//\t"+string(s.Key)+" ") {
			t.Errorf("the package comment does not say how %s is known to be done", s.Key)
		}
		staged := slices.ContainsFunc(walk, func(w stage) bool { return w.key == s.Key })
		if staged == (elsewhere[s.Key] != "") {
			t.Errorf("%s has a stage of the walk: %v, else %q", s.Key, staged, elsewhere[s.Key])
		}
	}
}
