package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
)

// Beside is connections to the database of a log for what else is kept there,
// with the settings and the checks of those that append: what is committed is
// on stable storage. It may be used by many goroutines at once.
type Beside struct {
	pool     *pool
	fences   fences
	patience time.Duration
}

// Connect gives connections to the database at address, which are made when
// they are needed. Errors: CodeFailed when it is no address.
func Connect(address string) (*Beside, error) {
	cfg, _, err := connections(address)
	if err != nil {
		return nil, err
	}
	return &Beside{pool: &pool{cfg: cfg, check: checkAppender}, patience: patience}, nil
}

// Close lets the connections go, those in use when they are free.
func (b *Beside) Close() error {
	b.pool.close()
	return nil
}

// Use calls do with a connection, outside a transaction; one that do leaves
// open is rolled back. A connection may prove lost, and then do is called
// once more with another. It waits for the outcome of a change that is in
// doubt. Errors: those of do, or as [Open] has them of the server's.
func (b *Beside) Use(ctx context.Context, do func(*pgx.Conn) error) error {
	return b.pool.ask(ctx, "asking the database", b.fences.behind(ctx, do))
}

// Look scans the row that a query gives into dest, and tells whether there is
// one. Errors: as of Use.
func (b *Beside) Look(ctx context.Context, query string, args []any, dest ...any) (found bool, err error) {
	err = b.Use(ctx, func(conn *pgx.Conn) error {
		err := conn.QueryRow(ctx, query, args...).Scan(dest...)
		if found = !errors.Is(err, pgx.ErrNoRows); !found {
			return nil
		}
		return err
	})
	return found && err == nil, err
}

// Change runs one statement in a transaction of its own, scans the row that it
// returns into dest, and tells whether there was one. Once the statement is on
// its way the context is of no account. Errors: CodeBusy, CodeUnsure,
// CodeFailed and the others of [Open].
func (b *Beside) Change(ctx context.Context, statement string, args []any, dest ...any) (found bool, err error) {
	const doing = "changing the database"
	conn, err := b.pool.use(ctx, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, begin)
		return err
	})
	if err != nil {
		return false, failure(ctx, doing, err)
	}
	defer b.pool.give(conn)
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	whole := context.WithoutCancel(ctx)
	found, err = b.commit(whole, conn, statement, args, dest)
	switch {
	case err == nil:
		return found, nil
	case lost(err):
		b.fences.arise(conn)
		return false, unsure("something was", "look at it again", err)
	}
	return false, failure(whole, doing, err)
}

// commit sends the statement and the commit, and waits for the answer.
func (b *Beside) commit(ctx context.Context, conn *pgx.Conn, statement string, args, dest []any) (found bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, b.patience)
	defer cancel()
	second := &pgx.Batch{}
	second.Queue(statement, args...)
	second.Queue("COMMIT")
	results := conn.SendBatch(ctx, second)
	defer results.Close() // what it could say is said before
	err = results.QueryRow().Scan(dest...)
	if found = !errors.Is(err, pgx.ErrNoRows); found && err != nil {
		return false, err
	}
	_, err = results.Exec()
	return found, err
}
