package postgres

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
	"vialwright/store/storetest"
)

// bodySize is about that of a reading with its signature.
const bodySize = 240

// BenchmarkAppend appends one record at a time, durably.
func BenchmarkAppend(b *testing.B) {
	l, _ := makeLog(b)
	add := appender(b, l)
	for b.Loop() {
		add()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// BenchmarkBareInsert does the same with nothing but pgx and one INSERT that
// commits itself, on the same table with its triggers, and compares no head.
func BenchmarkBareInsert(b *testing.B) {
	_, address := makeLog(b)
	add := inserter(b, raw(b, address), "vialwright.record")
	for b.Loop() {
		add()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// BenchmarkAppendRatio does both by turns, so that the disk is the same for
// both, and reports how many times longer an append takes: than an INSERT
// into the same table, and than one into a table without a trigger or check.
func BenchmarkAppendRatio(b *testing.B) {
	ours, _ := makeLog(b)
	_, address := makeLog(b)
	conn := raw(b, address)
	mustExec(b, conn, "CREATE TABLE public.plain (seq bigint PRIMARY KEY, hash bytea NOT NULL, body bytea NOT NULL)")
	ways := []func(){appender(b, ours), inserter(b, conn, "vialwright.record"), inserter(b, conn, "public.plain")}
	var spent [3]time.Duration
	for b.Loop() {
		for i, add := range ways {
			begin := time.Now()
			add()
			spent[i] += time.Since(begin)
		}
	}
	b.ReportMetric(spent[0].Seconds()/spent[1].Seconds(), "x-bare")
	b.ReportMetric(spent[0].Seconds()/spent[2].Seconds(), "x-plain")
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

func inserter(b *testing.B, conn *pgx.Conn, table string) func() {
	ctx, seq, hash, body := context.Background(), int64(0), make([]byte, 32), make([]byte, bodySize)
	query := "INSERT INTO " + table + " (seq, hash, body) VALUES ($1, $2, $3)"
	return func() {
		seq++
		if _, err := conn.Exec(ctx, query, seq, hash, body); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAppendBatch appends 1000 records at a time.
func BenchmarkAppendBatch(b *testing.B) {
	l, _ := makeLog(b)
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
// Read, and as pgx alone gives the rows of one SELECT.
func BenchmarkReplay(b *testing.B) {
	const size = 1_000_000
	l, address := makeLog(b)
	for head := (store.Head{}); head.Seq < size; {
		head = appendMany(b, l, head, 10_000)
	}
	conn := raw(b, address)
	for _, way := range []struct {
		name string
		read func() (int, error)
	}{
		{"Read", func() (int, error) { return replay(b.Context(), l) }},
		{"Scan", func() (int, error) { return scan(b.Context(), conn) }},
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

func scan(ctx context.Context, conn *pgx.Conn) (n int, err error) {
	rows, err := conn.Query(ctx, "SELECT seq, hash, body FROM vialwright.record ORDER BY seq")
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
