package replica

import (
	"context"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
)

// countedLog notes how many records each append had, and how long all took.
type countedLog struct {
	store.Log
	batches []int
	spent   time.Duration
}

func (l *countedLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	begin := time.Now()
	err := l.Log.Append(ctx, expect, records...)
	l.batches, l.spent = append(l.batches, len(records)), l.spent+time.Since(begin)
	return err
}

// BenchmarkWritersPostgres is one writer, and then fifty, each appending to a
// group of its own as fast as it is answered, with the decision, the sealing
// and the verifying that every entry has. Each is set beside a bare loop of
// pgx that inserts and commits rows of the same size in the same batches.
func BenchmarkWritersPostgres(b *testing.B) {
	server := pgtest.Shared(b)
	for _, writers := range []int{1, 50} {
		b.Run(strconv.Itoa(writers), func(b *testing.B) {
			batches := 0
			for b.Loop() {
				inner, err := postgres.Create(b.Context(), server.Database(b))
				must(b, err)
				log := &countedLog{Log: inner}
				l, err := Open(b.Context(), log, salt)
				must(b, err)
				insert := bareInserts(b, server.Database(b))
				write(b, l, writers, 4) // the first rows make room
				insert(200)
				log.spent, batches = 0, 0
				var whole, bare time.Duration
				for range 20 { // by turns, so that the machine is the same for both
					log.batches = nil
					begin := time.Now()
					write(b, l, writers, 1+50/(writers+9))
					whole += time.Since(begin)
					begin = time.Now()
					for _, n := range log.batches {
						insert(n)
					}
					bare += time.Since(begin)
					batches += len(log.batches)
				}
				b.ReportMetric(whole.Seconds()/bare.Seconds(), "x-bare")
				b.ReportMetric(log.spent.Seconds()/bare.Seconds(), "store-x-bare")
				b.ReportMetric(whole.Seconds()*1e3/float64(batches), "ms/batch")
				b.ReportMetric(bare.Seconds()*1e3/float64(batches), "bare-ms/batch")
				b.ReportMetric(float64(batches), "batches")
				must(b, inner.Close())
			}
		})
	}
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

// write lets writers append notes, each to a group of its own.
func write(b *testing.B, l *Replica, writers, each int) {
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			for range each {
				f := &journal.Deviation{For: "W" + strconv.Itoa(w), Text: "a text of the length that a reading has with its signature and what it was made with, in some sixty words or so, to be like one", At: time.Unix(1.8e9, 0)}
				if err := l.Append(context.Background(), Entry{IDs: []string{f.For}, Class: journal.ClassOf(f), Decide: decides(f)}); err != nil {
					b.Error(err)
				}
			}
		})
	}
	all.Wait()
}

// bareInserts gives what inserts and commits as many rows as asked in one batch.
func bareInserts(b *testing.B, address string) (insert func(n int)) {
	ctx := b.Context()
	conn, err := pgx.Connect(ctx, address)
	must(b, err)
	b.Cleanup(func() { must(b, conn.Close(context.Background())) })
	_, err = conn.Exec(ctx, "CREATE TABLE record (seq bigint PRIMARY KEY, hash bytea NOT NULL, body bytea NOT NULL)")
	must(b, err)
	seq := 0
	return func(n int) {
		batch := &pgx.Batch{}
		batch.Queue("BEGIN")
		for range n {
			seq++
			batch.Queue("INSERT INTO record (seq, hash, body) VALUES ($1, $2, $3)", seq, make([]byte, 32), make([]byte, 240))
		}
		batch.Queue("COMMIT")
		must(b, conn.SendBatch(ctx, batch).Close())
	}
}
