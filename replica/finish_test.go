package replica

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/witness"
)

// slowWitness waits when it is told of the first records, and may slip then.
type slowWitness struct {
	told
	proceed chan struct{}
	slips   bool
}

func (w *slowWitness) Taken(j witness.Journal, added []journal.Record) {
	w.told.Taken(j, added)
	if len(w.heads) == 1 {
		<-w.proceed
		if w.slips {
			panic("a slip of the witness")
		}
	}
}

// slipLog is a slow log that may slip once it has stored the second batch.
type slipLog struct {
	slowLog
	slips bool
}

func (l *slipLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	err := l.slowLog.Append(ctx, expect, records...)
	if len(l.appends) == 2 && l.slips {
		panic("a slip of the store")
	}
	return err
}

// TestStoredWhileTaken: what was decided on ahead is sent to the store while the batch before is
// being taken into the books, unless files may rest on that. Whatever becomes of
// either, everyone has their own answer, and work goes on where the books can be relied on.
func TestStoredWhileTaken(t *testing.T) {
	when := time.Unix(1.8e9, 0)
	remark := &fact.Deviation{For: "A", Text: "a remark", At: when}
	const both = fewLinks + 2 // records
	for name, c := range map[string]struct {
		of                   fact.Fact
		after                bool // the second is sent only once the first is taken
		fails                error
		leaves               bool // who was decided on between the two
		log, witness         bool // which of them slips
		first, second, third string
		records              int
	}{
		"both":                  {of: remark, records: both + 1},
		"of the site":           {of: &fact.Survey{Place: "bench", At: when}, after: true, records: both + 1},
		"a correction":          {of: &fact.Correct{Entry: 1, Reason: "wrong", With: remark}, after: true, records: both + 1},
		"one has left":          {of: remark, leaves: true, after: true, records: both + 1},
		"the second fails":      {of: remark, fails: &store.Error{Code: store.CodeFailed, Msg: "the disk is full"}, second: "the disk is full", records: both},
		"a slip of the store":   {of: remark, log: true, second: "a slip of the store", records: both + 1},
		"a slip of the witness": {of: remark, witness: true, first: "a slip of the witness", second: "a slip of the witness", third: "a slip of the witness", records: both},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				log := &slipLog{slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}, c.log}
				w := &slowWitness{proceed: make(chan struct{}), slips: c.witness}
				r := open(t, log)
				r.Watch(t.Context(), w)
				add := func(ctx context.Context, id string, records []journal.Record) (answer chan error) {
					answer = make(chan error, 1)
					e := Entry{IDs: []string{id}, Decide: func(*File, int) ([]journal.Record, error) { return records, nil }}
					go func() { answer <- r.Append(ctx, e) }()
					synctest.Wait()
					return answer
				}
				first := add(t.Context(), "A", append(record(remark), slices.Repeat(record(c.of), fewLinks)...))
				<-log.begun
				ctx, leave := context.WithCancel(t.Context())
				if c.leaves {
					add(ctx, "D", record(&fact.Deviation{For: "D", Text: "left", At: when}))
				}
				second := add(t.Context(), "B", record(&fact.Deviation{For: "B", Text: "another", At: when}))
				leave()
				synctest.Wait()
				log.proceed <- struct{}{}
				synctest.Wait()
				if !c.after {
					<-log.begun
				}
				if synctest.Wait(); len(first) > 0 || len(log.appends) == 1 != c.after {
					t.Errorf("%d answered, batches of %v sent while the first is being taken", len(first), log.appends)
				}
				w.proceed <- struct{}{}
				if c.after {
					<-log.begun
				}
				if synctest.Wait(); len(first) != 1 || len(second) > 0 {
					t.Errorf("%d and %d answered while the second is being stored", len(first), len(second))
				}
				log.FailNext(c.fails)
				log.proceed <- struct{}{}
				answered(t, <-first, c.first)
				answered(t, <-second, c.second)
				third := add(t.Context(), "C", record(&fact.Deviation{For: "C", Text: "one more", At: when}))
				for ; len(third) == 0; synctest.Wait() {
					<-log.begun
					log.proceed <- struct{}{}
				}
				answered(t, <-third, c.third)
				if n := len(log.Records); n != c.records || c.third == "" && r.Report().Records != uint64(n) || len(r.turn) > 0 {
					t.Errorf("%d records are there, %d read, %d have the turn", n, r.Report().Records, len(r.turn))
				}
			})
		})
	}
}

func answered(t *testing.T, err error, want string) {
	t.Helper()
	if (err != nil) != (want != "") || err != nil && !strings.Contains(err.Error(), want) {
		t.Errorf("answered %v, not %q", err, want)
	}
}
