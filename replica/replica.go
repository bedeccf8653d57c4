package replica

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/pack"
	"vialwright/people"
	"vialwright/state"
	"vialwright/store"
)

// Replica is a journal in memory. It may be used by many goroutines.
type Replica struct {
	log  store.Log
	salt func() journal.Salt
	room pack.Room // for what is held of all years; nil for none
	hub  *hub

	// turn holds one token while somebody appends or reads on, also while the
	// store is at work. What is below changes in a turn and under mu: who has
	// the turn may read it, and a page waits for no disk.
	turn  chan struct{}
	queue queue
	// several tells, to who has the turn, that more than one had their answer with the last batch.
	several bool

	mu     sync.RWMutex
	moved  chan struct{} // closed when something was taken
	verify journal.Verifier
	books  *state.Books
	chain  chain
	labels pack.Index // by serial, the record of it
	// received are the numbers of the receipts of vials, by id in capitals and by
	// what stands on the pack.
	received pack.Index
	forms    map[form]sent // the records that forms of the last days were recorded as
	broken   error         // the first fault of the journal; nothing is taken after it
	witness  Witness       // nil where nobody is asked
	trouble  *trouble
	// behindIt is the verification that goes on behind the pages; nil for none.
	behindIt atomic.Pointer[behindIt]
	open     openGroups
}

// form is what a person sent once, by what numbers it.
type form struct{ by, number string }

// sent is the record that a form was recorded as, with its whole mark.
type sent struct {
	n    int
	mark string
	at   time.Time
}

// A form comes again within a day or never; so many are remembered before the
// older ones are let go.
const (
	sentFor  = 48 * time.Hour
	mostSent = 1 << 15
)

func (r *Replica) remember(rec journal.Record) {
	if len(r.forms) >= mostSent {
		maps.DeleteFunc(r.forms, func(_ form, s sent) bool { return rec.Recorded.Sub(s.at) > sentFor })
	}
	key := numbered(rec.By, rec.Form)
	if _, before := r.forms[key]; before {
		return // one form may have made several records, and is the first of them
	}
	r.forms[key] = sent{rec.N, strings.Clone(rec.Form), rec.Recorded}
}

// Open reads the whole journal and verifies it. A journal that does not hold is
// opened all the same, so that it can be looked at; nothing is appended to it,
// and Broken says why. What is held of all years lies in a room; nil for none.
func Open(ctx context.Context, log store.Log, salt func() journal.Salt, room pack.Room) (*Replica, error) {
	r := empty(log, salt, room)
	_, err := r.readOn(ctx, false)
	if _, broken := errors.AsType[*journal.BrokenLink](err); broken {
		return r, nil
	}
	return r, err
}

// empty is a replica that has read nothing yet.
func empty(log store.Log, salt func() journal.Salt, room pack.Room) *Replica {
	r := &Replica{
		log: log, salt: salt, room: room, hub: newHub(), turn: make(chan struct{}, 1), queue: queue{came: make(chan struct{}, 1)}, moved: make(chan struct{}),
		forms: map[form]sent{},
	}
	r.books = state.Over(r.reread, room)
	r.chain.each.Room = room
	r.labels.In(room)
	r.received.In(room)
	return r
}

// Close lets everyone who listens go.
func (r *Replica) Close() { r.hub.close() }

// Receipts gives the entries that received a vial, by its id in whatever letters
// or by what stands on its pack, as their last corrections have them.
func (r *Replica) Receipts(text string) (out []fold.Entry) {
	r.mu.RLock()
	numbers := append(r.received.Get(strings.ToUpper(text)), r.received.Get(text)...)
	r.mu.RUnlock()
	slices.Sort(numbers)
	for _, n := range slices.Compact(numbers) {
		if e, ok := r.FileOf(n).Entry(n); ok {
			out = append(out, e)
		}
	}
	return out
}

// event is what is told of a record. The caller may read the books.
func (r *Replica) event(rec journal.Record) Event {
	groups := append(r.books.Home(rec.N), r.books.SamePatient(rec.N)...)
	return Event{Seq: uint64(rec.N), By: rec.By, Kind: fact.Word(rec.Fact), Private: fact.Private(rec.Fact), groups: groups}
}

func storeHead(h journal.Head) store.Head { return store.Head{Seq: h.Seq, Hash: h.Hash} }

// reading asks for one thing under the lock of those who look.
func reading[T any](r *Replica, ask func() T) T {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return ask()
}

// Report says what the journal holds, as far as it was verified.
func (r *Replica) Report() journal.Report {
	return reading(r, func() journal.Report { return r.verify.Report() })
}

// Broken is the first fault of the journal, nil where it holds.
func (r *Replica) Broken() error { return reading(r, func() error { return r.broken }) }

// Hash is that of a record by its number; zero where there is none.
func (r *Replica) Hash(n int) journal.Hash {
	return reading(r, func() journal.Hash { return r.hash(n) })
}

// Used gives the record that first used the id of an order or a container;
// false for an id that is free.
func (r *Replica) Used(id string) (journal.Record, bool) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return r.books.Record(r.books.Used(id))
}

// OrderPlace is the place of an order among all of the site, from 1; 0 for no
// order.
func (r *Replica) OrderPlace(id string) int {
	return reading(r, func() int { return r.books.OrderPlace(id) })
}

// Free is the first id of a letter and a number that nothing of the site ever had.
func (r *Replica) Free(letter string) string {
	return reading(r, func() string { return r.books.Free(letter) })
}

// Orders is how many orders the site has had.
func (r *Replica) Orders() int { return reading(r, r.books.Orders) }

// People has ask look at the accounts as the entries have made them. They do not
// change until it returns, and are not to be looked at after that.
func (r *Replica) People(ask func(*people.Directory)) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	ask(r.books.People())
}

// File gives the records of the groups of orders and containers with the
// settings; with no id, or with ids that were never used, the settings alone.
func (r *Replica) File(ids ...string) *File {
	return reading(r, func() *File { return r.file(ids...) })
}

func (r *Replica) file(ids ...string) *File { return r.of(r.groupsNamed(ids), ids) }

// of is a file with what of its patients is elsewhere.
func (r *Replica) of(groups []state.Group, ids []string) *File {
	f := r.own(groups, ids)
	f.Elsewhere = r.books.Elsewhere(groups, f.Records)
	return f
}

func (r *Replica) own(groups []state.Group, ids []string) *File {
	f := &File{Records: r.books.Records(groups, ids...), IDs: ids, Taken: uint64(r.books.Len())}
	for _, g := range groups {
		f.Newest = max(f.Newest, uint64(g.Newest()))
	}
	if len(ids) == 0 && len(f.Records) > 0 {
		f.Newest = uint64(f.Records[len(f.Records)-1].N)
	}
	return f
}

// With is a file with further records, such as those about to be appended, and with the orders
// of the patients that these name.
func (r *Replica) With(f *File, records ...journal.Record) *File {
	r.mu.RLock()
	defer r.mu.RUnlock()
	out := f.With(records...)
	out.Elsewhere = r.books.Elsewhere(r.groupsNamed(f.IDs), out.Records)
	return out
}

func (r *Replica) groupsNamed(ids []string) (groups []state.Group) {
	for _, id := range ids {
		groups = append(groups, r.books.Groups(id)...)
	}
	return groups
}

// Label gives the label with a serial, as it was printed.
func (r *Replica) Label(serial string) (*fact.Label, bool) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	numbers := r.labels.Get(serial)
	if len(numbers) == 0 {
		return nil, false
	}
	rec, ok := r.books.Record(numbers[len(numbers)-1])
	l, ok2 := rec.Fact.(*fact.Label)
	return l, ok && ok2
}

// FileOf gives the groups that hold a record, with the settings.
func (r *Replica) FileOf(n int) *File {
	r.mu.RLock()
	defer r.mu.RUnlock()
	if n < 1 || n > r.books.Len() {
		return r.of(nil, nil)
	}
	groups := r.books.Home(n)
	var ids []string
	for _, g := range groups {
		ids = append(ids, g.IDs()...)
	}
	return r.withAlone(r.of(groups, ids), n)
}

// withAlone is a file with a record that may be of no group, and its corrections.
func (r *Replica) withAlone(f *File, n int) *File {
	alone := r.books.Alone(n)
	if len(alone) == 0 {
		return f
	}
	f = f.With(alone...)
	slices.SortFunc(f.Records, func(a, b journal.Record) int { return a.N - b.N })
	f.Records = slices.CompactFunc(f.Records, func(a, b journal.Record) bool { return a.N == b.N })
	return f
}

// ChangedSince gives the records of each group that one of the next records after a
// number touched, with its settings, and the number of the last of those: most of
// them at a time, and who records something waits for one group at most.
func (r *Replica) ChangedSince(n, most int) (groups [][]journal.Record, upTo int) {
	changed, upTo := r.touchedSince(n, most)
	for _, g := range changed {
		if records := r.recordsOf(g); records != nil {
			groups = append(groups, records)
		}
	}
	return groups, upTo
}

func (r *Replica) touchedSince(n, most int) (groups []state.Group, upTo int) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	changed := map[state.Group]bool{}
	upTo = min(n+most, r.books.Len())
	for k := n + 1; k <= upTo; k++ {
		for _, g := range r.books.Home(k) {
			changed[g] = true
		}
	}
	return slices.SortedFunc(maps.Keys(changed), state.Group.Compare), upTo
}

// recordsOf gives the records of a group, with its settings; none of one that has become
// part of another, which a later record has done.
func (r *Replica) recordsOf(g state.Group) []journal.Record {
	r.mu.RLock()
	defer r.mu.RUnlock()
	if g.Joined() {
		return nil
	}
	return r.books.Records([]state.Group{g})
}

// Bins are the ids of the waste items, sorted.
func (r *Replica) Bins() []string { return reading(r, r.books.Bins) }

// FilesOf gives a file for each group that holds one of some records.
func (r *Replica) FilesOf(numbers []int) []*File {
	r.mu.RLock()
	defer r.mu.RUnlock()
	seen := map[state.Group]bool{}
	var out []*File
	for _, n := range numbers {
		for _, g := range r.books.Home(n) {
			if !seen[g] {
				seen[g] = true
				out = append(out, r.of([]state.Group{g}, g.IDs()))
			}
		}
	}
	return out
}

// First gives the first record, which says what the journal is; false for an
// empty one.
func (r *Replica) First() (journal.Record, bool) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return r.books.Record(1)
}

// Last gives the newest records, at most so many, in their order.
func (r *Replica) Last(most int) []journal.Record {
	return reading(r, func() []journal.Record { return r.books.Last(most) })
}

// RecordedIn gives what was recorded from one time to another, at most so many records.
func (r *Replica) RecordedIn(from, to time.Time, most int) []journal.Record {
	return reading(r, func() []journal.Record { return r.books.RecordedIn(from, to, most) })
}

// Kept gives the records of kinds that are looked for in all years, such as
// exposures, with their corrections, and the number of the newest record of all. is is
// asked for kinds alone, with a blank fact of each.
func (r *Replica) Kept(is func(fact.Fact) bool) ([]journal.Record, int) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	return r.books.Kept(is), r.books.Len()
}

// Groups gives a file for each group, in the order of their first records.
func (r *Replica) Groups() []*File {
	return r.groups(r.of, func(state.Group) bool { return true })
}

// GroupsSince are those of the laboratory, and not of a drill, that a record touched at a
// time or later, without what of their patients is elsewhere.
func (r *Replica) GroupsSince(since time.Time) []*File {
	return r.groups(r.own, func(g state.Group) bool { return !g.Touched().Before(since) && g.Drill() == "" })
}

func (r *Replica) groups(file func([]state.Group, []string) *File, want func(state.Group) bool) (out []*File) {
	r.mu.RLock()
	defer r.mu.RUnlock()
	for _, g := range r.books.All() {
		if want(g) {
			out = append(out, file([]state.Group{g}, g.IDs()))
		}
	}
	return out
}

// Since gives what was recorded after a number, of the groups of some ids or,
// with none, of the whole site.
func (r *Replica) Since(seq uint64, ids ...string) []Event {
	r.mu.RLock()
	defer r.mu.RUnlock()
	var out []Event
	for _, rec := range r.books.Last(r.books.Len() - int(min(seq, uint64(r.books.Len())))) {
		if e := r.event(rec); r.concerns(e, ids) {
			out = append(out, e)
		}
	}
	return out
}

// concerns tells whether an event is of the groups of some ids. What is of no
// group concerns everyone; what is of any container concerns an order that
// nothing was drawn for, since it can be drawn from there.
func (r *Replica) concerns(e Event, ids []string) bool {
	if len(ids) == 0 || len(e.groups) == 0 {
		return true
	}
	return slices.ContainsFunc(ids, func(id string) bool {
		own := r.books.Groups(id)
		of := func(g state.Group) bool { return slices.Contains(own, g) }
		if !slices.ContainsFunc(own, r.books.HasStock) {
			of = func(g state.Group) bool { return slices.Contains(own, g) || r.books.HasStock(g) }
		}
		return slices.ContainsFunc(e.groups, of)
	})
}
