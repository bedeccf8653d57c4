package postgres

import (
	"context"
	"math/rand/v2"
	"slices"
	"sync"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

// fences are those of the sessions that were lost with a commit of which the
// outcome is open. Each session that changes something holds an advisory lock of
// its own, which the server lets go when it ends the session: only once it is done
// with whatever was sent there.
type fences struct {
	mu   sync.Mutex
	lost []int32
}

// fence is where the key of its lock is kept with a session.
const fence = "fence"

// setFence takes the lock of a session.
func setFence(ctx context.Context, conn *pgx.Conn) error {
	for {
		key, held := -1-rand.Int32(), false
		err := conn.QueryRow(ctx, "SELECT pg_try_advisory_lock($1, $2)", int32(mark), key).Scan(&held)
		if err != nil || held {
			conn.PgConn().CustomData()[fence] = key
			return err
		}
	}
}

func (f *fences) arise(conn *pgx.Conn) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.lost = append(f.lost, conn.PgConn().CustomData()[fence].(int32))
}

// behind is do with a connection once the server is done with all that was lost.
func (f *fences) behind(ctx context.Context, do func(*pgx.Conn) error) func(*pgx.Conn) error {
	return func(conn *pgx.Conn) error {
		if err := f.await(ctx, conn); err != nil {
			return err
		}
		return do(conn)
	}
}

// await waits until the server has ended the sessions that were lost.
func (f *fences) await(ctx context.Context, conn *pgx.Conn) error {
	f.mu.Lock()
	lost := slices.Clone(f.lost)
	f.mu.Unlock()
	for _, key := range lost {
		// Outside a transaction: let go at once.
		_, err := conn.Exec(ctx, "SELECT pg_advisory_xact_lock_shared($1, $2)", int32(mark), key)
		if hasState(err, stateLockNotAvailable) {
			return &store.Error{
				Code: store.CodeBusy, Msg: "the server is not yet done with a connection that was lost, so that nobody can tell what was stored",
				Hint: "look again in a minute", Err: err,
			}
		}
		if err != nil {
			return err
		}
		f.mu.Lock()
		f.lost = slices.DeleteFunc(f.lost, func(k int32) bool { return k == key })
		f.mu.Unlock()
	}
	return nil
}
