package replica

import (
	"context"
	"errors"
	"strings"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
)

// mostAtOnce bounds what is held twice while a long journal is read.
const mostAtOnce = 1000

// readOn takes what the log has beyond the head, and gives it where it is to be
// told. The caller has the turn.
func (r *Replica) readOn(ctx context.Context, tell bool) ([]Event, error) {
	if r.broken != nil {
		return nil, r.broken
	}
	var news []Event
	err := r.batches(ctx, store.All, func(links []journal.Link) error {
		events, err := r.take(r.verified(links), tell)
		r.tellWitness(len(links))
		news = append(news, events...)
		return err
	})
	return news, err
}

// batches reads what the log has beyond the head, at most so many records, and has them
// taken some at a time; those too that came before the log could not be read any more.
func (r *Replica) batches(ctx context.Context, most int, take func([]journal.Link) error) error {
	var links []journal.Link
	for x, err := range r.log.Read(ctx, r.verify.Report().Head.Seq+1, most) {
		if err != nil {
			return errors.Join(err, take(links))
		}
		links = append(links, linkOf(x))
		if len(links) == mostAtOnce {
			if err := take(links); err != nil {
				return err
			}
			links = links[:0]
		}
	}
	return take(links)
}

// linkOf is what a store has, as a link that is not verified yet.
func linkOf(x store.Record) journal.Link {
	return journal.Link{Seq: x.Seq, Hash: x.Hash, Body: string(x.Body)}
}

// verified are records with the hashes of their links, as far as they hold, and
// the verifier behind them.
type verified struct {
	records []journal.Record
	hashes  []journal.Hash
	verify  journal.Verifier
	err     error
}

// verified verifies links behind the head. The caller has the turn.
func (r *Replica) verified(links []journal.Link) verified {
	v := verified{verify: r.verify, records: make([]journal.Record, 0, len(links)), hashes: make([]journal.Hash, 0, len(links))}
	for _, link := range links {
		rec, err := v.verify.Add(link)
		if err != nil {
			v.err = err
			break
		}
		v.records, v.hashes = append(v.records, rec), append(v.hashes, link.Hash)
	}
	return v
}

// take puts verified records to their groups, so that what was recorded together
// is seen together; a link that does not hold breaks the journal. What is to be
// told is given. The caller has the turn.
func (r *Replica) take(v verified, tell bool) ([]Event, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var news []Event
	r.verify = v.verify
	for _, h := range v.hashes {
		r.chain.add(h)
	}
	for _, rec := range v.records {
		r.open.touch(r.books.Add(rec))
		if rec.Form != "" {
			r.remember(rec)
		}
		r.index(rec)
		if tell {
			news = append(news, r.event(rec))
		}
	}
	if v.err != nil {
		r.broken = v.err
		return news, v.err
	}
	r.books.PutAway(r.verify.Report().Last.Add(-inMemory))
	close(r.moved)
	r.moved = make(chan struct{})
	return news, nil
}

// index notes what is looked for in all years: labels by their serials, vials by
// their ids and by what stands on their packs.
func (r *Replica) index(rec journal.Record) {
	f, n := rec.Fact, rec.N
	if c, ok := f.(*fact.Correct); ok {
		f, n = c.With, c.Entry
	}
	switch x := f.(type) {
	case *fact.Label:
		if n == rec.N {
			r.labels.Add(x.Serial.String(), n)
		}
	case *fact.Receive:
		for _, key := range []string{strings.ToUpper(x.Vial), x.Pack} {
			if key != "" {
				r.received.Add(key, n)
			}
		}
	}
}
