package replica

import (
	"context"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"vialwright/store"
	"vialwright/store/storetest"
)

// heldLog is a log that another program has locked nearly all the time, and appends to
// whenever it lets it go.
type heldLog struct {
	storetest.Memory
	other *Replica
	tb    testing.TB
}

func (l *heldLog) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	select {
	case <-time.After(9 * time.Second):
	case <-ctx.Done():
		return ctx.Err()
	}
	if err := order(l.tb, l.other, "OTHER-"+time.Now().Format("05")); err != nil {
		l.tb.Error(err)
	}
	return l.Memory.Append(ctx, expect, records...)
}

// TestATurnEnds: where another program writes without pause, a turn ends after the time
// that an append may take, however the tries of it fall, and whoever is next has theirs.
func TestATurnEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		log := &heldLog{tb: t}
		r, err := Open(t.Context(), log, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		log.other, err = Open(t.Context(), &log.Memory, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Now()
		if err := order(t, r, "A"); store.CodeOf(err) != store.CodeBusy {
			t.Errorf("the answer is %v", err)
		}
		if took := time.Since(begin); took > patience {
			t.Errorf("the turn lasted %v, more than %v", took, patience)
		}
	})
}

// lostLog is a log whose server is gone for so long that its answer to a commit is given up.
type lostLog struct{ storetest.Memory }

func (l *lostLog) Append(_ context.Context, expect store.Head, records ...store.Record) error {
	answer, cancel := context.WithTimeout(context.Background(), 6*patience)
	defer cancel()
	<-answer.Done()
	if err := l.Memory.Append(context.Background(), expect, records...); err != nil {
		return err
	}
	return &store.Error{Code: store.CodeUnsure, Msg: "lost", Err: fmt.Errorf("timeout: %w", answer.Err())}
}

// TestUnsureIsSaid: whether an entry is there may be unknown at the end of a turn that took
// longer than it may, and then nobody is told that nothing was stored.
func TestUnsureIsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, err := Open(t.Context(), &lostLog{}, salt, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := order(t, r, "A"); store.CodeOf(err) != store.CodeUnsure {
			t.Errorf("the answer is %v", err)
		}
	})
}
