package replica

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
)

func salt() journal.Salt { return journal.Salt{1} }

func open(tb testing.TB, log store.Log) *Replica {
	tb.Helper()
	r, err := Open(context.Background(), log, salt, nil)
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

func record(f fact.Fact) []journal.Record {
	return []journal.Record{{Recorded: time.Unix(1.8e9, 0), By: "T1", Fact: f}}
}

// decides gives a fact whatever the groups are.
func decides(f fact.Fact) func(*File, int) ([]journal.Record, error) {
	return func(*File, int) ([]journal.Record, error) { return record(f), nil }
}

func parsed(tb testing.TB, line string) fact.Fact {
	tb.Helper()
	f, err := casefile.Decode([]byte("case: 2\nzone: UTC\nentries: [{"+line+"}]\n"), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f.Facts[1]
}

// order enters an order, which begins a group.
func order(tb testing.TB, r *Replica, id string) error {
	tb.Helper()
	f := parsed(tb, "order: {id: "+id+", prescribed: 1 GBq, at: 2027-03-04T13:30}")
	return r.Append(context.Background(), Entry{IDs: []string{id}, Class: fact.ClassOf(f), Decide: decides(f)})
}

// sign is a consent on an order, from a page made behind a record.
func sign(r *Replica, id string, behind uint64) error {
	f := &fact.SignOrder{For: id, At: time.Unix(1.8e9, 0)}
	return r.Append(context.Background(), Entry{IDs: []string{id}, Behind: behind, Class: fact.ClassOf(f), Decide: decides(f)})
}

// TestTwoPrograms: two programs on one store. What the other wrote of another
// group is read and the entry goes behind it; what it wrote of the same group is
// told, and nothing is stored.
func TestTwoPrograms(t *testing.T) {
	log := &storetest.Memory{}
	a, b := open(t, log), open(t, log)
	for _, err := range []error{order(t, a, "A"), order(t, b, "B"), sign(a, "A", 1)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	var moved *MovedError
	if err := sign(b, "A", 1); !errors.As(err, &moved) || len(moved.Since) != 1 {
		t.Errorf("the second program was answered %v", err)
	}
	if n := len(log.Records); n != 3 {
		t.Errorf("%d records, want 3", n)
	}
	if err := sign(b, "A", 3); err != nil {
		t.Error(err)
	}
}

// TestWhoCollides goes through what an entry on an old page meets: a consent is
// refused, an act is shown what moved and goes in when it is sent again, an
// observation goes in; and nothing that moves no figure is in anybody's way.
func TestWhoCollides(t *testing.T) {
	draw := "draw: {from: S1, into: Y1, for: A, at: 2027-03-04T11:10, volume: 1 mL}"
	read := "read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3 GBq, background: 0.2 MBq}"
	signed := "sign-order: {for: A, at: 2027-03-04T11:00}"
	for _, c := range []struct {
		name, since, then string
		behind, seen      uint64
		moved             bool
	}{
		{"a consent behind a reading", read, signed, 2, 0, true},
		{"a consent behind the resuspension of its vial", "agitate: {of: S1, at: 2027-03-04T11:00}", signed, 2, 0, false},
		{"a consent behind a remark on the site", "note: {text: dry}", signed, 2, 0, false},
		{"a consent behind another group", "receive: {vial: S2, lot: L, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL}", signed, 2, 0, false},
		{"a consent on a new page", read, signed, 3, 0, false},
		{"an act behind a reading", read, draw, 2, 0, true},
		{"an act that was shown it", read, draw, 2, 3, false},
		{"an observation behind a reading", read, read, 2, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := open(t, &storetest.Memory{})
			if err := order(t, r, "A"); err != nil {
				t.Fatal(err)
			}
			add := func(line string, behind, seen uint64) error {
				f := parsed(t, line)
				ids := []string{"A", "S1"}
				if strings.Contains(line, "S2") || strings.HasPrefix(line, "note") {
					ids = nil
					for _, s := range fact.Subjects(f) {
						ids = append(ids, s.ID)
					}
				}
				return r.Append(t.Context(), Entry{IDs: ids, Behind: behind, Seen: seen, Class: fact.ClassOf(f), Decide: decides(f)})
			}
			receive := parsed(t, "receive: {vial: S1, lot: L, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL}")
			if err := r.Append(t.Context(), Entry{IDs: []string{"S1"}, Class: fact.Act, Decide: decides(receive)}); err != nil {
				t.Fatal(err)
			}
			if err := add(c.since, 2, 0); err != nil {
				t.Fatal(err)
			}
			err := add(c.then, c.behind, c.seen)
			var moved *MovedError
			if errors.As(err, &moved) != c.moved || err != nil && !c.moved {
				t.Errorf("answered %v", err)
			}
		})
	}
}

// TestUsedOnce: an id that was used before is refused with the entry that did; a
// syringe at hand is topped up, a waste item takes more.
func TestUsedOnce(t *testing.T) {
	r := open(t, &storetest.Memory{})
	if err := order(t, r, "A"); err != nil {
		t.Fatal(err)
	}
	var used *UsedError
	again := parsed(t, "order: {id: A, prescribed: 1 GBq, at: 2027-03-04T13:30}")
	if err := r.Append(t.Context(), Entry{IDs: []string{"A"}, Behind: 1, Decide: decides(again)}); !errors.As(err, &used) || used.By.N != 1 {
		t.Errorf("answered %v", err)
	}
	add := func(line string, ids ...string) error {
		f := parsed(t, line)
		return r.Append(t.Context(), Entry{IDs: ids, Class: fact.Observation, Decide: decides(f)})
	}
	for _, c := range []struct {
		line string
		ids  []string
		used bool
	}{
		{"draw: {from: S1, into: Y1, for: A, at: 2027-03-04T11:10, volume: 1 mL}", []string{"A", "S1", "Y1"}, false},
		{"draw: {from: S1, into: Y1, for: A, at: 2027-03-04T11:12, volume: 1 mL}", []string{"A", "S1", "Y1"}, false},
		{"draw: {from: S2, into: Y1, for: B, at: 2027-03-04T11:14, volume: 1 mL}", []string{"B", "S2", "Y1"}, true},
		{"discard: {from: Y1, into: W1, at: 2027-03-04T12:00}", []string{"Y1", "W1"}, false},
		{"discard: {from: S2, into: W1, at: 2027-03-04T12:00}", []string{"S2", "W1"}, false},
		{"order: {id: a, prescribed: 1 GBq, at: 2027-03-04T13:30}", []string{"a"}, true},
		{"receive: {vial: y1, lot: L, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL}", []string{"y1"}, true},
		{"draw: {from: S1, into: y1, for: A, at: 2027-03-04T12:10, volume: 1 mL}", []string{"A", "S1", "y1"}, true},
		{"discard: {from: S2, into: w1, at: 2027-03-04T12:00}", []string{"S2", "w1"}, true},
	} {
		if err := add(c.line, c.ids...); errors.As(err, &used) != c.used || err != nil && !c.used {
			t.Errorf("%s: %v", c.line, err)
		}
	}
}

// TestAlikeAtOnce: of two entries that bring in ids which differ in letter case alone one
// waits for the other.
func TestAlikeAtOnce(t *testing.T) {
	r := open(t, &storetest.Memory{})
	if all := r.together(); !all.takes(&pending{Entry: Entry{IDs: []string{"P1"}}}) || all.takes(&pending{Entry: Entry{IDs: []string{"p1"}}}) {
		t.Error("P1 and p1 are decided on without each other")
	}
}

// TestStoreFails: what a store cannot do is told, and the replica stays as it
// was.
func TestStoreFails(t *testing.T) {
	log := &storetest.Memory{}
	log.FailNext(&store.Error{Code: store.CodeFailed, Msg: "no"})
	r := open(t, log)
	if err := order(t, r, "A"); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("answered %v", err)
	}
	if _, ok := r.Used("A"); ok {
		t.Error("what was not stored is shown")
	}
	if err := order(t, r, "A"); err != nil {
		t.Error(err)
	}
}

// TestBrokenJournal: a journal in which a byte was changed opens, says so, and
// takes nothing.
func TestBrokenJournal(t *testing.T) {
	log := &storetest.Memory{}
	r := open(t, log)
	for _, id := range []string{"A", "B", "C"} {
		if err := order(t, r, id); err != nil {
			t.Fatal(err)
		}
	}
	log.Records[2].Body[len(log.Records[2].Body)-5] ^= 1
	r = open(t, log)
	if r.Broken() == nil || r.Report().Records != 2 {
		t.Errorf("broken: %v after %d records", r.Broken(), r.Report().Records)
	}
	if err := order(t, r, "D"); err == nil {
		t.Error("a broken journal took an entry")
	}
}

// slowLog is a log whose Append waits, as for a disk: begun is sent to when one
// has begun, and it goes on when something comes from proceed.
type slowLog struct {
	storetest.Memory
	begun, proceed chan struct{}
	appends        []int // records of each
}

func (l *slowLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	l.appends = append(l.appends, len(records))
	l.begun <- struct{}{}
	<-l.proceed
	return l.Memory.Append(ctx, expect, records...)
}

// TestNobodyWaitsForTheDisk: while the disk is at work for one entry, pages are
// shown as the journal was before, and who waits to write may leave.
func TestNobodyWaitsForTheDisk(t *testing.T) {
	log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
	r := open(t, log)
	done := make(chan error)
	go func() { done <- order(t, r, "A") }()
	<-log.begun
	if _, ok := r.Used("A"); ok || r.Report().Records > 0 || len(r.Groups()) > 0 || r.Broken() != nil {
		t.Error("an order is shown before it is stored")
	}
	left, leave := context.WithCancel(t.Context())
	leave()
	err := r.Append(left, Entry{IDs: []string{"B"}, Decide: func(*File, int) ([]journal.Record, error) { panic("asked out of turn") }})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("who left was answered %v", err)
	}
	log.proceed <- struct{}{}
	if err := <-done; err != nil || r.Report().Records != 1 {
		t.Errorf("%v, %d records", err, r.Report().Records)
	}
}

// TestCatchUpWaitsForNoTurn: who looks for news while an append of ours is stored
// but not yet taken waits for that, and for nothing that stands behind it.
func TestCatchUpWaitsForNoTurn(t *testing.T) {
	log := &storetest.Memory{}
	r := open(t, log)
	r.turn <- struct{}{} // somebody is at work
	other := open(t, log)
	if err := order(t, other, "A"); err != nil {
		t.Fatal(err)
	}
	caught := make(chan error)
	go func() { caught <- r.CatchUp(t.Context()) }()
	if _, err := r.readOn(t.Context(), true); err != nil { // who is at work takes it, and keeps the turn
		t.Fatal(err)
	}
	if err := <-caught; err != nil {
		t.Error(err)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	if err := order(t, other, "B"); err != nil {
		t.Fatal(err)
	}
	if err := r.CatchUp(gone); !errors.Is(err, context.Canceled) {
		t.Errorf("who left was answered %v", err)
	}
}

// inLine waits until so many entries wait for a turn.
func inLine(r *Replica, n int) {
	for {
		r.queue.mu.Lock()
		there := len(r.queue.waiting)
		r.queue.mu.Unlock()
		if there == n {
			return
		}
		runtime.Gosched()
	}
}

// busyLog is a log to which another program appends just before each of the next few
// appends.
type busyLog struct {
	storetest.Memory
	other *Replica
	left  int
}

func (l *busyLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	if l.left > 0 {
		l.left--
		n := &fact.Note{Text: "from the other program", At: time.Unix(1.8e9, 0)}
		if err := l.other.Append(ctx, Entry{Decide: decides(n)}); err != nil {
			return err
		}
	}
	return l.Memory.Append(ctx, expect, records...)
}

// TestOvertakenAgainAndAgain: an entry is recorded also where another program was first
// many times in a row.
func TestOvertakenAgainAndAgain(t *testing.T) {
	log := &busyLog{left: 30}
	log.other = open(t, &log.Memory)
	if err := order(t, open(t, log), "A"); err != nil || len(log.Records) != 31 {
		t.Errorf("%d records, %v", len(log.Records), err)
	}
}

var errRefused = errors.New("refused")

// TestAppendedTogether: while one entry is stored others come: they are appended
// at once. Each is decided on by itself; what one of them is refused for, or a
// fault in one, is no matter of the others, and two of one group do not overtake
// each other. Only what the store cannot do is the answer to all.
func TestAppendedTogether(t *testing.T) {
	log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
	r := open(t, log)
	var all sync.WaitGroup
	answers := map[string]error{}
	var mu sync.Mutex
	ask := func(key string, do func() error) {
		all.Go(func() {
			err := do()
			mu.Lock()
			defer mu.Unlock()
			answers[key] = err
		})
	}
	ask("first", func() error { return order(t, r, "A") })
	<-log.begun
	for i, id := range []string{"B", "C", "D"} {
		ask(id, func() error { return order(t, r, id) })
		inLine(r, i+1)
	}
	with := func(id string, decide func(*File, int) ([]journal.Record, error)) func() error {
		return func() error { return r.Append(t.Context(), Entry{IDs: []string{id}, Decide: decide}) }
	}
	ask("the same group", func() error { return sign(r, "B", 0) })
	ask("refused", with("E", func(*File, int) ([]journal.Record, error) { return nil, errRefused }))
	ask("nothing", with("F", func(*File, int) ([]journal.Record, error) { return nil, nil }))
	ask("a fault", with("G", func(*File, int) ([]journal.Record, error) { panic("a slip") }))
	inLine(r, 7)
	log.proceed <- struct{}{}
	<-log.begun
	log.proceed <- struct{}{}
	all.Wait()
	if !slices.Equal(log.appends, []int{1, 3}) {
		t.Errorf("appends of %d records, want 1 and 3", log.appends)
	}
	var moved *MovedError
	switch {
	case answers["first"] != nil || answers["B"] != nil || answers["C"] != nil || answers["D"] != nil:
		t.Errorf("answered %v", answers)
	case !errors.As(answers["the same group"], &moved) || len(moved.Since) != 1:
		t.Errorf("the second of one group was answered %v", answers["the same group"])
	case answers["refused"] != errRefused || answers["nothing"] != nil:
		t.Errorf("answered %v and %v", answers["refused"], answers["nothing"])
	case answers["a fault"] == nil || !strings.Contains(answers["a fault"].Error(), "a slip"):
		t.Errorf("a fault was answered %v", answers["a fault"])
	}

	ask("before", func() error { return order(t, r, "H") })
	<-log.begun
	for i, id := range []string{"I", "J"} {
		ask(id, func() error { return order(t, r, id) })
		inLine(r, i+1)
	}
	log.proceed <- struct{}{}
	<-log.begun
	log.FailNext(&store.Error{Code: store.CodeFailed, Msg: "no"})
	log.proceed <- struct{}{}
	all.Wait()
	if answers["before"] != nil || store.CodeOf(answers["I"]) != store.CodeFailed || store.CodeOf(answers["J"]) != store.CodeFailed {
		t.Errorf("where the store fails all are answered %v", answers)
	}
	if n := r.Report().Records; n != 5 {
		t.Errorf("%d records, want 5", n)
	}
}

// TestSeenTogether: what was recorded together is seen together, in the program
// that wrote it and in another.
func TestSeenTogether(t *testing.T) {
	log := &storetest.Memory{}
	a, b := open(t, log), open(t, log)
	const rounds, together = 50, 5
	stop := make(chan struct{})
	var lookers sync.WaitGroup
	for _, r := range []*Replica{a, b} {
		lookers.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				if err := r.CatchUp(t.Context()); err != nil {
					t.Error(err)
					return
				}
				if n := len(r.Last(math.MaxInt)) % together; n != 0 {
					t.Errorf("%d records of a batch are seen", n)
					return
				}
			}
		})
	}
	for range rounds {
		err := a.Append(t.Context(), Entry{Class: fact.Observation, Decide: func(*File, int) ([]journal.Record, error) {
			one := record(&fact.Note{Text: "one of five"})[0]
			return []journal.Record{one, one, one, one, one}, nil
		}})
		if err != nil {
			t.Fatal(err)
		}
	}
	close(stop)
	lookers.Wait()
}

// TestHubWithReadersLeaving: many write, listen and leave at once; nobody waits
// for anybody, and the hub holds no one who has left.
func TestHubWithReadersLeaving(t *testing.T) {
	defer goleak.VerifyNone(t)
	r := open(t, &storetest.Memory{})
	for _, id := range []string{"A", "B"} {
		if err := order(t, r, id); err != nil {
			t.Fatal(err)
		}
	}
	both := r.Since(0)
	var all sync.WaitGroup
	for i := range 16 {
		all.Go(func() {
			l := r.Listen([][]string{nil, {"A"}, {"B"}}[i%3]...)
			for range i * 3 {
				if _, ok := <-l.Events; !ok {
					return // let go
				}
			}
			l.Leave()
			l.Leave()
		})
		all.Go(func() {
			for n := range 200 {
				r.hub.publish(both[n%2])
			}
		})
	}
	done := make(chan struct{})
	go func() { all.Wait(); close(done) }()
	for n := 0; ; n++ { // those still waiting get theirs
		select {
		case <-done:
			if r.Listeners() != 0 {
				t.Errorf("%d are still held", r.Listeners())
			}
			r.Close()
			if r.Listen() != nil {
				t.Error("a closed hub takes listeners")
			}
			return
		default:
			r.hub.publish(both[n%2])
		}
	}
}

// TestSlowReader: a listener that does not keep up is let go; the others are not.
func TestSlowReader(t *testing.T) {
	r := open(t, &storetest.Memory{})
	slow, quick := r.Listen(), r.Listen()
	for n := range waiting + 1 {
		r.hub.publish(Event{Seq: uint64(n)})
		<-quick.Events
	}
	if r.Listeners() != 1 {
		t.Fatalf("%d listeners, want the quick one alone", r.Listeners())
	}
	n := 0
	for range slow.Events {
		n++
	}
	if n != waiting {
		t.Errorf("the slow one got %d, want %d and then the end", n, waiting)
	}
}

// TestToldInParts: a few listeners are told at a time, and all of them in the end.
func TestToldInParts(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := open(t, &storetest.Memory{})
		var want []time.Duration
		told, begin := make(chan time.Duration, 3*toldAtOnce), time.Now()
		for n := range cap(told) {
			want = append(want, gathered+time.Duration(n/toldAtOnce)*nextTold)
			l := r.Listen()
			go func() {
				<-l.Events
				told <- time.Since(begin)
			}()
		}
		r.hub.publish(Event{Seq: 1})
		var got []time.Duration
		for range want {
			got = append(got, <-told)
		}
		if slices.Sort(got); !slices.Equal(got, want) {
			t.Errorf("told after %v, want %v", got, want)
		}
	})
}

// TestFiles: each page gets its groups, closed ones are asked about once, and a
// listener hears of its own.
func TestFiles(t *testing.T) {
	r := open(t, &storetest.Memory{})
	for _, id := range []string{"A", "B"} {
		if err := order(t, r, id); err != nil {
			t.Fatal(err)
		}
	}
	asked := 0
	over := func(f *File) bool { asked++; return f.IDs[0] == "A" }
	for range 3 {
		if files := r.OpenFiles(time.Time{}, over); len(files) != 1 || files[0].IDs[0] != "B" {
			t.Fatalf("%v are open", files)
		}
	}
	if asked != 2 {
		t.Errorf("it was asked %d times whether a group is over", asked)
	}
	if err := sign(r, "A", 1); err != nil {
		t.Fatal(err)
	}
	r.OpenFiles(time.Time{}, over)
	if asked != 3 {
		t.Errorf("a group that was touched was not asked about again")
	}
	newest, _ := r.books.Record(r.books.Len())
	if files := r.OpenFiles(newest.Recorded.Add(time.Hour), over); len(files) != 0 {
		t.Errorf("%d files are open an hour after the last record, of which none is to be older", len(files))
	}
	if files := r.OpenFiles(newest.Recorded, over); len(files) == 0 {
		t.Errorf("what was let go does not come back when the clock is put back")
	}
	if f := r.File("A"); f.Newest != 3 || len(f.Records) != 2 {
		t.Errorf("%+v", f)
	}
	if all := r.Since(0, "B"); len(all) != 1 || all[0].Seq != 2 {
		t.Errorf("of B was told %+v", all)
	}
	// A vial comes in, which both can be drawn from until one of them is.
	for _, e := range []struct {
		ids  []string
		line string
	}{
		{[]string{"S1"}, "receive: {vial: S1, lot: L1, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL}"},
		{[]string{"S1", "Y1", "A"}, "draw: {from: S1, into: Y1, for: A, volume: 2 mL, at: 2027-03-04T10:00}"},
		{[]string{"S2"}, "receive: {vial: S2, lot: L2, labelled: 3 GBq, reference: 2027-03-04T18:00, volume: 5 mL}"},
	} {
		err := r.Append(t.Context(), Entry{IDs: e.ids, Behind: uint64(r.books.Len()), Decide: decides(parsed(t, e.line))})
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		of   string
		want []uint64
	}{{"A", []uint64{1, 3, 4, 5}}, {"B", []uint64{1, 2, 3, 4, 5, 6}}} {
		var told []uint64
		for _, e := range r.Since(0, c.of) {
			told = append(told, e.Seq)
		}
		if !slices.Equal(told, c.want) {
			t.Errorf("of %s was told %v, want %v", c.of, told, c.want)
		}
	}
}

// TestSentAgain: a form that comes again is not recorded again, not even by
// another program, or by this one started again.
func TestSentAgain(t *testing.T) {
	log := &storetest.Memory{}
	send := func(r *Replica, by string) error {
		return r.Append(t.Context(), Entry{By: by, Form: "a form", Class: fact.Observation, Decide: func(*File, int) ([]journal.Record, error) {
			out := record(&fact.Note{Text: "dry"})
			out[0].By = by
			return out, nil
		}})
	}
	one, two := open(t, log), open(t, log)
	if err := send(one, "T1"); err != nil {
		t.Fatal(err)
	}
	for _, r := range []*Replica{one, two, open(t, log)} {
		if err := r.CatchUp(t.Context()); err != nil {
			t.Fatal(err)
		}
		var sent *SentError
		if err := send(r, "T1"); !errors.As(err, &sent) || sent.N != 1 {
			t.Errorf("answered %v", err)
		}
	}
	if err := send(two, "T2"); err != nil || len(log.Records) != 2 {
		t.Errorf("another person's: %v, %d records", err, len(log.Records))
	}
}

// A form that comes again with other content is told from one that says the same,
// also by a program that was started since, and nothing of it is recorded.
func TestSentAgainWithOtherContent(t *testing.T) {
	log := &storetest.Memory{}
	send := func(r *Replica, content string) error {
		return r.Append(t.Context(), Entry{By: "T1", Form: Mark("/order/P1/step/read 7", content), Class: fact.Observation, Decide: func(*File, int) ([]journal.Record, error) {
			out := append(record(&fact.Note{Text: content}), record(&fact.Note{Text: "and more"})...)
			for i := range out {
				out[i].By = "T1"
			}
			return out, nil
		}})
	}
	one := open(t, log)
	if err := send(one, "3.24 GBq"); err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]*Replica{"the same program": one, "started again": open(t, log)} {
		var sent *SentError
		if err := send(r, "3.24 GBq"); !errors.As(err, &sent) || sent.Other || sent.N != 1 {
			t.Errorf("%s, the same: %v", name, err)
		}
		if err := send(r, "32.4 GBq"); !errors.As(err, &sent) || !sent.Other || sent.N != 1 {
			t.Errorf("%s, other content: %v", name, err)
		}
		if n, ok := r.Sent("T1", Mark("/order/P1/step/read 7", "whatever")); !ok || n != 1 {
			t.Errorf("%s: sent as %d, %v", name, n, ok)
		}
		if _, ok := r.Sent("T2", Mark("/order/P1/step/read 7", "3.24 GBq")); ok {
			t.Errorf("%s: it is said of another person", name)
		}
	}
	if len(log.Records) != 2 {
		t.Errorf("%d records", len(log.Records))
	}
	if a, b := Mark("7", "1"), Mark("8", "1"); a[len(a)-18:] == b[len(b)-18:] {
		t.Error("what a form says is hashed alike in all forms, so that it can be guessed from a list")
	}
}
