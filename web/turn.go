package web

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"

	"vialwright/journal"
	"vialwright/store"
)

// A store makes one append durable at a time, and while it does others come.
// They wait in a line, and whoever has the turn next appends for all of them at
// once: fifty benches wait for two appends instead of fifty. Each entry is
// decided on by itself, with its case as it is, and refused by itself; only an
// error of the store is that of all it was to store.

// entry is what somebody waits for to be appended.
type entry struct {
	ctx    context.Context
	name   string // of the case
	behind uint64
	decide func(*file) ([]journal.Record, error)
	done   chan error // gets the answer, once
	links  []journal.Link
}

// line is the entries that wait, in the order in which they came.
type line struct {
	mu      sync.Mutex
	waiting []*entry
}

func (l *line) join(e *entry) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.waiting = append(l.waiting, e)
}

// leave takes an entry out; false where somebody is appending it.
func (l *line) leave(e *entry) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	i := slices.Index(l.waiting, e)
	if i < 0 {
		return false
	}
	l.waiting = slices.Delete(l.waiting, i, i+1)
	return true
}

// mostTogether bounds how many entries are appended at once.
const mostTogether = 64

// next takes the first entries out, no more than one of each case: the second
// has to be decided on with what the first has changed.
func (l *line) next() (together []*entry) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var left []*entry
	cases := map[string]bool{}
	for _, e := range l.waiting {
		if cases[e.name] || len(together) == mostTogether {
			left = append(left, e)
			continue
		}
		cases[e.name] = true
		together = append(together, e)
	}
	l.waiting = left
	return together
}

// mostTries bounds how often an append reads on and tries again while other
// benches write to other cases.
const mostTries = 8

// Append seals records of one case behind the head, decided on when the last
// record of the case was number behind. It refuses with a *MovedError where
// that is no longer the last one; and with what decide gives, which is asked
// with the case as it is, in its turn, so that nothing can come between the
// question and the answer. What others wrote to other cases is no conflict: it
// is read, and the append goes behind it. Who waits may leave, and has appended
// nothing, until the turn has come.
func (l *lab) Append(ctx context.Context, name string, behind uint64, decide func(*file) ([]journal.Record, error)) error {
	e := &entry{ctx: ctx, name: name, behind: behind, decide: decide, done: make(chan error, 1)}
	l.line.join(e)
	for {
		select {
		case err := <-e.done:
			return err
		default:
		}
		select {
		case err := <-e.done:
			return err
		case l.turn <- struct{}{}:
			l.serve()
		case <-ctx.Done():
			if l.line.leave(e) {
				return ctx.Err()
			}
			return <-e.done
		}
	}
}

// serve appends for those who wait, and ends the turn.
func (l *lab) serve() {
	defer func() { <-l.turn }()
	together := l.line.next()
	err := errors.New("fault: the turn ended early") // should it, nobody waits for ever
	defer func() {
		for _, e := range together {
			e.answer(err)
		}
	}()
	err = l.appendAll(together)
}

// answer gives the first answer; those behind it go nowhere.
func (e *entry) answer(err error) {
	select {
	case e.done <- err:
	default:
	}
}

// appendAll decides on entries and stores them. Those that are refused have
// their answer when it ends; what it gives is for the others.
func (l *lab) appendAll(together []*entry) error {
	for range mostTries {
		if l.broken != nil {
			return l.broken
		}
		together = l.prepare(together)
		err := l.store(together)
		if _, conflict := errors.AsType[*store.ConflictError](err); !conflict {
			return err
		}
		news, err := l.readOn(context.Background())
		l.hub.publish(news...)
		if err != nil {
			return err
		}
	}
	return &store.Error{Code: store.CodeBusy, Msg: "other benches wrote all the time", Hint: "try again"}
}

// prepare decides on each entry and seals it behind the one before. It answers
// those that are refused, and gives the others.
func (l *lab) prepare(together []*entry) (left []*entry) {
	head := l.verify.Report().Head
	for _, e := range together {
		records, err := l.asked(e)
		if err == nil {
			e.links, err = journal.Seal(head, records...)
		}
		if err == nil {
			err = store.Check(context.Background(), storeHead(head), stored(e.links))
		}
		if err != nil {
			e.answer(err)
			continue
		}
		last := e.links[len(e.links)-1]
		head = journal.Head{Seq: last.Seq, Hash: last.Hash}
		left = append(left, e)
	}
	return left
}

// asked decides on one entry. A fault in that is an error of this one alone.
func (l *lab) asked(e *entry) (records []journal.Record, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("fault: %v\n%s", fault, debug.Stack())
		}
	}()
	if err := e.ctx.Err(); err != nil {
		return nil, err
	}
	return l.decided(e.name, e.behind, e.decide)
}

// store appends the links of all entries behind the head, and takes them.
// Nobody leaves any more.
func (l *lab) store(together []*entry) error {
	var links []journal.Link
	for _, e := range together {
		links = append(links, e.links...)
	}
	if len(links) == 0 {
		return nil
	}
	if err := l.log.Append(context.Background(), storeHead(l.verify.Report().Head), stored(links)...); err != nil {
		return err
	}
	news, err := l.take(links) // what Seal has made, the verifier takes
	l.hub.publish(news...)
	return err
}

// stored are links as the store keeps them.
func stored(links []journal.Link) []store.Record {
	out := make([]store.Record, len(links))
	for i, link := range links {
		out[i] = store.Record{Seq: link.Seq, Body: []byte(link.Body), Hash: link.Hash}
	}
	return out
}
