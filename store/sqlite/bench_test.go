package sqlite

import (
	"context"
	"fmt"
	"testing"
	"time"

	"vialwright/store"
	"vialwright/store/storetest"
)

// bodySize is about that of a reading with its signature.
const bodySize = 240

// BenchmarkAppend appends one record at a time, durably.
func BenchmarkAppend(b *testing.B) {
	l := newLog(b)
	add := appender(b, l)
	for b.Loop() {
		add()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// BenchmarkBareInsert does the same with nothing but database/sql and one
// INSERT in its own transaction, on the same table and settings, and compares
// no head.
func BenchmarkBareInsert(b *testing.B) {
	l := newLog(b)
	add := inserter(b, l)
	for b.Loop() {
		add()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// BenchmarkAppendRatio does both by turns, so that the disk is the same for
// both, and reports how many times longer an append takes.
func BenchmarkAppendRatio(b *testing.B) {
	ours, bare := appender(b, newLog(b)), inserter(b, newLog(b))
	var spent [2]time.Duration
	for b.Loop() {
		for i, add := range []func(){ours, bare} {
			begin := time.Now()
			add()
			spent[i] += time.Since(begin)
		}
	}
	b.ReportMetric(spent[0].Seconds()/spent[1].Seconds(), "x-bare")
}

func appender(b *testing.B, l *Log) func() {
	ctx, head, body := context.Background(), store.Head{}, make([]byte, bodySize)
	return func() {
		r := store.Record{Seq: head.Seq + 1, Body: body, Hash: [32]byte{1}}
		if err := l.Append(ctx, head, r); err != nil {
			b.Fatal(err)
		}
		head = r.Head()
	}
}

func inserter(b *testing.B, l *Log) func() {
	ctx, seq, hash, body := context.Background(), int64(0), make([]byte, 32), make([]byte, bodySize)
	insert, err := l.conn.PrepareContext(ctx, "INSERT INTO record (seq, hash, body) VALUES (?, ?, ?)")
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { insert.Close() })
	return func() {
		seq++
		if _, err := insert.ExecContext(ctx, seq, hash, body); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAppendBatch appends 1000 records at a time.
func BenchmarkAppendBatch(b *testing.B) {
	l := newLog(b)
	head := store.Head{}
	for b.Loop() {
		head = appendMany(b, l, head, 1000)
	}
	b.ReportMetric(1000*float64(b.N)/b.Elapsed().Seconds(), "records/s")
}

func appendMany(b *testing.B, l *Log, head store.Head, n int) store.Head {
	bodies := make([][]byte, n)
	for i := range bodies {
		bodies[i] = make([]byte, bodySize)
	}
	records := storetest.Chain(head, bodies...)
	if err := l.Append(b.Context(), head, records...); err != nil {
		b.Fatal(err)
	}
	return records[n-1].Head()
}

// BenchmarkReplay reads a log of a million records from end to end: through
// Read, and as database/sql alone gives the rows.
func BenchmarkReplay(b *testing.B) {
	const size = 1_000_000
	l := newLog(b)
	for head := (store.Head{}); head.Seq < size; {
		head = appendMany(b, l, head, 10_000)
	}
	for _, way := range []struct {
		name string
		read func() (int, error)
	}{
		{"Read", func() (int, error) { return replay(b.Context(), l) }},
		{"Scan", func() (int, error) { return scan(b.Context(), l) }},
	} {
		b.Run(way.name, func(b *testing.B) {
			for b.Loop() {
				if n, err := way.read(); err != nil || n != size {
					b.Fatal(n, err)
				}
			}
			b.ReportMetric(size*float64(b.N)/b.Elapsed().Seconds(), "records/s")
		})
	}
}

func replay(ctx context.Context, l *Log) (n int, err error) {
	for r, err := range l.Read(ctx, 1, store.All) {
		if err != nil {
			return n, err
		}
		if n++; r.Seq != uint64(n) {
			return n, fmt.Errorf("record %d at place %d", r.Seq, n)
		}
	}
	return n, nil
}

func scan(ctx context.Context, l *Log) (n int, err error) {
	rows, err := l.readers.QueryContext(ctx, "SELECT seq, hash, body FROM record ORDER BY seq")
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	for ; rows.Next(); n++ {
		var seq int64
		var hash, body []byte
		if err := rows.Scan(&seq, &hash, &body); err != nil {
			return n, err
		}
	}
	return n, rows.Err()
}
