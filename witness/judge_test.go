package witness

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/journal"
)

// day is a day of an invented journal: record n was made n minutes after it began.
var day = time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)

// of gives a journal of so many records, whose hashes are other ones from a
// number on (0: none).
func of(records, changed uint64) Journal {
	return Journal{Site: "hotlab", Records: records, Hash: func(n uint64) journal.Hash {
		if changed > 0 && n >= changed {
			return hash(fmt.Sprint("changed ", n))
		}
		return hash(fmt.Sprint(n))
	}, Store: Store{Engine: "sqlite", Line: 4, Count: 50}}
}

// noted is what a place has of such a journal when it had so many records.
func noted(place string, j Journal, n uint64) Told {
	note := Note{Site: j.Site, Practice: j.Practice, Head: journal.Head{Seq: n}, At: day.Add(time.Duration(n) * time.Minute), Store: j.Store}
	if n > 0 {
		note.Head.Hash, note.First = j.Hash(n), j.Hash(1)
	}
	return Told{place, note, true}
}

func codes(faults []Fault) (out []string) {
	for _, f := range faults {
		out = append(out, f.Code)
	}
	return out
}

// TestJudge goes through what can happen to a journal; each is named, and only
// what its own key contradicts stops it.
func TestJudge(t *testing.T) {
	was := of(78, 0)
	notes := []Told{noted("a", was, 20), noted("a", was, 60), noted("a", was, 78)}
	postgres := func(j Journal, id string, line, count uint64) Journal {
		j.Store = Store{"postgres", id, line, count}
		return j
	}
	then := postgres(was, "71", 1, 500)
	onServer := []Told{noted("a", then, 60), noted("a", then, 78)}
	practice := of(78, 0)
	practice.Practice = true
	tables := of(66, 0)
	tables.Store.Line = 6
	beside := Told{"beside", noted("", was, 78).Note, false}
	for _, c := range []struct {
		name string
		j    Journal
		told []Told
		want []string
		says string
	}{
		{"as it was", of(78, 0), notes, nil, ""},
		{"gone on", of(90, 0), notes, nil, ""},
		{"nothing was noted", of(78, 0), nil, nil, ""},
		{"a record changed", of(78, 33), notes, []string{"rewritten"}, "one of the records 21 to 60 was changed after that"},
		{"changed behind every note", of(80, 79), notes, nil, ""},
		{"an older copy", of(66, 0), notes, []string{"older-copy"}, "records 67 to 78 are missing"},
		{"one record missing", of(77, 0), notes, []string{"older-copy"}, "record 78, noted on 2027-03-04 09:18 UTC, is missing"},
		{"taken off the end", tables, notes, []string{"cut-off"}, "records 67 to 78 are missing"},
		{"emptied", of(0, 0), notes, []string{"emptied"}, "there were 78"},
		{"changed and shortened", of(66, 33), notes, []string{"older-copy", "rewritten"}, ""},
		{"another journal", of(90, 1), notes, []string{"another-journal"}, ""},
		{"another, shorter journal", of(5, 1), notes, []string{"another-journal"}, ""},
		{"practice in its place", practice, notes, []string{"mixed-use"}, "the journal is for practice, and what was noted of it for patients"},
		{"a server that took over", postgres(of(70, 0), "71", 2, 600), onServer, []string{"failover"}, "records 71 to 78 are missing"},
		{"took over and went on", postgres(of(90, 71), "71", 2, 700), onServer, []string{"rewritten"}, "or a standby server without these records took over"},
		{"a server put back", postgres(of(70, 0), "71", 1, 400), onServer, []string{"older-copy"}, "the whole server"},
		{"on another server", postgres(of(70, 0), "99", 1, 900), onServer, []string{"older-copy"}, "another database than then"},
		{"taken off in the database", postgres(of(70, 0), "71", 1, 600), onServer, []string{"cut-off"}, ""},
		{"two places that disagree", of(78, 0), append(slices.Clone(notes), noted("b", of(78, 50), 78)), []string{"rewritten", "witnesses-disagree"}, ""},
		{"two that disagree earlier", of(78, 0), append(slices.Clone(notes), noted("b", of(78, 50), 55)), []string{"rewritten", "witnesses-disagree"}, ""},
		{"a place that is behind", of(78, 0), append(slices.Clone(notes), noted("b", was, 60)), []string{"behind"}, "the newest note there is of record 60"},
		{"beside, as it was", of(78, 0), []Told{beside}, nil, ""},
		{"beside, shorter", of(70, 0), []Told{beside}, []string{"older-copy"}, "the -wal file"},
		{"beside, emptied", of(0, 0), []Told{beside}, []string{"emptied"}, ""},
	} {
		faults := Judge(c.j, c.told)
		if got := codes(faults); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for i, f := range faults {
			if f.Stop == (f.Code == "behind") || f.Msg == "" || f.Hint == "" {
				t.Errorf("%s: fault %+v", c.name, f)
			}
			if i == 0 && !strings.Contains(f.Msg, c.says) {
				t.Errorf("%s: says %q, want %q", c.name, f.Msg, c.says)
			}
		}
	}
}

// TestResumed: after a loss somebody let recording go on. What was noted before is
// passed over and still told; what is noted afterwards counts.
func TestResumed(t *testing.T) {
	was, now := of(78, 0), of(70, 0)
	back := noted("a", now, 70)
	back.Note.At, back.Note.ResumedBy, back.Note.ResumedWhy = day.Add(100*time.Minute), "A. Example", "the disk was replaced"
	told := []Told{noted("a", was, 60), noted("a", was, 78), back}
	if faults := Judge(now, told); faults != nil {
		t.Errorf("after it was let go on: %v", codes(faults))
	}
	gone := of(90, 71) // other records in place of those that were lost
	if faults := Judge(gone, told); faults != nil {
		t.Errorf("after it went on: %v", codes(faults))
	}
	if got := Resumptions(told); len(got) != 1 || got[0] != back.Note {
		t.Errorf("told: %+v", got)
	}
	later := noted("a", gone, 90)
	later.Note.At = day.Add(200 * time.Minute)
	if got := codes(Judge(of(80, 71), append(told, later))); !slices.Equal(got, []string{"older-copy"}) {
		t.Errorf("shortened after it went on: %v", got)
	}
	if got := codes(Judge(of(90, 65), told)); !slices.Equal(got, []string{"rewritten"}) {
		t.Errorf("changed before the place where it went on: %v", got)
	}
	unsigned := back
	unsigned.Signed = false
	if got := codes(Judge(now, []Told{noted("a", was, 78), unsigned})); !slices.Equal(got, []string{"older-copy"}) {
		t.Errorf("let go on without a signature: %v", got)
	}
}
