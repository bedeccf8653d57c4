package fold_test

import (
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// TestAt: every kind that has a time of its own says it; those that have none
// are few and named here.
func TestAt(t *testing.T) {
	none := map[string]bool{"order": true, "correct": true, "paper": true, "supervised": true, "site": true, "policy": true, "meter": true}
	for _, f := range facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts {
		if at := fact.At(f); at.IsZero() != none[fact.Word(f)] && fact.Word(f) != "note" { // a note may leave it out
			t.Errorf("%s speaks of %v", fact.Word(f), at)
		}
	}
}

// TestEntries: the last correction of an entry holds, one of a correction
// changes nothing, and a struck entry can be put back.
func TestEntries(t *testing.T) {
	note := func(text string) *fact.Note {
		return &fact.Note{Text: text, At: time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC)}
	}
	correct := func(n int, with fact.Fact) *fact.Correct {
		return &fact.Correct{Entry: n, Reason: "a slip", With: with}
	}
	got := fold.Entries(journal.Records([]fact.Fact{
		&fact.Site{}, note("one"), note("two"), correct(1, nil), correct(3, note("three")), correct(1, note("four")), correct(9, nil),
	}))
	want := []struct {
		text    string // empty for none
		written int
		was     string
	}{{"four", 5, ""}, {"two", 2, ""}, {"", 3, "one"}, {"", 4, ""}, {"", 5, ""}, {"", 6, ""}}
	if len(got) != len(want) {
		t.Fatalf("%d entries, want %d", len(got), len(want))
	}
	text := func(f fact.Fact) string {
		n, _ := f.(*fact.Note)
		if n == nil {
			return ""
		}
		return n.Text
	}
	for i, w := range want {
		if e := got[i]; e.Number != i+1 || e.Place != i+1 || text(e.Fact) != w.text || e.Written != w.written || text(e.Was) != w.was {
			t.Errorf("entry %d is %+v, want %+v", i+1, e, w)
		}
	}
}

// TestAtCurve: a settling test has the time of its last reading.
func TestAtCurve(t *testing.T) {
	x := &fact.SettlingTest{At: time.Unix(1e9, 0), Readings: []fact.CurveReading{{Since: quantity.Stated[quantity.Span]{Value: 5}}, {Since: quantity.Stated[quantity.Span]{Value: 90.5}}}}
	if got := fact.At(x); !got.Equal(time.Unix(1e9+90, 5e8)) {
		t.Error(got)
	}
}
