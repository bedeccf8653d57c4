package postgres

import (
	"context"
	"errors"
	"sync"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"vialwright/store"
)

// maxIdle is how many connections of a pool are kept for the next use.
const maxIdle = 16

// pool makes connections and keeps those that are free.
type pool struct {
	cfg   *pgx.ConnConfig
	check func(context.Context, *pgx.Conn) error // of each new connection; may be nil

	mu     sync.Mutex
	idle   []*pgx.Conn
	closed bool
}

// use calls do with a connection. A connection that was free may have been
// lost meanwhile, which shows in its first use: then do is called once more
// with a new one, so it must be fit for that. The connection is the caller's
// until give, also when do failed.
func (p *pool) use(ctx context.Context, do func(*pgx.Conn) error) (*pgx.Conn, error) {
	for {
		conn := p.takeIdle()
		fresh := conn == nil
		if fresh {
			var err error
			if conn, err = p.connect(ctx); err != nil {
				return nil, err
			}
		}
		err := do(conn)
		if err == nil {
			return conn, nil
		}
		p.give(conn)
		if fresh || ctx.Err() != nil || !lost(err) {
			return nil, err
		}
		p.closeAll(p.takeAll()) // made before the same loss
	}
}

// ask calls do as use does, and takes the connection back; doing is what an error says
// was being done.
func (p *pool) ask(ctx context.Context, doing string, do func(*pgx.Conn) error) error {
	conn, err := p.use(ctx, do)
	if err != nil {
		return failure(ctx, doing, err)
	}
	p.give(conn)
	return nil
}

func (p *pool) takeIdle() *pgx.Conn {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := len(p.idle)
	if n == 0 {
		return nil
	}
	conn := p.idle[n-1]
	p.idle = p.idle[:n-1]
	return conn
}

func (p *pool) takeAll() []*pgx.Conn {
	p.mu.Lock()
	defer p.mu.Unlock()
	all := p.idle
	p.idle = nil
	return all
}

func (p *pool) connect(ctx context.Context) (*pgx.Conn, error) {
	conn, err := pgx.ConnectConfig(context.WithValue(ctx, connecting{}, true), p.cfg)
	if err != nil {
		return nil, err
	}
	if p.check != nil {
		if err := p.check(ctx, conn); err != nil {
			hangUp(conn)
			return nil, err
		}
	}
	return conn, nil
}

// give takes a connection back, and ends its transaction if there is one.
func (p *pool) give(conn *pgx.Conn) {
	if !p.keep(conn) {
		hangUp(conn)
	}
}

func (p *pool) keep(conn *pgx.Conn) bool {
	if conn.IsClosed() || conn.PgConn().IsBusy() {
		return false
	}
	if conn.PgConn().TxStatus() != 'I' {
		ctx, cancel := context.WithTimeout(context.Background(), byeWait)
		defer cancel()
		if _, err := conn.Exec(ctx, "ROLLBACK"); err != nil {
			return false
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || len(p.idle) == maxIdle {
		return false
	}
	p.idle = append(p.idle, conn)
	return true
}

// close lets the free connections go; those in use go when they are given
// back.
func (p *pool) close() {
	p.mu.Lock()
	p.closed = true
	p.mu.Unlock()
	p.closeAll(p.takeAll())
}

func (p *pool) closeAll(conns []*pgx.Conn) {
	for _, conn := range conns {
		hangUp(conn)
	}
}

// hangUp closes a connection. Whether the server hears of it is of no
// interest: it has nothing to store.
func hangUp(conn *pgx.Conn) {
	ctx, cancel := context.WithTimeout(context.Background(), byeWait)
	defer cancel()
	_ = conn.Close(ctx)
}

// lost tells an error that ended the connection from one that the server
// reported on a connection that goes on, and from one of ours.
func lost(err error) bool {
	if store.CodeOf(err) != "" {
		return false
	}
	e, ok := errors.AsType[*pgconn.PgError](err)
	return !ok || e.SeverityUnlocalized != "ERROR"
}
