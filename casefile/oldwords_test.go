package casefile_test

import (
	"bytes"
	"errors"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/journal"
)

// TestOldWords: a case file may have the other spelling of a kind and of a
// setting, also in a correction; what is read is the same to the byte, and a
// refusal still finds its place.
func TestOldWords(t *testing.T) {
	all := facttest.File(t, "all-kinds.yaml")
	was := facttest.Decode(t, all).Facts
	words := map[string]string{} // make-up is a setting too, which begins with a bracket
	for _, k := range fact.Kinds() {
		if k.Old == "" {
			continue
		}
		words[k.Word()] = k.Old
		if fact.KindNamed(k.Old).About != "" {
			t.Errorf("%s is a kind, and the other spelling of %s", k.Old, k.Word())
		}
	}
	if len(words) != 9 {
		t.Errorf("%d kinds have another spelling, want 9: %v", len(words), words)
	}
	old := all
	for word, other := range words {
		kind := regexp.MustCompile("([ {])" + word + "(: +[{[])")
		spelled := kind.ReplaceAll(old, []byte("${1}"+other+"${2}"))
		if bytes.Equal(spelled, old) {
			t.Errorf("%s is in no entry of the file", word)
		}
		old = spelled
	}
	if got := facttest.Decode(t, old).Facts; !reflect.DeepEqual(got, was) {
		t.Errorf("read in the other spelling:\n%+v\nwant\n%+v", got, was)
	}
}

// TestPublishedExample: the example that the format was published with is read
// as it stands, in the spelling of its day.
func TestPublishedExample(t *testing.T) {
	data := facttest.File(t, "published.yaml")
	if got, want := facttest.Decode(t, data).Facts, facttest.Worked(t); !reflect.DeepEqual(got, want) {
		t.Errorf("read as\n%+v\nwant\n%+v", got, want)
	}
	err := facttest.RefusedBy(string(bytes.Replace(data, []byte("makeup:   {of: Y1"), []byte("makeup:   {of: Y7"), 1)))
	const want = "line 19, column 20: entries[6].make-up.of: "
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("a make-up of a syringe that is not there: %v, want %s", err, want)
	}
}

// TestBothSpellings: with both spellings of a setting, which of them holds is
// for the person to say.
func TestBothSpellings(t *testing.T) {
	_, err := casefile.Decode([]byte("case: 1\nzone: UTC\npolicy: {makeup: [3 mL, 5 mL], make-up: [2 mL, 4 mL]}\nentries: []\n"), time.LoadLocation)
	const want = "line 3, column 10: policy: makeup is another spelling of make-up, and both stand here; take one away"
	if err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

// TestRecordsKnowNoOldWords: the record has one spelling.
func TestRecordsKnowNoOldWords(t *testing.T) {
	for _, k := range fact.Kinds() {
		if k.Old == "" {
			continue
		}
		_, err := journal.Parse(`{"v":2,"recorded":"2027-03-04T11:20:00Z","by":"tech-1","kind":"` + k.Old + `","fact":{}}`)
		var bad *journal.RecordError
		if !errors.As(err, &bad) || bad.Code != "unknown-kind" {
			t.Errorf("a record of the kind %s: %v", k.Old, err)
		}
	}
}
