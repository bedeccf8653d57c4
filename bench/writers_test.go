package main

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/replica"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/web/kit"
)

// countedLog notes the records of each append, and how long all took.
type countedLog struct {
	store.Log
	batches [][]store.Record
	spent   time.Duration
}

func (l *countedLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	begin := time.Now()
	err := l.Log.Append(ctx, expect, records...)
	l.batches, l.spent = append(l.batches, records), l.spent+time.Since(begin)
	return err
}

// rounds is how often ours and the reference take turns, so that the machine is
// the same for both; what is told is the middle round.
const rounds = 41

// BenchmarkWritersPostgres is one writer, and then fifty, each appending to a
// group of its own as fast as it is answered, with the decision, the sealing
// and the verifying that every entry has. Each is set beside a bare loop of
// pgx that inserts and commits the same rows in the same batches. Fifty write two entries
// each in a round, which are three to five batches: the first is decided on while the disk has
// nothing to do. Of twelve each, in the last run, it is one of some twenty-five. The collector
// goes to work as seldom as in the program.
func BenchmarkWritersPostgres(b *testing.B) {
	kit.CollectSeldom()
	server := pgtest.Shared(b)
	for _, run := range []struct {
		name          string
		writers, each int
	}{{"1", 1, 11}, {"50", 50, 2}, {"50-on", 50, 12}} {
		b.Run(run.name, func(b *testing.B) {
			for b.Loop() {
				inner, err := postgres.Create(b.Context(), server.Database(b))
				must(b, err)
				log := &countedLog{Log: inner}
				l, err := replica.Open(b.Context(), log, salt, nil)
				must(b, err)
				insert := bareInserts(b, server.Database(b))
				write(b, l, run.writers, 4) // the first rows make room
				for _, batch := range log.batches {
					insert(batch)
				}
				var whole, bare, ratio, stored []float64
				for range rounds {
					log.batches, log.spent = nil, 0
					begin := time.Now()
					write(b, l, run.writers, run.each)
					ours := time.Since(begin)
					begin = time.Now()
					for _, batch := range log.batches {
						insert(batch)
					}
					theirs, n := time.Since(begin), float64(len(log.batches))
					whole, bare = append(whole, ours.Seconds()*1e3/n), append(bare, theirs.Seconds()*1e3/n)
					ratio, stored = append(ratio, ours.Seconds()/theirs.Seconds()), append(stored, log.spent.Seconds()/theirs.Seconds())
				}
				b.ReportMetric(middle(ratio), "x-bare")
				b.ReportMetric(middle(stored), "store-x-bare")
				b.ReportMetric(middle(whole), "ms/batch")
				b.ReportMetric(middle(bare), "bare-ms/batch")
				must(b, inner.Close())
			}
		})
	}
}

func middle(all []float64) float64 {
	slices.Sort(all)
	return all[len(all)/2]
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

// notesEach is about how many entries an order has with its vial.
const notesEach = 40

// written counts what each writer has written.
var written [50]int

// write lets writers append notes, each to groups of its own.
func write(b *testing.B, l *replica.Replica, writers, each int) {
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			for range each {
				written[w]++
				f := &fact.Deviation{For: fmt.Sprint("W", w, "-", written[w]/notesEach), Text: "a text of the length that a reading has with its signature and what it was made with, in some sixty words or so, to be like one", At: time.Unix(1.8e9, 0)}
				decide := func(*replica.File, int) ([]journal.Record, error) {
					return []journal.Record{{Recorded: f.At, By: "T1", Fact: f}}, nil
				}
				if err := l.Append(context.Background(), replica.Entry{IDs: []string{f.For}, Class: fact.ClassOf(f), Decide: decide}); err != nil {
					b.Error(err)
				}
			}
		})
	}
	all.Wait()
}

// bareInserts gives what inserts and commits records in one batch.
func bareInserts(b *testing.B, address string) (insert func([]store.Record)) {
	ctx := b.Context()
	conn, err := pgx.Connect(ctx, address)
	must(b, err)
	b.Cleanup(func() { must(b, conn.Close(context.Background())) })
	_, err = conn.Exec(ctx, "CREATE TABLE record (seq bigint PRIMARY KEY, hash bytea NOT NULL, body bytea NOT NULL)")
	must(b, err)
	return func(records []store.Record) {
		batch := &pgx.Batch{}
		batch.Queue("BEGIN")
		for _, r := range records {
			batch.Queue("INSERT INTO record (seq, hash, body) VALUES ($1, $2, $3)", int64(r.Seq), r.Hash[:], r.Body)
		}
		batch.Queue("COMMIT")
		must(b, conn.SendBatch(ctx, batch).Close())
	}
}
