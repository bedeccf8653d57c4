package replica

import (
	"context"
	"slices"
	"strings"
	"sync"

	"vialwright/journal"
	"vialwright/state"
	"vialwright/store"
)

// pending is an entry that waits to be appended.
type pending struct {
	Entry
	ctx     context.Context
	done    chan error // gets the answer, once
	links   []journal.Link
	records []store.Record // the same, as the store keeps them

	behind journal.Head // what the links are sealed behind
	ofSite int          // how many records of no group there were when it was decided on
	site   bool         // one of the links is of the site, on which others may rest
	passed *together    // what last found that it cannot be decided on yet
}

// answer gives the first answer; those behind it go nowhere.
func (p *pending) answer(err error) {
	select {
	case p.done <- err:
	default:
	}
}

// head is that of a journal which ends with its links.
func (p *pending) head() journal.Head { return p.links[len(p.links)-1].Head() }

// queue is the entries that wait, in the order in which they came; before them those that
// were decided on ahead.
type queue struct {
	mu             sync.Mutex
	ahead, waiting []*pending
	came           chan struct{} // holds a token when somebody came
}

func (q *queue) join(p *pending) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.waiting = append(q.waiting, p)
	select {
	case q.came <- struct{}{}:
	default:
	}
}

// leave takes an entry out; false where somebody is appending it or deciding on it.
func (q *queue) leave(p *pending) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, line := range []*[]*pending{&q.ahead, &q.waiting} {
		if i := slices.Index(*line, p); i >= 0 {
			*line = slices.Delete(*line, i, i+1)
			return true
		}
	}
	return false
}

// decided tells whether some were decided on ahead, any whether somebody waits.
func (q *queue) decided() bool { q.mu.Lock(); defer q.mu.Unlock(); return len(q.ahead) > 0 }
func (q *queue) any() bool     { q.mu.Lock(); defer q.mu.Unlock(); return len(q.waiting) > 0 }

// next takes the first entries out that can be decided on together.
func (q *queue) next(t *together) (batch []*pending) {
	q.mu.Lock()
	defer q.mu.Unlock()
	batch, q.waiting = t.choose(slices.Concat(q.ahead, q.waiting))
	q.ahead = nil
	return batch
}

// chained takes the first of those decided on ahead out, as far as they hold.
func (q *queue) chained(holds func(*pending) bool) (batch []*pending) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for len(q.ahead) > len(batch) && holds(q.ahead[len(batch)]) {
		batch = q.ahead[:len(batch)+1]
	}
	q.ahead = q.ahead[len(batch):]
	return slices.Clip(batch)
}

// again gives what of a batch can still be decided on together, since others may have joined
// groups of it; the rest is first in line.
func (q *queue) again(batch []*pending, t *together) []*pending {
	q.mu.Lock()
	defer q.mu.Unlock()
	batch, left := t.choose(batch)
	q.ahead = append(staying(left), q.ahead...)
	return batch
}

// back has some of a batch be first in line.
func (q *queue) back(some []*pending) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.ahead = append(staying(some), q.ahead...)
}

// staying are those who did not leave while they were not in the queue. Who did is answered:
// they wait for nothing else, and may be the last who come.
func staying(all []*pending) (out []*pending) {
	for _, p := range all {
		if err := p.ctx.Err(); err != nil {
			p.answer(err)
			continue
		}
		out = append(out, p)
	}
	return out
}

// first takes the first of those who wait that can be decided on with those before;
// nil for none.
func (q *queue) first(t *together) *pending {
	q.mu.Lock()
	defer q.mu.Unlock()
	for i, p := range q.waiting {
		if p.passed != t && t.takes(p) {
			q.waiting = slices.Delete(q.waiting, i, i+1)
			return p
		}
		p.passed = t
	}
	return nil
}

// keep has one who was decided on ahead wait again, unless they left meanwhile.
func (q *queue) keep(p *pending) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.ahead = append(q.ahead, staying([]*pending{p})...)
}

// mostTogether bounds how many entries are appended at once.
const mostTogether = 64

// together chooses entries that can be decided on without each other, no two of which bear
// on one group, one new id or one form: the second has to be decided on with what the
// first has changed.
type together struct {
	keys  func(*Entry) []any
	taken map[any]bool
	room  int // for how many more
	// some is true where any was looked at, and alone where one of those is of the site.
	some, alone bool
}

func (r *Replica) together() *together {
	return &together{keys: r.keys, taken: map[any]bool{}, room: mostTogether}
}

// choose takes what can be decided on together.
func (t *together) choose(all []*pending) (batch, left []*pending) {
	for _, p := range all {
		if t.takes(p) {
			batch = append(batch, p)
		} else {
			left = append(left, p)
		}
	}
	return batch, left
}

// takes tells whether an entry is chosen. One that is not keeps its place before later ones of
// the same groups.
func (t *together) takes(p *pending) bool {
	free := t.room > 0 && !t.alone && !(p.Site && t.some)
	keys := t.keys(&p.Entry)
	for _, k := range keys {
		free = free && !t.taken[k]
	}
	for _, k := range keys {
		t.taken[k] = true
	}
	t.some, t.alone = true, t.alone || p.Site
	if free {
		t.room--
	}
	return free
}

// keys are the groups of an entry, its ids that have none yet, and its form.
func (r *Replica) keys(e *Entry) []any {
	var out []any
	if e.Form != "" {
		out = append(out, numbered(e.By, e.Form))
	}
	for _, id := range e.IDs {
		if len(r.books.Groups(id)) == 0 {
			out = append(out, strings.ToLower(id)) // two that differ in letter case alone are not both new
		}
	}
	if e.Of > 0 {
		out = append(out, e.Of)
	}
	for _, g := range r.groupsOf(e) {
		out = append(out, g)
	}
	return out
}

// groupsOf are the groups that an entry bears on: those of its ids, and of the entry that
// it corrects, which may have come to others since its page was made.
func (r *Replica) groupsOf(e *Entry) []state.Group {
	groups := r.groupsNamed(e.IDs)
	if 1 <= e.Of && e.Of <= r.books.Len() {
		groups = append(groups, r.books.Home(e.Of)...)
	}
	return groups
}

// fileFor is what an entry is decided on with.
func (r *Replica) fileFor(e *Entry) *File { return r.withAlone(r.of(r.groupsOf(e), e.IDs), e.Of) }

// ahead decides on those who wait while a batch is being stored, and on who comes
// meanwhile, until that has ended, and seals them behind the batch. They bear on none
// of its groups, so that they rest on nothing in it but its last link; whether that
// was stored is seen when they are to be: see holds. Behind one that has a record of the
// site nobody is decided on. The caller has the turn.
func (r *Replica) ahead(batch []*pending, ended <-chan struct{}) {
	t := r.together()
	for _, p := range batch {
		t.takes(p)
	}
	t.room = mostTogether
	for head := batch[len(batch)-1].head(); ; {
		select {
		case <-ended:
			return
		default:
		}
		p := r.queue.first(t)
		if p == nil {
			select {
			case <-ended:
			case <-r.queue.came:
			}
			continue
		}
		if err := r.seal(p, head); err == nil && len(p.links) > 0 { // else in its turn once more
			head, t.alone = p.head(), p.site
		}
		r.queue.keep(p)
	}
}

// holds tells of an entry that was decided on ahead whether that has come true: it stands
// behind this head, and nothing of the site was recorded since.
func (r *Replica) holds(p *pending, head journal.Head) bool {
	return len(p.links) > 0 && p.behind == head && p.ofSite == r.books.OfSite() && p.ctx.Err() == nil
}

// following takes out the first of those that were decided on ahead who stand behind a stored
// batch that is not in the books yet, and would as well if it were.
func (r *Replica) following(w *inStore) []*pending {
	if w == nil || w.checked.err != nil || slices.ContainsFunc(w.checked.records, func(rec journal.Record) bool { return !r.books.Grouped(rec.Fact) }) {
		return nil
	}
	head := w.checked.verify.Report().Head
	return r.queue.chained(func(p *pending) bool {
		holds := r.holds(p, head)
		if holds {
			head = p.head()
		}
		return holds
	})
}
