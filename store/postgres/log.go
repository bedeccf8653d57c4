package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
)

// Log is a log in a PostgreSQL database. It implements store.Log.
type Log struct {
	handle store.Handle
	fences fences // of the sessions an append was lost with

	writers  *pool // used by the one whose turn it is; nil when the log is open for reading only
	readers  *pool
	patience time.Duration
}

var _ store.Log = (*Log)(nil)

// The statements of an append. Each has a snapshot of its own at this
// isolation level, so that the head is read as it is once the lock is held.
const (
	begin      = "BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE"
	takeLock   = "SELECT pg_advisory_xact_lock(1447641420, 1)" // mark
	selectHead = "SELECT seq, hash FROM ONLY vialwright.record ORDER BY seq DESC LIMIT 1"
	insert     = "INSERT INTO vialwright.record (seq, hash, body) SELECT * FROM unnest($1::bigint[], $2::bytea[], $3::bytea[])"

	// What one exchange takes: nothing is inserted while another bench has the
	// lock, or where the record before is not the expected one or has a next.
	// One record by itself is quicker than an array of one.
	free = ` WHERE (SELECT pg_try_advisory_xact_lock(1447641420, 1))
		AND ($4::bigint = 0 OR EXISTS (SELECT FROM ONLY vialwright.record WHERE seq = $4 AND hash = $5))
		AND NOT EXISTS (SELECT FROM ONLY vialwright.record WHERE seq = $4 + 1)`
	insertOne  = "INSERT INTO vialwright.record (seq, hash, body) SELECT $1::bigint, $2::bytea, $3::bytea" + free
	insertMany = insert + free
)

// One message to the server takes so much at most. The last one holds the
// commit too.
const (
	maxRecords = 1000
	maxBytes   = 8 << 20
)

// Close implements store.Log.
func (l *Log) Close() error {
	return l.handle.Close(func() error {
		l.readers.close()
		if l.writers != nil {
			l.writers.close()
		}
		return nil
	})
}

// Append implements store.Log.
func (l *Log) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	return l.handle.Append(ctx, expect, records, l.transact)
}

// transact appends in one exchange, or in two where that did not do.
func (l *Log) transact(ctx context.Context, expect store.Head, records []store.Record) error {
	if portion(records) == len(records) && (expect.Seq > 0 || expect == store.Head{}) {
		if stored, err := l.atOnce(ctx, expect, records); stored || err != nil {
			return err
		}
	}
	return l.inTurn(ctx, expect, records)
}

// atOnce appends in one exchange, in which the server compares the head and
// commits. It is false when nothing was stored since another bench has the lock
// or was first.
func (l *Log) atOnce(ctx context.Context, expect store.Head, records []store.Record) (stored bool, err error) {
	const doing = "writing to the journal"
	conn, err := l.writers.use(ctx, func(*pgx.Conn) error { return ctx.Err() })
	if err != nil {
		return false, failure(ctx, doing, err)
	}
	whole, cancel := context.WithTimeout(context.WithoutCancel(ctx), l.patience)
	defer cancel()
	statement, args := insertMany, columns(records)
	if r := records[0]; len(records) == 1 {
		statement, args = insertOne, []any{int64(r.Seq), r.Hash[:], r.Body}
	}
	tag, err := conn.Exec(whole, statement, append(args, int64(expect.Seq), expect.Hash[:])...)
	l.writers.give(conn)
	switch {
	case err == nil:
		return tag.RowsAffected() > 0, nil
	case overtaken(err) || hasState(err, stateLockNotAvailable):
		return false, nil
	case !lost(err):
		return false, failure(whole, doing, err)
	}
	l.writers.closeAll(l.writers.takeAll()) // made before the same loss
	if pgconn.SafeToRetry(err) {
		return false, nil // it never left this machine
	}
	l.fences.arise(conn)
	return l.find(context.WithoutCancel(ctx), records[len(records)-1], err)
}

// seen finds a record, and waits as a commit does until what the server has is where
// it has to be: one that was ended while it waited for its standby server shows the
// record before that has it. An empty message to nobody is enough of a commit.
const seen = "SELECT pg_logical_emit_message(true, 'vialwright', '') FROM ONLY vialwright.record WHERE seq = $1 AND hash = $2"

// find tells whether a record is there whose append was lost, once the server
// is done with that; where it cannot be asked, the loss is what is told. It asks a
// server that takes writes: a standby may not have read it yet.
func (l *Log) find(ctx context.Context, r store.Record, loss error) (there bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, l.patience)
	defer cancel()
	err = l.writers.ask(ctx, "looking for the records", l.fences.behind(ctx, func(conn *pgx.Conn) error {
		tag, err := conn.Exec(ctx, seen, int64(r.Seq), r.Hash[:])
		there = tag.RowsAffected() > 0
		return err
	}))
	if err != nil {
		return false, lostRecords(loss)
	}
	return there, nil
}

func lostRecords(err error) error {
	return unsure("the records were", "read the journal on and see whether they are there", err)
}

// inTurn appends in one transaction of two exchanges. Only the first heeds the
// context: cut off in the second the outcome would be open.
func (l *Log) inTurn(ctx context.Context, expect store.Head, records []store.Record) error {
	var have store.Head
	conn, err := l.writers.use(ctx, func(conn *pgx.Conn) (err error) {
		have, err = lock(ctx, conn)
		return err
	})
	if err != nil {
		return failure(ctx, "waiting for the journal", err)
	}
	defer l.writers.give(conn)
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
			l.fences.arise(conn)
			return lostRecords(err)
		default:
			return failure(ctx, "writing to the journal", err)
		}
	}
}

// columns are the arguments of insert.
func columns(records []store.Record) []any {
	seqs, hashes, bodies := make([]int64, len(records)), make([][]byte, len(records)), make([][]byte, len(records))
	for i := range records {
		seqs[i], hashes[i], bodies[i] = int64(records[i].Seq), records[i].Hash[:], records[i].Body
	}
	return []any{seqs, hashes, bodies}
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
	b := &pgx.Batch{}
	b.Queue(insert, columns(records)...)
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
	if err := l.handle.Usable(); err != nil {
		return head, err
	}
	if err := ctx.Err(); err != nil {
		return head, err
	}
	err = l.readers.ask(ctx, "reading the head of the journal", l.fences.behind(ctx, func(conn *pgx.Conn) (err error) {
		head, err = scanHead(conn.QueryRow(ctx, selectHead))
		return err
	}))
	if err != nil {
		return store.Head{}, err
	}
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
