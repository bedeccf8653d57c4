package web

import "sync"

// event says that a record was appended.
type event struct {
	seq            uint64
	name, by, kind string
}

// waiting is how many events a listener may fall behind: some times as many as
// are appended together. One that falls further is let go, and comes again with
// the number of the last it saw.
const waiting = 4 * mostTogether

// hub hands events to whoever listens. It never waits for a listener.
type hub struct {
	mu     sync.Mutex
	all    map[*listener]struct{}
	closed bool
}

// listener is one open stream. events is closed when it was let go.
type listener struct {
	events chan event
	name   string // the case it listens to, empty for all
}

func newHub() *hub { return &hub{all: map[*listener]struct{}{}} }

// listen adds a listener; nil once the hub is closed.
func (h *hub) listen(name string) *listener {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil
	}
	l := &listener{make(chan event, waiting), name}
	h.all[l] = struct{}{}
	return l
}

// more gives what else lies in the channel of a listener, without waiting.
func (l *listener) more() (events []event) {
	for range len(l.events) {
		if e, ok := <-l.events; ok {
			events = append(events, e)
		}
	}
	return events
}

// leave takes a listener out; leaving twice does nothing.
func (h *hub) leave(l *listener) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.drop(l)
}

func (h *hub) drop(l *listener) {
	if _, there := h.all[l]; there {
		delete(h.all, l)
		close(l.events)
	}
}

// publish hands events on, and lets go of who does not keep up.
func (h *hub) publish(events ...event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, e := range events {
		for l := range h.all {
			if l.name != "" && l.name != e.name {
				continue
			}
			select {
			case l.events <- e:
			default:
				h.drop(l)
			}
		}
	}
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

func (h *hub) count() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.all)
}
