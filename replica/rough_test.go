package replica

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/state"
	"vialwright/store"
	"vialwright/store/storetest"
)

// try is an entry that somebody tried to append, with what it was decided on last.
type try struct {
	Entry
	replica *Replica
	key     string // stands in its records as who made them
	answer  error
	over    atomic.Bool // it was answered

	many int // how many records it makes
	next int
	saw  []int // the numbers of the records of its file
}

// tries are those of all writers.
type tries struct {
	tb  testing.TB
	mu  sync.Mutex
	all []*try
}

// make makes one at random, of a few orders, vials and waste items that change as time goes on.
func (all *tries) make(r *Replica, rng *rand.Rand) *try {
	all.mu.Lock()
	n := len(all.all)
	t := &try{replica: r, key: fmt.Sprint("writer-", n)}
	all.all = append(all.all, t)
	all.mu.Unlock()
	id := func(letter string, of int) string { return fmt.Sprint(letter, n/40*of+1+rng.IntN(of)) }
	lines := []string{
		"deviation: {for: " + id("P", 9) + ", text: of an order, at: 2027-03-04T11:00}",
		"survey: {place: bench, at: 2027-01-15T08:00}", // the files of all work of those days have it
		"note: {text: a remark}",
		"draw: {from: " + id("S", 4) + ", into: Y" + strconv.Itoa(n) + ", for: " + id("P", 9) + ", at: 2027-03-04T11:10, volume: 1 mL}",
		"discard: {from: " + id("S", 4) + ", into: " + id("W", 2) + ", at: 2027-03-04T12:00}",
		"order: {id: Q" + strconv.Itoa(n) + ", prescribed: 1 GBq, patient: K-" + strconv.Itoa(rng.IntN(3)) + ", at: 2027-03-04T13:30, dosimetry: {method: mono-compartment, perfused-mass: 1 kg, lung-shunt: 5 %, lung-shunt-method: entered}}",
		"cancel: {for: Q" + strconv.Itoa(rng.IntN(n+1)) + ", reason: fever, at: 2027-03-04T11:00}",
		"read: {of: " + id("W", 2) + ", meter: M1, at: 2027-03-04T12:00, gross: 3 GBq, background: 0.2 MBq}",
	}
	f := parsed(all.tb, lines[max(0, rng.IntN(2*len(lines))-len(lines))])
	if have := int(r.Report().Records); have > 0 && rng.IntN(5) == 0 {
		t.Of = have - rng.IntN(min(have, 12))
		t.IDs, f = r.FileOf(t.Of).IDs, &fact.Correct{Entry: t.Of, Reason: "wrong", With: f}
	}
	t.IDs = append(t.IDs, fact.Names(f)...)
	if rng.IntN(5) == 0 {
		t.IDs = append(t.IDs, id("P", 9))
	}
	if rng.IntN(5) == 0 {
		t.IDs = append(t.IDs, "Q"+strconv.Itoa(rng.IntN(n+1)))
	}
	t.Site, t.Class = OfSite(f) || rng.IntN(30) == 0, fact.Observation
	if rng.IntN(4) == 0 {
		t.By, t.Form = "somebody", fmt.Sprint("form ", n/8)
	}
	ends := rng.IntN(20)
	facts := []fact.Fact{f, f}[:1+rng.IntN(2)]
	switch {
	case ends == 1:
		facts = nil
	case rng.IntN(12) == 0: // beside the receipt of a vial, which is of a group
		facts = append(facts, parsed(all.tb, "experience: {at: 2027-03-04T08:00, yields: [{q: 95 %, u: 5 %, cases: 40}]}"))
	}
	t.many = len(facts)
	t.Decide = func(file *File, next int) ([]journal.Record, error) {
		if t.over.Load() {
			all.tb.Errorf("%s is decided on after it was answered", t.key)
		}
		t.next, t.saw = next, numbersOf(file)
		<-time.NewTimer(time.Duration(ends) * time.Microsecond).C
		switch ends {
		case 0:
			return nil, errRefused
		case 2:
			panic("a slip")
		}
		out := make([]journal.Record, len(facts))
		for i, x := range facts {
			out[i] = journal.Record{Recorded: time.Unix(1.8e9, 0), By: t.key, Fact: x}
		}
		return out, nil
	}
	return t
}

func numbersOf(f *File) (out []int) {
	for _, rec := range slices.Concat(f.Records, f.Elsewhere) {
		out = append(out, rec.N)
	}
	return out
}

func (t *try) do(ctx context.Context) {
	t.answer = t.replica.Append(ctx, t.Entry)
	t.over.Store(true)
}

// roughLog is a log that is slow, fails, loses its answer with the records stored or not, and
// is written to by another program, all at random.
type roughLog struct {
	storetest.Memory
	rng   *rand.Rand
	other *Replica
	tries *tries
}

func (l *roughLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	what := l.rng.IntN(16)
	select {
	case <-time.After(time.Duration(l.rng.IntN(400)) * time.Microsecond):
	case <-ctx.Done():
		return ctx.Err()
	}
	switch what {
	case 0:
		return &store.Error{Code: store.CodeFailed, Msg: "no"}
	case 1:
		return &store.Error{Code: store.CodeUnsure, Msg: "not stored, which nobody knows"}
	case 2, 3:
		l.tries.make(l.other, l.rng).do(ctx)
	}
	err := l.Memory.Append(ctx, expect, records...)
	if err == nil && what == 4 {
		err = &store.Error{Code: store.CodeUnsure, Msg: "stored, which nobody knows"}
	}
	return err
}

// TestWhateverTheStoreDoes: many append to groups that overlap, on a store on which nothing can
// be relied but that it tells no lie. Whoever is answered that it is recorded finds it in the
// journal, once, and whoever is refused does not; and each entry was decided on
// exactly what the journal holds of its groups, of its day and of the site before it.
func TestWhateverTheStoreDoes(t *testing.T) {
	for seed := range uint64(8) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				all := &tries{tb: t}
				log := &roughLog{rng: rand.New(rand.NewPCG(seed, 0)), tries: all}
				log.other = open(t, &log.Memory)
				r := open(t, log)
				var writers sync.WaitGroup
				for w := range uint64(24) {
					writers.Go(func() { all.write(r, rand.New(rand.NewPCG(seed, 1+w))) })
				}
				writers.Wait()
				compare(t, all.all, log.Records)
			})
		})
	}
}

// write makes entries one after the other, some by somebody who soon leaves.
func (all *tries) write(r *Replica, rng *rand.Rand) {
	for range 25 {
		ctx, cancel := context.Background(), func() {}
		if rng.IntN(6) == 0 {
			ctx, cancel = context.WithTimeout(ctx, time.Duration(rng.IntN(2000))*time.Microsecond)
		}
		all.make(r, rng).do(ctx)
		cancel()
	}
}

// compare goes through a journal once more, and compares what is in it with what was answered.
func compare(t *testing.T, all []*try, records []store.Record) {
	byKey, seen := map[string]*try{}, map[string]int{}
	for _, x := range all {
		byKey[x.key] = x
	}
	again := empty(&storetest.Memory{}, salt, nil)
	for _, rec := range records {
		v := again.verified([]journal.Link{linkOf(rec)})
		if v.err != nil {
			t.Fatal(v.err)
		}
		x := byKey[v.records[0].By]
		if seen[x.key]++; seen[x.key] == 1 {
			var groups []state.Group
			for _, id := range x.IDs {
				groups = append(groups, again.books.Groups(id)...)
			}
			if x.Of > 0 {
				groups = append(groups, again.books.Home(x.Of)...)
			}
			had := numbersOf(again.withAlone(again.of(groups, x.IDs), x.Of))
			if x.next != int(rec.Seq) || !slices.Equal(had, x.saw) {
				t.Errorf("record %d of %v was decided on as number %d and with %v, and the journal had %v", rec.Seq, x.IDs, x.next, x.saw, had)
			}
		}
		if _, err := again.take(v, false); err != nil {
			t.Fatal(err)
		}
	}
	recorded := 0
	for _, x := range all {
		switch unsure := store.CodeOf(x.answer) == store.CodeUnsure; {
		case seen[x.key] > x.many, seen[x.key] > 0 && x.answer != nil && !unsure:
			t.Errorf("%s is there %d times, and was answered %v", x.key, seen[x.key], x.answer)
		case x.answer == nil && seen[x.key] != x.many:
			t.Errorf("%s was answered as recorded, and is there %d times", x.key, seen[x.key])
		case x.answer == nil:
			recorded++
		}
	}
	if recorded < len(all)/4 {
		t.Errorf("no more than %d of %d were recorded", recorded, len(all))
	}
}
