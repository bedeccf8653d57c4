package replica

import (
	"maps"
	"slices"
	"sync"
	"time"

	"vialwright/state"
)

// Event says that a record was appended. It holds who and what, no figure.
type Event struct {
	// Seq is the number of the record, By who made it, Kind the word of its fact.
	Seq      uint64
	By, Kind string
	// Private: what is told of it to others is that it is there.
	Private bool
	groups  []state.Group
}

// waiting is how many events a listener may fall behind: some times as many as
// are appended together. One that falls further is let go, and comes again with
// the number of the last it saw.
const waiting = 4 * mostTogether

// hub hands events to anyone who listens. It never waits for a listener, and who
// recorded something does not wait for it.
type hub struct {
	mu     sync.Mutex
	all    map[*Listener]struct{}
	closed bool

	// news are the events that are to be handed on, in their order; telling is true
	// while somebody does that.
	queue   sync.Mutex
	news    []Event
	telling bool
}

// Listener is one open stream. Its channel is closed when it is let go.
type Listener struct {
	// Events is closed when the listener is let go.
	Events chan Event
	ids    []string
	of     *Replica
}

func newHub() *hub { return &hub{all: map[*Listener]struct{}{}} }

// Listen tells of what is recorded of the groups of some ids, or with none of
// the whole site. It gives nil once the replica is closed.
func (r *Replica) Listen(ids ...string) *Listener {
	r.hub.mu.Lock()
	defer r.hub.mu.Unlock()
	if r.hub.closed {
		return nil
	}
	l := &Listener{Events: make(chan Event, waiting), ids: ids, of: r}
	r.hub.all[l] = struct{}{}
	return l
}

// Listeners is how many there are.
func (r *Replica) Listeners() int {
	r.hub.mu.Lock()
	defer r.hub.mu.Unlock()
	return len(r.hub.all)
}

// More gives what else lies in the channel, without waiting.
func (l *Listener) More() (events []Event) {
	for range len(l.Events) {
		if e, ok := <-l.Events; ok {
			events = append(events, e)
		}
	}
	return events
}

// Leave takes the listener out; leaving twice does nothing.
func (l *Listener) Leave() {
	h := l.of.hub
	h.mu.Lock()
	defer h.mu.Unlock()
	h.drop(l)
}

func (h *hub) drop(l *Listener) {
	if _, there := h.all[l]; there {
		delete(h.all, l)
		close(l.Events)
	}
}

// gathered is how long events wait for others: who recorded one has the answer before
// all streams are written to, and what comes close together is one message to each.
const gathered = 50 * time.Millisecond

// publish has events handed on behind those before them, and returns at once.
func (h *hub) publish(events ...Event) {
	if len(events) == 0 {
		return
	}
	h.queue.Lock()
	defer h.queue.Unlock()
	h.news = append(h.news, events...)
	if !h.telling {
		h.telling = true
		time.AfterFunc(gathered, h.tellAll)
	}
}

// tellAll hands on what there is, and comes again until there is no more.
func (h *hub) tellAll() {
	h.queue.Lock()
	events := h.news
	h.news = nil
	h.telling = len(events) > 0
	h.queue.Unlock()
	if len(events) == 0 {
		return
	}
	h.mu.Lock()
	all := slices.Collect(maps.Keys(h.all)) // who comes later finds them in the journal
	h.mu.Unlock()
	h.tell(events, all)
}

// So many streams are told at once, and the next somewhat later, so that an entry that
// is made just then waits for these few, and not for fifty.
const (
	toldAtOnce = 4
	nextTold   = time.Millisecond
)

// tell hands events on to some listeners, and lets go of who does not keep up.
func (h *hub) tell(events []Event, to []*Listener) {
	h.mu.Lock()
	defer h.mu.Unlock()
	some := min(toldAtOnce, len(to))
	for _, l := range to[:some] {
		for _, e := range events {
			if _, there := h.all[l]; !there || !l.wants(e) {
				continue
			}
			select {
			case l.Events <- e:
			default:
				h.drop(l)
			}
		}
	}
	if to = to[some:]; len(to) > 0 {
		time.AfterFunc(nextTold, func() { h.tell(events, to) })
		return
	}
	time.AfterFunc(gathered, h.tellAll)
}

func (l *Listener) wants(e Event) bool {
	if len(l.ids) == 0 {
		return true
	}
	l.of.mu.RLock()
	defer l.of.mu.RUnlock()
	return l.of.concerns(e, l.ids)
}

// close lets everyone go, for the end of the program.
func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for l := range h.all {
		h.drop(l)
	}
}
