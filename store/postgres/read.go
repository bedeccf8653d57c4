package postgres

import (
	"context"
	"encoding/binary"
	"fmt"
	"iter"
	"math"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
)

// The first page has so many rows, and each further one twice as many, up to
// maxPage. A loop that is left early still has to take the rest of a page: no
// more rows than it had read before, or the first page.
const (
	firstPage = 256
	maxPage   = 1 << 16
)

// beginReading begins a transaction whose first query, which follows at once,
// settles what all of it sees.
const beginReading = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"

// Read implements store.Log.
func (l *Log) Read(ctx context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	return store.Pairs(func(each func(store.Record) bool) error {
		return l.read(ctx, max(from, 1), limit, each)
	})
}

// read calls each with the records from a number on until it says no.
func (l *Log) read(ctx context.Context, from uint64, limit int, each func(store.Record) bool) error {
	if err := l.handle.Usable(); err != nil {
		return err
	}
	if ctx.Err() != nil || from > math.MaxInt64 || limit == 0 { // more than the column holds
		return ctx.Err()
	}
	const doing = "reading the journal"
	conn, err := l.readers.use(ctx, l.fences.behind(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, beginReading)
		return err
	}))
	if err != nil {
		return failure(ctx, doing, err)
	}
	defer func() { l.readers.give(conn) }()
	c := cursor{conn: conn.PgConn(), next: from, left: limit, page: firstPage, each: each, more: true}
	for c.more {
		if err := c.fetch(ctx); err != nil {
			return failure(ctx, doing, err)
		}
	}
	return nil
}

// cursor is a reading in progress.
type cursor struct {
	conn *pgconn.PgConn
	next uint64 // number of the record that has to come next
	left int    // records that are wanted; negative without a limit
	page int    // rows of the next page
	each func(store.Record) bool
	more bool // there may be a next record, and it is wanted
}

// fetch hands on the next page. FETCH from a cursor of the server's would have
// the server put the whole page aside before it sends the first row.
func (c *cursor) fetch(ctx context.Context) (err error) {
	size := c.page
	if c.left >= 0 {
		size = min(size, c.left)
	}
	query := fmt.Sprintf("SELECT seq, hash, body FROM ONLY vialwright.record WHERE seq >= %d ORDER BY seq LIMIT %d", c.next, size)
	rows := c.conn.ExecParams(ctx, query, nil, nil, nil, []int16{pgx.BinaryFormatCode})
	defer func() {
		if _, e := rows.Close(); err == nil {
			err = e
		}
	}()
	n := 0
	for ; rows.NextRow(); n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		r, err := record(rows.Values(), c.next)
		if err != nil {
			return err
		}
		c.next++
		if !c.each(r) {
			c.more = false
			return nil
		}
	}
	if c.left >= 0 {
		c.left -= n
	}
	c.more = n == size && c.left != 0
	c.page = min(2*c.page, maxPage)
	return nil
}

// record copies a row in binary format; it must be record number seq.
func record(row [][]byte, seq uint64) (store.Record, error) {
	if len(row) != 3 || len(row[0]) != 8 || binary.BigEndian.Uint64(row[0]) != seq {
		return store.Record{}, corrupt(fmt.Sprintf("record %d is missing", seq))
	}
	hash, body := row[1], row[2]
	if len(hash) != 32 || [32]byte(hash) == [32]byte{} || len(body) < 1 || len(body) > store.MaxBody {
		return store.Record{}, corrupt(fmt.Sprintf("record %d is not one this program wrote", seq))
	}
	return store.Record{Seq: seq, Hash: [32]byte(hash), Body: append([]byte(nil), body...)}, nil
}
