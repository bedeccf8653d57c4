package replica

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
)

// heldLog is a log that another program has locked nearly all the time, and appends to
// whenever it lets it go.
type heldLog struct {
	storetest.Memory
	other *Replica
	tb    testing.TB
}

func (l *heldLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	select {
	case <-time.After(9 * time.Second):
	case <-ctx.Done():
		return ctx.Err()
	}
	if err := order(l.tb, l.other, "OTHER-"+time.Now().Format("05")); err != nil {
		l.tb.Error(err)
	}
	return l.Memory.Append(ctx, expect, records...)
}

// TestATurnEnds: where another program writes without pause, a turn ends after the time
// that an append may take, however the tries of it fall, and whoever is next has theirs.
func TestATurnEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		log := &heldLog{tb: t}
		r, err := Open(t.Context(), log, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		log.other, err = Open(t.Context(), &log.Memory, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Now()
		if err := order(t, r, "A"); store.CodeOf(err) != store.CodeBusy {
			t.Errorf("the answer is %v", err)
		}
		if took := time.Since(begin); took > patience {
			t.Errorf("the turn lasted %v, more than %v", took, patience)
		}
	})
}

// stuckLog is a log that stores nothing until the context ends.
type stuckLog struct{ storetest.Memory }

func (l *stuckLog) Append(ctx context.Context, _ store.Head, _ ...store.Record) error {
	<-ctx.Done()
	return ctx.Err()
}

// TestSlowStoreIsSaid: where the store alone is slow, other benches are not blamed.
func TestSlowStoreIsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, err := Open(t.Context(), &stuckLog{storetest.Memory{}}, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := order(t, r, "A"); store.CodeOf(err) != store.CodeBusy || !strings.Contains(err.Error(), "the store did not answer in time") {
			t.Errorf("the answer is %v", err)
		}
	})
}

// lostLog is a log whose server is gone for so long that its answer to a commit is given up.
type lostLog struct{ storetest.Memory }

func (l *lostLog) Append(_ context.Context, expect store.Head, records ...store.Record) error {
	answer, cancel := context.WithTimeout(context.Background(), 6*patience)
	defer cancel()
	<-answer.Done()
	if err := l.Memory.Append(context.Background(), expect, records...); err != nil {
		return err
	}
	return &store.Error{Code: store.CodeUnsure, Msg: "lost", Err: fmt.Errorf("timeout: %w", answer.Err())}
}

// TestUnsureIsSaid: whether an entry is there may be unknown at the end of a turn that took
// longer than it may, and then nobody is told that nothing was stored.
func TestUnsureIsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, err := Open(t.Context(), &lostLog{}, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := order(t, r, "A"); store.CodeOf(err) != store.CodeUnsure {
			t.Errorf("the answer is %v", err)
		}
	})
}

// TestDecidedAhead: who waits while a batch is being stored is decided on meanwhile, once where
// it is stored, and anew where it is not or where something of the site was stored with it;
// and may leave all the same.
func TestDecidedAhead(t *testing.T) {
	for _, c := range []struct {
		of    fact.Fact
		fails bool
		anew  int // the number for which it is decided on anew
	}{
		{of: &fact.Note{Text: "a remark"}},
		{of: &fact.Note{Text: "a remark"}, fails: true, anew: 1},
		{of: &fact.Survey{Place: "bench", At: time.Unix(1.8e9, 0)}, anew: fewLinks + 2},
	} {
		log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
		r, answers := open(t, log), make(chan error, 2)
		add := func(ctx context.Context, id string, decide func(int) []journal.Record) {
			answers <- r.Append(ctx, Entry{IDs: []string{id}, Decide: func(_ *File, next int) ([]journal.Record, error) { return decide(next), nil }})
		}
		one := record(&fact.Note{Text: "a remark"})[0]
		go add(t.Context(), "A", func(int) []journal.Record { return slices.Repeat(record(c.of), fewLinks+1) })
		<-log.begun
		asked := make(chan int)
		go add(t.Context(), "B", func(next int) []journal.Record { asked <- next; return []journal.Record{one} })
		if next := <-asked; next != fewLinks+2 {
			t.Errorf("decided on as entry %d", next)
		}
		leaves, leave := context.WithCancel(t.Context())
		go add(leaves, "C", func(next int) []journal.Record { asked <- next; leave(); return []journal.Record{one} })
		<-asked
		if err := <-answers; !errors.Is(err, context.Canceled) {
			t.Errorf("who left was answered %v", err)
		}
		if c.fails {
			log.FailNext(&store.Error{Code: store.CodeFailed, Msg: "no"})
		}
		log.proceed <- struct{}{}
		if err := <-answers; (err != nil) != c.fails {
			t.Errorf("answered %v", err)
		}
		if c.anew > 0 {
			if next := <-asked; next != c.anew {
				t.Errorf("decided on anew as entry %d", next)
			}
		}
		<-log.begun
		log.proceed <- struct{}{}
		if err := <-answers; err != nil {
			t.Error(err)
		}
	}
}

// TestLeftWhileJoined: who leaves while they are being appended, and then has to wait once more
// since another program joined their group to that of another entry, has their answer at once.
func TestLeftWhileJoined(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		log := &slowLog{begun: make(chan struct{}), proceed: make(chan struct{})}
		r, other := open(t, log), open(t, &log.Memory)
		say := func(ctx context.Context, r *Replica, id string) error {
			return r.Append(ctx, Entry{IDs: []string{id}, Class: fact.Observation, Decide: decides(&fact.Note{Text: "a remark"})})
		}
		write := func(line string) {
			f := parsed(t, line)
			if err := other.Append(t.Context(), Entry{IDs: fact.Names(f), Class: fact.Observation, Decide: decides(f)}); err != nil {
				t.Fatal(err)
			}
		}
		write("deviation: {for: P1, text: of an order, at: 2027-03-04T11:00}")
		write("discard: {from: S1, into: W1, at: 2027-03-04T12:00}")
		if err := r.CatchUp(t.Context()); err != nil {
			t.Fatal(err)
		}
		leaves, leave := context.WithCancel(t.Context())
		stays, left := make(chan error, 1), make(chan error, 1)
		r.turn <- struct{}{} // somebody is at work
		go func() { stays <- say(t.Context(), r, "P1") }()
		synctest.Wait()
		go func() { left <- say(leaves, r, "S1") }()
		synctest.Wait()
		<-r.turn
		<-log.begun
		leave()
		synctest.Wait()
		write("draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 1 mL}")
		log.proceed <- struct{}{}
		<-log.begun
		log.proceed <- struct{}{}
		if err := <-stays; err != nil {
			t.Error(err)
		}
		if err := <-left; !errors.Is(err, context.Canceled) || len(log.Records) != 4 {
			t.Errorf("who left was answered %v; %d records", err, len(log.Records))
		}
	})
}
