package sqlite

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"

	"vialwright/store"
)

// selectFrom joins hash and body so that a row costs two values and not
// three; a limit below 0 is none.
const selectFrom = "SELECT seq, CAST(hash || body AS BLOB) FROM record WHERE seq >= ? ORDER BY seq LIMIT ?"

// Read implements store.Log.
func (l *Log) Read(ctx context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	return store.Pairs(func(each func(store.Record) bool) error {
		return l.read(ctx, max(from, 1), limit, each)
	})
}

// read calls each with the records from a number on until it says no. It
// talks to the driver beneath database/sql: the same rows through Rows.Scan
// take half as long again.
func (l *Log) read(ctx context.Context, from uint64, limit int, each func(store.Record) bool) error {
	if err := l.handle.Usable(); err != nil {
		return err
	}
	if from > math.MaxInt64 { // more than the column holds
		return ctx.Err()
	}
	conn, err := l.readers.Conn(ctx)
	if err != nil {
		return l.readFailure(ctx, "reading the journal", err)
	}
	defer conn.Close()

	err = conn.Raw(func(dc any) error {
		args := []driver.NamedValue{{Ordinal: 1, Value: int64(from)}, {Ordinal: 2, Value: int64(limit)}}
		rows, err := dc.(driver.QueryerContext).QueryContext(ctx, selectFrom, args)
		if err != nil {
			return err
		}
		defer rows.Close()
		return eachRow(ctx, rows, from, each)
	})
	if err != nil {
		return l.readFailure(ctx, "reading the journal", err)
	}
	return l.unchanged()
}

// eachRow checks that the rows are whole records with the numbers from, from
// plus 1, ... and hands them on.
func eachRow(ctx context.Context, rows driver.Rows, from uint64, each func(store.Record) bool) error {
	dest := make([]driver.Value, 2)
	for next := from; ; next++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		err := rows.Next(dest)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		r, err := record(dest, next)
		if err != nil || !each(r) {
			return err
		}
	}
}

// record takes a row apart; it must be record number seq.
func record(row []driver.Value, seq uint64) (store.Record, error) {
	number, _ := row[0].(int64)
	joined, _ := row[1].([]byte)
	switch size := len(joined) - 32; {
	case number != int64(seq):
		return store.Record{}, corrupt(fmt.Sprintf("record %d is missing", seq))
	case size < 1 || size > store.MaxBody:
		return store.Record{}, corrupt(fmt.Sprintf("record %d is not one this program wrote", seq))
	}
	return store.Record{Seq: seq, Hash: [32]byte(joined[:32]), Body: joined[32:]}, nil
}
