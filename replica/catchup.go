package replica

import (
	"context"

	"vialwright/store"
)

// CatchUp reads what other processes have appended, and tells who listens. Where the
// store no longer holds what was read from it, it stops the journal.
func (r *Replica) CatchUp(ctx context.Context) error {
	read := storeHead(r.Report().Head)
	head, err := r.log.Head(ctx)
	if err != nil {
		return err
	}
	if head.Seq < read.Seq || head.Seq == read.Seq && head != read {
		return r.behind(ctx)
	}
	for {
		r.mu.RLock()
		here, broken, moved := storeHead(r.verify.Report().Head), r.broken, r.moved
		r.mu.RUnlock()
		if here == head || here.Seq > head.Seq || broken != nil {
			return broken
		}
		select {
		case r.turn <- struct{}{}:
			news, err := r.readOn(ctx, true)
			r.hub.publish(news...)
			<-r.turn
			return err
		case <-moved: // what was found may be what an append of ours has just stored
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// behind stops a journal of which the store no longer holds what was read from it.
func (r *Replica) behind(ctx context.Context) error {
	select {
	case r.turn <- struct{}{}:
		defer func() { <-r.turn }()
	case <-ctx.Done():
		return ctx.Err()
	}
	read := storeHead(r.verify.Report().Head)
	head, err := r.log.Head(ctx) // nobody of this program appends now
	switch {
	case err != nil:
		return err
	case r.broken != nil:
		return r.broken
	case head.Seq > read.Seq || head == read:
		return nil
	}
	gone := &store.ConflictError{Have: head, Expected: read}
	r.stop(gone)
	return gone
}
