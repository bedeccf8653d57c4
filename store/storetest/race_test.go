package storetest

import (
	"context"
	"fmt"
	"sync"

	"vialwright/store"
)

// A context that ends at any moment of an append leaves the whole batch or
// none of it, as the append says.
func testCancelledAnywhere(b *bench) {
	var want []store.Record
	for round := range 60 {
		head := b.head()
		bodies := make([][]byte, 1+round%7*20)
		for i := range bodies {
			bodies[i] = fmt.Appendf(nil, "round %d, record %d", round, i)
		}
		records := Chain(head, bodies...)
		ctx, cancel := context.WithCancel(b.Context())
		go cancel() // lands before, in or after the append
		err := b.log.Append(ctx, head, records...)
		switch {
		case err == nil:
			want = append(want, records...)
		case !isCancelled(err):
			b.Fatal(err)
		}
		b.wantAll(want)
	}
}

// A handle that is closed while others use it goes on for them or refuses as
// a closed one does; nothing fails in between.
func testClosedAnywhere(b *bench) {
	want := b.append("one", "two")
	for range 20 {
		log := b.again()
		use := []func() error{
			func() error { _, err := log.Head(b.Context()); return err },
			func() error { _, err := collect(b.Context(), log, 1, store.All); return err },
			func() error { return log.Append(b.Context(), store.Head{}, want...) },
		}
		var ready, done sync.WaitGroup
		ready.Add(len(use))
		for _, once := range use {
			done.Go(func() {
				err := once()
				ready.Done()
				for err == nil || store.CodeOf(err) == store.CodeConflict {
					err = once()
				}
				if store.CodeOf(err) != store.CodeClosed {
					b.Errorf("%v, want %s", err, store.CodeClosed)
				}
			})
		}
		ready.Wait()
		if err := log.Close(); err != nil {
			b.Error(err)
		}
		done.Wait()
	}
	b.wantAll(want)
}

// rivals are goroutines on two handles of one log.
const rivals = 4

// handles gives the two handles by turns.
func (b *bench) handles() []store.Log {
	other := b.again()
	logs := make([]store.Log, rivals)
	for i := range logs {
		logs[i] = b.log
		if i%2 == 1 {
			logs[i] = other
		}
	}
	return logs
}

// Of several appends that expect the same head exactly one is accepted.
func testRaceOnOneHead(b *bench) {
	logs := b.handles()
	var want []store.Record
	for round := range 25 {
		head := b.head()
		errs := make([]error, rivals)
		start := make(chan struct{})
		var all sync.WaitGroup
		for i, log := range logs {
			all.Go(func() {
				<-start
				errs[i] = log.Append(b.Context(), head, rivalRecords(head, round, i)...)
			})
		}
		close(start)
		all.Wait()
		won := 0
		for i, err := range errs {
			if _, lost := isConflict(err); err != nil && !lost {
				b.Fatal(err)
			}
			if err == nil {
				won++
				want = append(want, rivalRecords(head, round, i)...)
			}
		}
		if won != 1 {
			b.Fatalf("round %d: %d appends behind one head were accepted", round, won)
		}
		b.wantAll(want)
	}
}

func rivalRecords(head store.Head, round, i int) []store.Record {
	return Chain(head, fmt.Appendf(nil, "round %d, rival %d", round, i), []byte("second of the batch"))
}

// Rivals that read on and try again all get everything in: each accepted
// record is there under the number it was accepted with, and no other is.
func testRaceToTheEnd(b *bench) {
	const each = 20
	accepted := make([][]store.Record, rivals)
	var all sync.WaitGroup
	for i, log := range b.handles() {
		all.Go(func() {
			for len(accepted[i]) < each {
				r, err := tryAppend(b.Context(), log, fmt.Appendf(nil, "rival %d, record %d", i, len(accepted[i])))
				if _, lost := isConflict(err); lost {
					continue
				}
				if err != nil {
					b.Errorf("rival %d: %v", i, err)
					return
				}
				accepted[i] = append(accepted[i], r)
			}
		})
	}
	all.Wait()

	want := make([]store.Record, rivals*each)
	for _, records := range accepted {
		for _, r := range records {
			if r.Seq > uint64(len(want)) {
				b.Fatalf("record %d was accepted, of %d in all", r.Seq, len(want))
			}
			want[r.Seq-1] = r
		}
	}
	b.wantAll(want)
}

// tryAppend appends one record behind the head as it is just now.
func tryAppend(ctx context.Context, log store.Log, body []byte) (store.Record, error) {
	head, err := log.Head(ctx)
	if err != nil {
		return store.Record{}, err
	}
	r := Chain(head, body)[0]
	return r, log.Append(ctx, head, r)
}
