package fold_test

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
)

func TestRefused(t *testing.T) {
	for _, r := range facttest.Refusals(t) {
		t.Run(r.Name, func(t *testing.T) {
			var e *casefile.Error
			if err := facttest.RefusedBy(r.File); !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			if e.Code != r.Code {
				t.Errorf("code %q, want %q", e.Code, r.Code)
			}
			if e.Error() != r.Message {
				t.Errorf("message\n%s, want\n%s", e.Error(), r.Message)
			}
		})
	}
}

// TestRefusalSaysTheSameInAJournal: what Fold refuses in a file it refuses
// with the same code and path when the same facts come from records.
func TestRefusalSaysTheSameInAJournal(t *testing.T) {
	folded := 0
	for _, r := range facttest.Refusals(t) {
		f, err := casefile.Decode([]byte(r.File), time.LoadLocation)
		if err != nil {
			continue
		}
		_, err = fold.File(f)
		var want *casefile.Error
		if !errors.As(err, &want) {
			t.Fatalf("%s: %v", r.Name, err)
		}
		var facts []fact.Fact
		for _, link := range facttest.Sealed(t, f.Facts) {
			rec, err := link.Record()
			if err != nil {
				t.Fatalf("%s: %v", r.Name, err)
			}
			facts = append(facts, rec.Fact)
		}
		_, err = fold.Facts(facts, time.LoadLocation)
		var got *fact.Refusal
		if !errors.As(err, &got) {
			t.Fatalf("%s: %v", r.Name, err)
		}
		if got.Code != want.Code || got.Path != want.Path || got.Msg != want.Msg {
			t.Errorf("%s: %v, want %v", r.Name, got, want)
		}
		folded++
	}
	if folded < 50 {
		t.Errorf("only %d refusals come from Fold: the table has lost some", folded)
	}
}

// TestEveryCodeIsInATable looks through the source for the codes that can be
// given for a fact, a record, a case file or a case, and asks for a case of each.
func TestEveryCodeIsInATable(t *testing.T) {
	given := regexp.MustCompile(`(?:Code: |[aA]tTop\([^,]+, |\bat\([^,]+, |failAt\([^,]+, |refuse\([^,]+, |fail\([^,]+(?:\([^)]*\))?, |stop\(|BrokenLink\{[^,]+, )"([a-z-]+)"`)
	tabled := map[string]bool{}
	for _, r := range facttest.Refusals(t) {
		tabled[r.Code] = true
	}
	for _, r := range facttest.BadRecords {
		tabled[r.Code] = true
	}
	for _, code := range tabledElsewhere {
		tabled[code] = true
	}
	for dir, least := range map[string]int{"fact": 25, "journal": 20, "casefile": 18, "fold": 110} {
		files, err := filepath.Glob("../" + dir + "/*.go")
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range given.FindAllStringSubmatch(string(text), -1) {
				seen++
				if !tabled[m[1]] {
					t.Errorf("%s: no case has the code %s", name, m[1])
				}
			}
		}
		if seen < least {
			t.Errorf("only %d places in %s that give a code were found: the pattern has lost some", seen, dir)
		}
	}
}

// tabledElsewhere are codes that other tests of these packages ask for.
var tabledElsewhere = []string{
	"case-missing", "case-twice", // TestHeaderOfAJournal
	"policy-late",          // TestHeaderOfAJournal
	"too-long", "bad-zone", // TestMarshalRefuses
	"gap", "hash", "old-format", "record", "digest", // TestVerifyRefuses
	"inconsistent",                // TestMarshalRefuses
	"field-missing", "two-shunts", // TestDosimetryRefused
	"two-fills", // TestTyped
}

// TestAlike: a file that brings in two ids which differ in letter case alone is refused where
// the second stands, and none that corrects it; records of old that have such ids still fold.
func TestAlike(t *testing.T) {
	const (
		first  = "order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30, residual: 2 %}"
		second = "order: {id: p1, prescribed: 1.3 GBq, at: 2027-03-04T15:30, residual: 2 %}"
		vial   = "receive: {vial: P1x, lot: L, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL, at: 2027-03-04T08:00}"
	)
	for name, c := range map[string]struct {
		lines []string
		says  string
	}{
		"two orders":         {[]string{first, second}, "entries[2].order.id: P1 and p1 differ in letter case alone, and would be taken for each other; give it another id"},
		"an order, a vial":   {[]string{first, strings.Replace(vial, "P1x", "p1", 1)}, "entries[2].receive.vial: P1 and p1 differ"},
		"other ids":          {[]string{first, strings.Replace(second, "p1", "p2", 1), vial}, ""},
		"corrected":          {[]string{first, second, "correct: {entry: 2, reason: a slip, with: {order: {id: P2, prescribed: 1.3 GBq, at: 2027-03-04T15:30, residual: 2 %}}}"}, ""},
		"corrected to alike": {[]string{first, strings.Replace(second, "p1", "P2", 1), "correct: {entry: 2, reason: a slip, with: {" + second + "}}"}, "entries[3].correct.with.order.id: P1 and p1 differ"},
	} {
		f, err := casefile.Decode([]byte("case: 1\nzone: UTC\nentries:\n  - "+strings.Join(c.lines, "\n  - ")+"\n"), time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := fold.Facts(f.Facts, time.LoadLocation); err != nil {
			t.Errorf("%s: as records: %v", name, err)
		}
		_, err = fold.File(f)
		var e *casefile.Error
		if refused := errors.As(err, &e); refused != (c.says != "") || refused && (!strings.Contains(e.Error(), c.says) || e.Code != "duplicate-id") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
