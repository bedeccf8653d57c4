package web

import (
	"context"
	"errors"
	"slices"
	"sync"

	"vialwright/identity"
	"vialwright/journal"
	"vialwright/store"
)

// lab is the journal in memory: every record was verified as it came. It is
// appended to behind the head it has read, and reads on when another bench was
// first. It may be used by many goroutines.
type lab struct {
	log   store.Log
	zones journal.Zones
	hub   *hub

	// turn holds one token while somebody appends or reads on, also while the
	// store is at work. What is below changes in a turn and under mu: who has
	// the turn may read it, and a page waits for no disk.
	turn chan struct{}
	line line // who waits for a turn to append

	mu     sync.RWMutex
	moved  chan struct{} // closed when something was taken
	verify journal.Verifier
	cases  map[string]*file
	labels map[identity.Serial]printed
	names  []string // in the order in which they were opened
	broken error    // the first fault of the journal; nothing is taken after it
}

// file is one case as it was read: its records and where each stands in the
// journal. A file that was given out never changes.
type file struct {
	Name    string
	Records []journal.Record
	// Links are the links of the records, without their bodies.
	Links []journal.Link
}

// Last is the number of the newest record of the case, 0 for none.
func (f *file) Last() uint64 {
	if len(f.Links) == 0 {
		return 0
	}
	return f.Links[len(f.Links)-1].Seq
}

// Facts are the facts of the records, in their order.
func (f *file) Facts() []journal.Fact {
	out := make([]journal.Fact, len(f.Records))
	for i, r := range f.Records {
		out[i] = r.Fact
	}
	return out
}

// Entries are the entries of the case as their last corrections have them.
func (f *file) Entries() []journal.Entry { return journal.Entries(f.Records) }

// Entry gives an entry by its number; false where there is none.
func (f *file) Entry(number int) (journal.Entry, bool) {
	e, ok := journal.Find(f.Entries(), number)
	if !ok {
		return journal.Entry{}, false
	}
	return *e, true
}

// MovedError refuses an append because others have recorded something in the
// case since the page was made. Nothing was stored.
type MovedError struct{ Since []journal.Record }

// Error says that the case has moved.
func (*MovedError) Error() string {
	return "something was recorded in this case meanwhile"
}

// openLab reads the whole journal and verifies it. A journal that does not
// hold is opened all the same, so that it can be looked at; nothing is
// appended to it, and Broken says why.
func openLab(ctx context.Context, log store.Log, zones journal.Zones) (*lab, error) {
	l := &lab{log: log, zones: zones, hub: newHub(), cases: map[string]*file{}, labels: map[identity.Serial]printed{}, turn: make(chan struct{}, 1), moved: make(chan struct{})}
	_, err := l.readOn(ctx)
	if _, broken := errors.AsType[*journal.BrokenLink](err); broken {
		return l, nil
	}
	return l, err
}

// readOn takes what the log has beyond the head, and gives it. The caller
// has the turn.
func (l *lab) readOn(ctx context.Context) ([]event, error) {
	if l.broken != nil {
		return nil, l.broken
	}
	var news []event
	var links []journal.Link
	take := func() error {
		events, err := l.take(links)
		news, links = append(news, events...), links[:0]
		return err
	}
	for r, err := range l.log.Read(ctx, l.verify.Report().Head.Seq+1, store.All) {
		if err != nil {
			return news, errors.Join(err, take())
		}
		links = append(links, journal.Link{Seq: r.Seq, Hash: r.Hash, Body: string(r.Body)})
		if len(links) == mostAtOnce {
			if err := take(); err != nil {
				return news, err
			}
		}
	}
	err := take()
	return news, err
}

// mostAtOnce bounds what is held twice while a long journal is read.
const mostAtOnce = 1000

// take verifies links and puts their records to their cases, so that what was
// recorded together is seen together; one that does not hold breaks the
// journal. A case is copied, since readers hold the one before; its slices
// grow behind what they see. The caller has the turn.
func (l *lab) take(links []journal.Link) ([]event, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	var news []event
	for _, link := range links {
		rec, err := l.verify.Add(link)
		if err != nil {
			l.broken = err
			return news, err
		}
		old := l.cases[rec.Case]
		if old == nil {
			old = &file{Name: rec.Case}
			l.names = append(l.names, rec.Case)
		}
		if x, ok := rec.Fact.(*journal.Label); ok {
			if _, twice := l.labels[x.Serial]; !twice {
				l.labels[x.Serial] = printed{rec.Case, x}
			}
		}
		link.Body = ""
		l.cases[rec.Case] = &file{old.Name, append(old.Records, rec), append(old.Links, link)}
		news = append(news, event{link.Seq, rec.Case, rec.By, rec.Fact.Kind()})
	}
	close(l.moved)
	l.moved = make(chan struct{})
	return news, nil
}

// CatchUp reads what other benches have appended, and tells who listens.
func (l *lab) CatchUp(ctx context.Context) error {
	head, err := l.log.Head(ctx)
	if err != nil {
		return err
	}
	for {
		l.mu.RLock()
		here, broken, moved := storeHead(l.verify.Report().Head), l.broken, l.moved
		l.mu.RUnlock()
		if here == head || here.Seq > head.Seq || broken != nil {
			return broken
		}
		select {
		case l.turn <- struct{}{}:
			news, err := l.readOn(ctx)
			l.hub.publish(news...)
			<-l.turn
			return err
		case <-moved: // what was found may be what an append of ours has just stored
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func storeHead(h journal.Head) store.Head { return store.Head{Seq: h.Seq, Hash: h.Hash} }

// Case gives a case as it is; false where there is none of that name.
func (l *lab) Case(name string) (*file, bool) {
	l.mu.RLock()
	defer l.mu.RUnlock()
	f, ok := l.cases[name]
	return f, ok
}

// printed is a label as it was recorded, and the case it is in.
type printed struct {
	name  string
	label *journal.Label
}

// Label finds the label with a serial, and its case as it is; false where no
// record holds one.
func (l *lab) Label(serial identity.Serial) (*file, *journal.Label, bool) {
	l.mu.RLock()
	defer l.mu.RUnlock()
	p, ok := l.labels[serial]
	return l.cases[p.name], p.label, ok
}

// Cases gives all cases, the newest first.
func (l *lab) Cases() []*file {
	l.mu.RLock()
	defer l.mu.RUnlock()
	out := make([]*file, 0, len(l.names))
	for _, name := range slices.Backward(l.names) {
		out = append(out, l.cases[name])
	}
	return out
}

// Report says what the journal holds, as far as it was verified.
func (l *lab) Report() journal.Report {
	l.mu.RLock()
	defer l.mu.RUnlock()
	return l.verify.Report()
}

// Broken is the first fault of the journal, nil where it holds.
func (l *lab) Broken() error {
	l.mu.RLock()
	defer l.mu.RUnlock()
	return l.broken
}

// decided asks for the records of an entry, with its case as it is. The caller
// has the turn.
func (l *lab) decided(name string, behind uint64, decide func(*file) ([]journal.Record, error)) ([]journal.Record, error) {
	f := l.cases[name]
	if f == nil {
		f = &file{Name: name}
	}
	if f.Last() != behind {
		moved := &MovedError{}
		for i, link := range f.Links {
			if link.Seq > behind {
				moved.Since = append(moved.Since, f.Records[i])
			}
		}
		if !onlyBeside(moved.Since) {
			return nil, moved
		}
	}
	return decide(f)
}

// onlyBeside tells that nothing was recorded that a form rests on: near misses,
// and the shaking of vials, which is looked up when it is recorded.
func onlyBeside(since []journal.Record) bool {
	for _, r := range since {
		switch r.Fact.(type) {
		case *journal.Agitate, *journal.NearMiss:
		default:
			return false
		}
	}
	return len(since) > 0
}

// since gives what was recorded after a number, for one case or, where name is
// empty, for all.
func (l *lab) since(name string, seq uint64) []event {
	l.mu.RLock()
	defer l.mu.RUnlock()
	var out []event
	for _, f := range l.cases {
		if name != "" && f.Name != name {
			continue
		}
		for i, link := range slices.Backward(f.Links) {
			if link.Seq <= seq {
				break
			}
			out = append(out, event{link.Seq, f.Name, f.Records[i].By, f.Records[i].Fact.Kind()})
		}
	}
	slices.SortFunc(out, func(a, b event) int {
		if a.seq < b.seq {
			return -1
		}
		return 1
	})
	return out
}
