package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os/signal"
	"strings"
	"syscall"
	"testing"

	"vialwright/store"
)

// playLimit appends until the system refuses to let a file grow, prints the
// number of the last record that was acknowledged and the code of the error,
// and ends without closing.
func playLimit(path string) error {
	ctx := context.Background()
	l, err := Open(ctx, path)
	if err != nil {
		return err
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 300_000, Max: 300_000}); err != nil {
		return err
	}
	var head store.Head
	for range 1000 {
		batch := batchFrom(head)
		if err := l.Append(ctx, head, batch...); err != nil {
			// The handle must still answer, and still refuse.
			after, headErr := l.Head(ctx)
			if headErr != nil || after != head {
				return fmt.Errorf("head %d after a failed append behind %d: %w", after.Seq, head.Seq, errors.Join(err, headErr))
			}
			_, err := fmt.Println(head.Seq, store.CodeOf(err))
			return err
		}
		head = batch[len(batch)-1].Head()
	}
	return errors.New("1000 batches in 300 kB")
}

// TestDiskFails: when the system fails a write in the middle of an append,
// the append says so, and what was acknowledged before is there.
func TestDiskFails(t *testing.T) {
	l := newLog(t)
	l.Close()
	out, err := roleCommand(t, "limit", l.path).Output()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var acked uint64
	var code string
	if _, err := fmt.Sscan(strings.TrimSpace(string(out)), &acked, &code); err != nil {
		t.Fatalf("%q: %v", out, err)
	}
	if code != store.CodeUnsure && code != store.CodeFailed {
		t.Errorf("the append failed with %q", code)
	}
	wantWhole(t, open(t, l.path), acked)
	t.Logf("acknowledged %d, then %s", acked, code)
}
