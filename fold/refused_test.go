package fold_test

import (
	"errors"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
)

// refusal is a case of testdata/refused.txt.
type refusal struct {
	name, file, code, message string
}

// refusals reads the table: "== name", the file, "-- code", the message.
func refusals(tb testing.TB) []refusal {
	tb.Helper()
	sections := regexp.MustCompile(`(?m)^=([=+]) (.*)\n`)
	text := string(file(tb, "refused.txt"))
	at := sections.FindAllStringSubmatchIndex(text, -1)
	preamble := ""
	var out []refusal
	for i, m := range at {
		end := len(text)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		r := refusal{name: text[m[4]:m[5]]}
		body, rest, found := strings.Cut(text[m[1]:end], "-- ")
		r.file = bytesOf(body)
		if r.name == "preamble" {
			preamble = r.file
			continue
		}
		if !found {
			tb.Fatalf("%s: no -- line", r.name)
		}
		if text[m[2]] == '+' {
			r.file = strings.TrimRight(preamble, "\n") + "\n" + r.file
		}
		r.code, r.message, _ = strings.Cut(strings.TrimRight(rest, "\n"), "\n")
		out = append(out, r)
	}
	return out
}

var byteEscape = regexp.MustCompile(`\\x[0-9a-f]{2}`)

// bytesOf writes \xHH of the table as one byte.
func bytesOf(s string) string {
	return byteEscape.ReplaceAllStringFunc(s, func(e string) string {
		b, _ := strconv.ParseUint(e[2:], 16, 8)
		return string([]byte{byte(b)})
	})
}

// refusedBy decodes and folds.
func refusedBy(data string) error {
	f, err := casefile.Decode([]byte(data), time.LoadLocation)
	if err == nil {
		_, err = fold.File(f)
	}
	return err
}

func TestRefused(t *testing.T) {
	for _, r := range refusals(t) {
		t.Run(r.name, func(t *testing.T) {
			var e *casefile.Error
			if err := refusedBy(r.file); !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			if e.Code != r.code {
				t.Errorf("code %q, want %q", e.Code, r.code)
			}
			if e.Error() != r.message {
				t.Errorf("message\n%s, want\n%s", e.Error(), r.message)
			}
		})
	}
}

// TestRefusalSaysTheSameInAJournal: what Fold refuses in a file it refuses
// with the same code and path when the same facts come from records.
func TestRefusalSaysTheSameInAJournal(t *testing.T) {
	folded := 0
	for _, r := range refusals(t) {
		f, err := casefile.Decode([]byte(r.file), time.LoadLocation)
		if err != nil {
			continue
		}
		_, err = fold.File(f)
		var want *casefile.Error
		if !errors.As(err, &want) {
			t.Fatalf("%s: %v", r.name, err)
		}
		var facts []fact.Fact
		for _, link := range sealed(t, f.Facts) {
			rec, err := link.Record()
			if err != nil {
				t.Fatalf("%s: %v", r.name, err)
			}
			facts = append(facts, rec.Fact)
		}
		_, err = fold.Facts(facts, time.LoadLocation)
		var got *fact.Refusal
		if !errors.As(err, &got) {
			t.Fatalf("%s: %v", r.name, err)
		}
		if got.Code != want.Code || got.Path != want.Path || got.Msg != want.Msg {
			t.Errorf("%s: %v, want %v", r.name, got, want)
		}
		folded++
	}
	if folded < 50 {
		t.Errorf("only %d refusals come from Fold: the table has lost some", folded)
	}
}

// TestEveryCodeIsInATable looks through the source for the codes that can be
// given, and asks for a case of each.
func TestEveryCodeIsInATable(t *testing.T) {
	given := regexp.MustCompile(`(?:code: |atTop\([^,]+, |refuse\([^,]+, |fail\([^,]+(?:\([^)]*\))?, |stop\()"([a-z-]+)"`)
	tabled := map[string]bool{}
	for _, r := range refusals(t) {
		tabled[r.code] = true
	}
	for _, r := range badRecords {
		tabled[r.code] = true
	}
	for _, code := range tabledElsewhere {
		tabled[code] = true
	}
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		text, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range given.FindAllStringSubmatch(string(text), -1) {
			seen++
			if !tabled[m[1]] {
				t.Errorf("%s: no case has the code %s", f.Name(), m[1])
			}
		}
	}
	if seen < 80 {
		t.Errorf("only %d places that give a code were found: the pattern has lost some", seen)
	}
}

// tabledElsewhere are codes that other tests of this package ask for.
var tabledElsewhere = []string{
	"case-missing", "case-twice", // TestHeaderOfAJournal
	"policy-late",          // TestHeaderOfAJournal
	"too-long", "bad-zone", // TestMarshalRefuses
	"bad-line", "gap", "hash", // TestVerifyRefuses
	"inconsistent",  // TestMarshalRefuses
	"field-missing", // TestDosimetryRefused
}
