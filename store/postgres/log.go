package postgres

import (
	"context"
	"errors"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

// Log is a log in a PostgreSQL database. It implements store.Log.
type Log struct {
	closed atomic.Bool
	doubt  doubt // about an append

	turn     chan struct{} // nil when the log is open for reading only
	writers  *pool         // used by whoever holds the turn
	readers  *pool
	patience time.Duration
}

var _ store.Log = (*Log)(nil)

// The statements of an append. Each has a snapshot of its own at this
// isolation level, so that the head is read as it is once the lock is held.
const (
	begin      = "BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE"
	takeLock   = "SELECT pg_advisory_xact_lock(1447641420, 1)"        // mark
	awaitLock  = "SELECT pg_advisory_xact_lock_shared(1447641420, 1)" // outside a transaction: let go at once
	selectHead = "SELECT seq, hash FROM ONLY vialwright.record ORDER BY seq DESC LIMIT 1"
	// Row by row in the order given; each meets the trigger that wants it to
	// follow the one before.
	insert = "INSERT INTO vialwright.record (seq, hash, body) SELECT * FROM unnest($1::bigint[], $2::bytea[], $3::bytea[])"
)

// One message to the server takes so much at most. The last one holds the
// commit too.
const (
	maxRecords = 1000
	maxBytes   = 8 << 20
)

// Close implements store.Log.
func (l *Log) Close() error {
	if l.turn != nil {
		l.turn <- struct{}{} // wait for the append in progress
		defer func() { <-l.turn }()
	}
	if l.closed.Swap(true) {
		return nil
	}
	l.readers.close()
	if l.writers != nil {
		l.writers.close()
	}
	return nil
}

func (l *Log) usable() error {
	if l.closed.Load() {
		return &store.Error{Code: store.CodeClosed, Msg: "the journal is closed"}
	}
	return nil
}

// Append implements store.Log.
func (l *Log) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	if err := l.usable(); err != nil {
		return err
	}
	if l.turn == nil {
		return &store.Error{
			Code: store.CodeReadOnly, Msg: "the journal was opened for reading",
			Hint: "open it for writing",
		}
	}
	if err := store.Check(ctx, expect, records); err != nil {
		return err
	}
	select {
	case l.turn <- struct{}{}:
		defer func() { <-l.turn }()
	case <-ctx.Done():
		return ctx.Err()
	}
	if err := l.usable(); err != nil { // closed while we waited
		return err
	}
	return l.transact(ctx, expect, records)
}

// transact appends in one transaction. Only the first exchange heeds the
// context: cut off in the second the outcome would be open.
func (l *Log) transact(ctx context.Context, expect store.Head, records []store.Record) error {
	var have store.Head
	doubts := l.doubt.arisen.Load()
	conn, err := l.writers.use(ctx, func(conn *pgx.Conn) (err error) {
		have, err = lock(ctx, conn)
		return err
	})
	if err != nil {
		return failure(ctx, "waiting for the journal", err)
	}
	defer l.writers.give(conn)
	l.doubt.isSettled(doubts) // whatever was under way has let go the lock
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case have != expect:
		return &store.ConflictError{Have: have, Expected: expect}
	}
	whole := context.WithoutCancel(ctx)
	err = l.write(whole, conn, records)
	if overtaken(err) {
		if now, e := l.Head(whole); e == nil && now != expect {
			return &store.ConflictError{Have: now, Expected: expect}
		}
	}
	return err
}

// lock begins a transaction, waits for the lock and reads the head, in one
// exchange.
func lock(ctx context.Context, conn *pgx.Conn) (head store.Head, err error) {
	b := &pgx.Batch{}
	b.Queue(begin)
	b.Queue(takeLock)
	b.Queue(selectHead)
	results := conn.SendBatch(ctx, b)
	defer func() {
		if e := results.Close(); err == nil {
			err = e
		}
	}()
	for range 2 {
		if _, err := results.Exec(); err != nil {
			return head, err
		}
	}
	return scanHead(results.QueryRow())
}

// write adds the records and commits.
func (l *Log) write(ctx context.Context, conn *pgx.Conn, records []store.Record) error {
	for {
		n := portion(records)
		last := n == len(records)
		err := l.send(ctx, conn, records[:n], last)
		switch {
		case err == nil && last:
			return nil
		case err == nil:
			records = records[n:]
		case last && lost(err):
			l.doubt.arisen.Add(1)
			return unsure("the records were", "read the journal on and see whether they are there", err)
		default:
			return failure(ctx, "writing to the journal", err)
		}
	}
}

// portion is how many of the records go into one message.
func portion(records []store.Record) int {
	bytes := 0
	for i, r := range records {
		if bytes += len(r.Body); i == maxRecords || (bytes > maxBytes && i > 0) {
			return i
		}
	}
	return len(records)
}

// send sends records in one message, the last one with the commit, and waits
// for the answer. Only an error that the server reports on a connection that
// goes on tells that the commit has failed.
func (l *Log) send(ctx context.Context, conn *pgx.Conn, records []store.Record, commit bool) (err error) {
	ctx, cancel := context.WithTimeout(ctx, l.patience)
	defer cancel()
	seqs, hashes, bodies := make([]int64, len(records)), make([][]byte, len(records)), make([][]byte, len(records))
	for i := range records {
		seqs[i], hashes[i], bodies[i] = int64(records[i].Seq), records[i].Hash[:], records[i].Body
	}
	b := &pgx.Batch{}
	b.Queue(insert, seqs, hashes, bodies)
	if commit {
		b.Queue("COMMIT")
	}
	results := conn.SendBatch(ctx, b)
	for range b.Len() {
		if _, err := results.Exec(); err != nil {
			_ = results.Close() // says the same
			return err
		}
	}
	if err := results.Close(); err != nil && !commit {
		return err
	}
	return nil // the commit was acknowledged, whatever came after
}

// Head implements store.Log.
func (l *Log) Head(ctx context.Context) (head store.Head, err error) {
	if err := l.usable(); err != nil {
		return head, err
	}
	if err := ctx.Err(); err != nil {
		return head, err
	}
	const doing = "reading the head of the journal"
	if err := l.doubt.settle(ctx, l.readers, awaitLock); err != nil {
		return head, failure(ctx, doing, err)
	}
	conn, err := l.readers.use(ctx, func(conn *pgx.Conn) (err error) {
		head, err = scanHead(conn.QueryRow(ctx, selectHead))
		return err
	})
	if err != nil {
		return store.Head{}, failure(ctx, doing, err)
	}
	l.readers.give(conn)
	return head, nil
}

// scanHead reads the row of selectHead; no row is the head of an empty log.
func scanHead(row pgx.Row) (store.Head, error) {
	var seq int64
	var hash []byte
	switch err := row.Scan(&seq, &hash); {
	case errors.Is(err, pgx.ErrNoRows):
		return store.Head{}, nil
	case err != nil:
		return store.Head{}, err
	case seq < 1 || len(hash) != 32:
		return store.Head{}, corrupt("the last record is not one this program wrote")
	}
	return store.Head{Seq: uint64(seq), Hash: [32]byte(hash)}, nil
}
