package replica

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/experience/invented"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/witness"
)

// past is a log with some invented days, corrections of them and what is of the site.
func past(tb testing.TB, records int) *storetest.Memory {
	tb.Helper()
	log := &storetest.Memory{}
	var all []journal.Record
	for r, err := range invented.Busy(time.Date(2027, 3, 1, 7, 0, 0, 0, time.UTC), 2, 1, time.LoadLocation) {
		if err != nil {
			tb.Fatal(err)
		}
		all = append(all, r)
		if n := len(all); n%7 == 0 {
			all = append(all, journal.Record{Recorded: r.Recorded, By: "T1", Form: fmt.Sprint("form", n, ".x"), Fact: &fact.Note{Text: "a note", At: r.Recorded}})
			all = append(all, journal.Record{Recorded: r.Recorded, By: "T1", Fact: &fact.Correct{Entry: len(all), Reason: "a slip", With: &fact.Note{Text: "another"}}})
		}
		if len(all) >= records {
			break
		}
	}
	grow(tb, log, all)
	return log
}

// grow appends records to a log.
func grow(tb testing.TB, log store.Log, records []journal.Record) {
	tb.Helper()
	head, err := log.Head(context.Background())
	if err != nil {
		tb.Fatal(err)
	}
	links, err := journal.Seal(journal.Head{Seq: head.Seq, Hash: head.Hash}, salt, records...)
	if err != nil {
		tb.Fatal(err)
	}
	if err := log.Append(context.Background(), head, stored(links)...); err != nil {
		tb.Fatal(err)
	}
}

func packed(r *Replica) string {
	w := &pack.Writer{}
	r.pack(w)
	return string(w.Buf)
}

// TestCheckpointIsTheJournal: a replica from a checkpoint, with what was recorded
// since, is the replica that has read everything, byte for byte, and gives the same
// files; the verification behind it finds that.
func TestCheckpointIsTheJournal(t *testing.T) {
	log := past(t, 900)
	rapid.Check(t, func(rt *rapid.T) {
		at := rapid.IntRange(1, 900).Draw(rt, "checkpoint at")
		until := rapid.IntRange(at, 900).Draw(rt, "journal until")
		first := open(t, cut(t, log, at))
		if rapid.Bool().Draw(rt, "a page was shown") {
			first.OpenFiles(time.Time{}, func(f *File) bool { return f.Newest%3 > 0 })
		}
		tail := cut(t, log, until)
		r, err := OpenAt(t.Context(), tail, salt, nil, "test", first.Checkpoint("test"))
		if err != nil {
			rt.Fatal(err)
		}
		whole := open(t, tail)
		if packed(r) != packed(whole) {
			rt.Fatal("the books are others than those of the whole journal")
		}
		for i, f := range whole.Groups() {
			if g := r.Groups()[i]; !slices.EqualFunc(f.Records, g.Records, sameRecord) || f.Newest != g.Newest || !slices.Equal(f.IDs, g.IDs) {
				rt.Fatalf("the file of %q is another one", f.IDs)
			}
		}
		for n := range until + 2 { // most of them are not held, and are read
			if r.Hash(n) != whole.Hash(n) {
				rt.Fatalf("the hash of record %d is another one", n)
			}
		}
		if done, of, going := r.Behind(); !going || done != 0 || of != uint64(at) {
			rt.Fatalf("%d of %d, %v", done, of, going)
		}
		if r.Checkpoint("test") != nil {
			rt.Fatal("a checkpoint is made of what is not verified yet")
		}
		if err := r.VerifyBehind(t.Context(), func() {}); err != nil || r.Broken() != nil {
			rt.Fatal(err, r.Broken())
		}
		if _, _, going := r.Behind(); going {
			rt.Fatal("the verification does not end")
		}
	})
}

func sameRecord(a, b journal.Record) bool {
	return a.N == b.N && a.By == b.By && a.Form == b.Form && a.Recorded.Equal(b.Recorded) && fact.Same(a.Fact, b.Fact)
}

// cut is a log that ends at a record.
func cut(tb testing.TB, log *storetest.Memory, n int) *storetest.Memory {
	tb.Helper()
	out := &storetest.Memory{}
	var all []store.Record
	for x, err := range log.Read(context.Background(), 1, n) {
		if err != nil {
			tb.Fatal(err)
		}
		all = append(all, x)
	}
	if err := out.Append(context.Background(), store.Head{}, all...); err != nil {
		tb.Fatal(err)
	}
	return out
}

// TestCheckpointThatDoesNotFit: nothing of a checkpoint is used that is of another
// journal, of another version, of more records than there are, or cut short.
func TestCheckpointThatDoesNotFit(t *testing.T) {
	log := past(t, 300)
	whole := open(t, log).Checkpoint("test")
	for _, x := range []struct {
		name, why string
		log       store.Log
		data      []byte
	}{
		{"of another journal", "is another one", past(t, 450), whole},
		{"of more records", "does not have", cut(t, log, 200), whole},
		{"of another version", "was made by older", log, open(t, log).Checkpoint("older")},
		{"of another form", "another form", log, []byte("something else")},
		{"cut short", "not one that this program wrote", log, whole[:len(whole)/2]},
		{"cut short at once", "cut short", log, whole[:60]},
		{"empty", "another form", log, nil},
	} {
		other := x.log
		if x.name == "of another journal" { // of as many records, the last of which is another
			other = rewritten(t, log, 299)
		}
		if _, err := OpenAt(t.Context(), other, salt, nil, "test", x.data); err == nil || !strings.Contains(err.Error(), x.why) {
			t.Errorf("a checkpoint %s: %v, want %q", x.name, err, x.why)
		}
	}
	for n := range whole { // whatever is there is read or refused, and nothing else
		if n%97 == 0 {
			_, _ = OpenAt(t.Context(), log, salt, nil, "test", whole[:n])
		}
	}
}

// rewritten is a log with one record changed, and every hash made again behind it.
func rewritten(tb testing.TB, log *storetest.Memory, n int) *storetest.Memory {
	tb.Helper()
	out := &storetest.Memory{}
	var all []journal.Record
	for x, err := range log.Read(context.Background(), 1, store.All) {
		if err != nil {
			tb.Fatal(err)
		}
		rec, err := journal.Link{Seq: x.Seq, Hash: x.Hash, Body: string(x.Body)}.Record()
		if err != nil {
			tb.Fatal(err)
		}
		if rec.N == n {
			rec.By = "XX"
		}
		all = append(all, rec)
	}
	grow(tb, out, all)
	return out
}

// altered gives another content for one record, as a store does whose file was
// changed under it.
type altered struct {
	store.Log
	n uint64
}

func (a altered) Read(ctx context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	return func(yield func(store.Record, error) bool) {
		for x, err := range a.Log.Read(ctx, from, limit) {
			if x.Seq == a.n {
				x.Body = []byte(strings.Replace(string(x.Body), "GBq", "MBq", 1) + " ")
			}
			if !yield(x, err) {
				return
			}
		}
	}
}

// TestVerificationBehindTheCheckpoint: a record that was changed below the head of a
// checkpoint, and a checkpoint that holds other books than the journal, stop
// recording once the verification comes to them.
func TestVerificationBehindTheCheckpoint(t *testing.T) {
	log := past(t, 300)
	whole := open(t, log)
	held := whole.Checkpoint("test") // all groups are open: nobody has asked yet
	draw := slices.IndexFunc(log.Records, func(x store.Record) bool { return strings.Contains(string(x.Body), `"kind":"draw"`) }) + 1
	if _, err := OpenAt(t.Context(), altered{log, uint64(draw)}, salt, nil, "test", held); err == nil || !strings.Contains(err.Error(), "digest") {
		t.Errorf("a record that was changed is brought into memory: %v", err)
	}
	whole.OpenFiles(time.Time{}, func(*File) bool { return true })
	sound := whole.Checkpoint("test")
	whole.labels.Add("A LABEL THAT NEVER WAS", 7)
	other := whole.Checkpoint("test")
	for name, x := range map[string]struct {
		log  store.Log
		data []byte
		why  string
	}{
		"changed record": {altered{log, 100}, sound, "link 100"},
		"other books":    {log, other, "is not what the journal comes to"},
	} {
		r, err := OpenAt(t.Context(), x.log, salt, nil, "test", x.data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		note := func() error {
			return r.Append(t.Context(), Entry{Class: fact.Observation, Decide: decides(&fact.Note{Text: "a note"})})
		}
		if err := note(); err != nil && name == "other books" {
			t.Errorf("%s: before the verification nothing is recorded: %v", name, err)
		}
		if err := r.VerifyBehind(t.Context(), func() {}); err == nil || !strings.Contains(err.Error(), x.why) {
			t.Errorf("%s: %v, want %q", name, err, x.why)
		}
		if err := note(); err == nil || r.Broken() == nil {
			t.Errorf("%s: it is recorded all the same", name)
		}
	}
}

// TestRewrittenBetweenHeldHashes: a store whose records were changed, with every hash
// made again, after they were verified, is found out at the next hash that is held,
// whichever record is asked for.
func TestRewrittenBetweenHeldHashes(t *testing.T) {
	log := past(t, 300)
	whole := open(t, log)
	whole.OpenFiles(time.Time{}, func(*File) bool { return true })
	data := whole.Checkpoint("test")
	for _, n := range []int{1, 2, 31, 32, 33, 64, 100, 299, 300} {
		r, err := OpenAt(t.Context(), log, salt, nil, "test", data)
		if err != nil {
			t.Fatal(err)
		}
		r.log = rewritten(t, log, n)
		func() {
			defer func() {
				if fault := recover(); fault == nil {
					t.Errorf("record %d is shown as it was rewritten", n)
				}
			}()
			r.reread([]int{n})
		}()
	}
}

// asksFor is a witness that wants the hash of one record.
type asksFor struct {
	Witness
	n uint64
}

func (a asksFor) Judge(_ context.Context, j witness.Journal) error {
	j.Hash(a.n)
	return nil
}

// TestWitnessOfARewrittenJournal: where a witness asks for a hash that a checkpoint does
// not hold, and the store gives others than were verified, nothing is recorded.
func TestWitnessOfARewrittenJournal(t *testing.T) {
	log := past(t, 300)
	whole := open(t, log)
	whole.OpenFiles(time.Time{}, func(*File) bool { return true })
	r, err := OpenAt(t.Context(), log, salt, nil, "test", whole.Checkpoint("test"))
	if err != nil {
		t.Fatal(err)
	}
	r.log = rewritten(t, log, 100)
	r.Watch(t.Context(), asksFor{n: 100})
	if err := r.Broken(); err == nil || !strings.Contains(err.Error(), "as it was verified") {
		t.Errorf("it goes on: %v", err)
	}
}

// TestLookAgain: a group that a checkpoint left out as over, and is not, is open again.
func TestLookAgain(t *testing.T) {
	log := past(t, 100)
	whole := open(t, log)
	none := func(*File) bool { return true }
	whole.OpenFiles(time.Time{}, none)
	r, err := OpenAt(t.Context(), log, salt, nil, "test", whole.Checkpoint("test"))
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	r.LookAgain(t.Context(), time.Time{}, func(f *File) bool { asked++; return f.Newest != whole.Groups()[0].Newest })
	if asked != len(whole.Groups()) {
		t.Errorf("%d of %d groups were looked at", asked, len(whole.Groups()))
	}
	left := r.OpenFiles(time.Time{}, func(*File) bool { return false })
	if len(left) != 1 || left[0].Newest != whole.Groups()[0].Newest {
		t.Errorf("%d groups are open, want the one that was not over", len(left))
	}
}

// TestNoCheckpointOfWhatCannotBeWritten: a record that would come back as another one is
// in no checkpoint, and there is none then.
func TestNoCheckpointOfWhatCannotBeWritten(t *testing.T) {
	r := open(t, past(t, 20))
	if r.Checkpoint("test") == nil {
		t.Fatal("there is no checkpoint")
	}
	r.books.Add(journal.Record{Recorded: time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC), By: "T1", Fact: &fact.Note{Text: "not \xff a text"}})
	if r.Checkpoint("test") != nil {
		t.Error("a record that cannot be written is in a checkpoint")
	}
}
