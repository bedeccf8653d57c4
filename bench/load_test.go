package main

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/store/postgres"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/sqlite"
	"vialwright/store/vault/postgresvault"
	"vialwright/store/vault/sqlitevault"
)

func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.Stop()
	os.Exit(code)
}

// BenchmarkBenchesSQLite is fifty benches with open streams on one server that
// keeps its journal in a file. Each looks at a page and writes an entry, over
// HTTP and as fast as it is answered: first one bench alone, then all. The
// metrics are milliseconds and counts; a durable append to the raw database (see
// raw) is measured in the same run.
func BenchmarkBenchesSQLite(b *testing.B) {
	for b.Loop() {
		path := filepath.Join(b.TempDir(), "lab")
		log, err := sqlite.Create(b.Context(), path)
		check(b, err)
		v, err := sqlitevault.Open(b.Context(), path+".kept")
		check(b, err)
		b.Cleanup(func() { check(b, v.Close()); check(b, log.Close()) })
		measure(b, open(b, log, v, benches, nil, nil), rawSQLite(b, path+".raw"))
	}
}

// BenchmarkBenchesPostgres is the same with the journal in a database.
func BenchmarkBenchesPostgres(b *testing.B) {
	for b.Loop() {
		server := pgtest.Shared(b)
		address := server.Database(b)
		log, err := postgres.Create(b.Context(), address)
		check(b, err)
		v, err := postgresvault.Open(b.Context(), address)
		check(b, err)
		b.Cleanup(func() { check(b, v.Close()); check(b, log.Close()) })
		measure(b, open(b, log, v, benches, nil, nil), rawPostgres(b, server.Database(b)))
	}
}

// bodySize is about that of a note with its signature.
const bodySize = 200

// raw is a durable append to a database without anything of ours, by one writer.
type raw func() error

func (r raw) several(t *timing, rows int) error {
	for range rows {
		begin := time.Now()
		if err := r(); err != nil {
			return err
		}
		t.add(&t.answers, begin)
	}
	return nil
}

func rawSQLite(b *testing.B, path string) (writer func() (r raw, done func())) {
	q := url.Values{"_pragma": {"busy_timeout(60000)", "journal_mode(WAL)", "synchronous(FULL)"}}
	db, err := sql.Open("sqlite", "file:"+path+"?"+q.Encode())
	check(b, err)
	b.Cleanup(func() { check(b, db.Close()) })
	db.SetMaxOpenConns(1)
	_, err = db.Exec("CREATE TABLE record (seq INTEGER PRIMARY KEY, hash BLOB NOT NULL, body BLOB NOT NULL) STRICT")
	check(b, err)
	insert, err := db.Prepare("INSERT INTO record (hash, body) VALUES (?, ?)")
	check(b, err)
	b.Cleanup(func() { check(b, insert.Close()) })
	return func() (raw, func()) {
		return func() error {
			_, err := insert.Exec(make([]byte, 32), make([]byte, bodySize))
			return err
		}, func() {}
	}
}

func rawPostgres(b *testing.B, address string) (writer func() (r raw, done func())) {
	ctx := context.Background()
	connect := func() *pgx.Conn {
		c, err := pgx.Connect(ctx, address)
		check(b, err)
		return c
	}
	first := connect()
	defer first.Close(ctx)
	_, err := first.Exec(ctx, "CREATE TABLE record (seq bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, hash bytea NOT NULL, body bytea NOT NULL)")
	check(b, err)
	return func() (raw, func()) {
		c := connect()
		return func() error {
			_, err := c.Exec(ctx, "INSERT INTO record (hash, body) VALUES ($1, $2)", make([]byte, 32), make([]byte, bodySize))
			return err
		}, func() { check(b, c.Close(ctx)) }
	}
}

// A bench at work records something about every ten seconds. Here it does so five
// times as often, so that a run is short enough to have a slowest hundredth.
const (
	period     = 2 * time.Second
	pacedAlone = 20
	pacedEach  = 8
)

// measure lets all write, and reports.
func measure(b *testing.B, l *laboratory, writer func() (raw, func())) {
	b.Helper()
	first := l.people[0]
	ctx, cancel := context.WithCancel(b.Context())
	var streams, ready sync.WaitGroup
	defer streams.Wait()
	defer cancel()
	ready.Add(benches)
	for _, p := range l.people {
		once := sync.OnceFunc(ready.Done)
		streams.Go(func() { p.listen(ctx, once) })
	}
	ready.Wait()
	before, err := l.log.Head(ctx)
	check(b, err)
	for _, p := range l.people {
		p.last = before.Seq // nothing is written yet, and no event is on its way
	}

	alone, bare, bareFifty, own := &timing{}, &timing{}, &timing{}, &timing{}
	r, done := writer()
	defer done()
	check(b, r.several(&timing{}, inTurns)) // the first rows make room in the file
	for range aloneEntries / inTurns {
		check(b, first.several(alone, note, inTurns))
		check(b, r.several(bare, inTurns))
	}
	report(b, "alone", alone.answers)
	report(b, "raw-alone", bare.answers)
	// Before the many notes, since a day with a thousand of them is slow to reckon.
	l.prescribe()
	one, fifty, pauseless := &timing{}, &timing{}, &timing{}
	l.all(func(p *bench) error { return p.several(pauseless, deviation, 4) })
	check(b, first.paced(one, pacedAlone, period, 0))
	l.all(func(p *bench) error {
		return p.paced(fifty, pacedEach, period, period*time.Duration(slices.Index(l.people, p))/benches)
	})
	report(b, "paced-one", one.answers)
	report(b, "paced-fifty", fifty.answers)
	l.all(func(*bench) error {
		r, done := writer()
		defer done()
		return r.several(bareFifty, atOnce)
	})
	report(b, "raw-50", bareFifty.answers)
	begin := time.Now()
	l.all(func(p *bench) error { return p.several(own, note, atOnce) })
	took := time.Since(begin)
	report(b, "own", own.answers)
	report(b, "own-page", own.pages)
	b.ReportMetric(benches*atOnce/took.Seconds(), "own-entries/s")
	b.ReportMetric(float64(len(fifty.refused)), "paced-refused")
	b.ReportMetric(float64(len(own.refused)+len(pauseless.refused)), "own-refused")
	l.events(b, before.Seq)
}

func ms(d time.Duration) float64 { return float64(d) / 1e6 }

// report gives the middle and the slow ones.
func report(b *testing.B, name string, took []time.Duration) {
	b.ReportMetric(ms(percentile(took, 0.5)), name+"-p50-ms")
	b.ReportMetric(ms(percentile(took, 0.99)), name+"-p99-ms")
}

func (b *bench) several(t *timing, form string, entries int) error {
	for n := range entries {
		if err := b.write(t, form, fmt.Sprintf("%s writes entry %d", b.id, n)); err != nil {
			return err
		}
	}
	return nil
}

// events waits until every stream has come to the head, and counts.
func (l *laboratory) events(b *testing.B, before uint64) {
	head, err := l.log.Head(b.Context())
	check(b, err)
	sent := int(head.Seq - before)
	delivered, missed, again := 0, 0, 0
	for _, p := range l.people {
		p.mu.Lock()
		for p.last < head.Seq {
			p.news.Wait()
		}
		delivered, missed, again = delivered+p.got, missed+p.lost+max(0, sent-p.got-p.lost), again+p.ends
		p.mu.Unlock()
	}
	b.ReportMetric(float64(sent), "records")
	b.ReportMetric(float64(delivered), "events-delivered")
	b.ReportMetric(float64(missed), "events-missed")
	b.ReportMetric(float64(again), "streams-opened-again")
}
