package replica

import (
	"context"
	"sync"

	"vialwright/journal"
	"vialwright/store"
)

// fewLinks are verified in less time than another processor takes to wake up for them.
const fewLinks = 8

// inStore is a batch that is in the store, and not yet in the books.
type inStore struct {
	batch    []*pending
	links    int
	checked  verified
	finished bool
}

// store appends the links of all entries behind their head. While the disk is at work the batch
// before is finished, the links are verified, and the next are decided on.
// Nobody leaves any more; what ctx ends is the wait for other processes.
func (r *Replica) store(ctx context.Context, batch []*pending, before *inStore) (*inStore, error) {
	links, records := make([]journal.Link, 0, len(batch)), make([]store.Record, 0, len(batch))
	for _, p := range batch {
		links, records = append(links, p.links...), append(records, p.records...)
	}
	if len(links) == 0 {
		return nil, nil
	}
	now := &inStore{batch: batch, links: len(links)}
	var beside sync.WaitGroup
	ended := make(chan struct{})
	if len(links) > fewLinks || before != nil || r.queue.any() {
		beside.Go(func() {
			r.finish(before)
			now.checked = r.verified(links)
			r.ahead(batch, ended)
		})
	} else {
		now.checked = r.verified(links)
	}
	err := recovered(func() error { return r.log.Append(ctx, storeHead(batch[0].behind), records...) })
	close(ended)
	beside.Wait()
	r.appended(err)
	if err != nil {
		return nil, err
	}
	return now, nil
}

// finish takes what was stored into the books, tells of it, and answers. Where it cannot, the
// books are not what the journal is, and nothing more is recorded.
func (r *Replica) finish(w *inStore) {
	if w == nil || w.finished {
		return
	}
	w.finished, r.several = true, len(w.batch) > 1
	err := recovered(func() error {
		if r.broken != nil {
			return r.broken
		}
		news, err := r.take(w.checked, true) // what Seal has made, the verifier takes
		r.tellWitness(w.links)
		r.hub.publish(news...)
		return err
	})
	if err != nil {
		r.stop(err)
	}
	for _, p := range w.batch {
		p.answer(err)
	}
}

// stored are links as the store keeps them.
func stored(links []journal.Link) []store.Record {
	out := make([]store.Record, len(links))
	for i, link := range links {
		out[i] = store.Record{Seq: link.Seq, Body: []byte(link.Body), Hash: link.Hash}
	}
	return out
}
