package postgres

import (
	"context"
	"sync/atomic"

	"github.com/jackc/pgx/v5"
)

// doubt tells whether the outcome of a commit is open: its connection was
// lost, and the server may still be at it. It counts the times, so that one
// that arises while another is being settled is not settled with it.
type doubt struct{ arisen, settled atomic.Int64 }

func (d *doubt) open() bool { return d.settled.Load() < d.arisen.Load() }

// settle waits, when there is doubt, until the server is done. wait is the
// statement that takes and lets go the lock which the transaction holds.
func (d *doubt) settle(ctx context.Context, p *pool, wait string) error {
	if !d.open() {
		return nil
	}
	until := d.arisen.Load()
	conn, err := p.use(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, wait)
		return err
	})
	if err != nil {
		return err
	}
	p.give(conn)
	d.isSettled(until)
	return nil
}

// isSettled notes that what had arisen so far is settled.
func (d *doubt) isSettled(until int64) {
	for {
		now := d.settled.Load()
		if now >= until || d.settled.CompareAndSwap(now, until) {
			return
		}
	}
}
