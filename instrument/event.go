package instrument

import (
	"slices"
	"strconv"
	"sync"
	"time"
)

// Kind says what an [Event] tells.
type Kind int

// The kinds of events.
const (
	Received  Kind = iota + 1 // a line arrived and was read: Reading is set
	Refused                   // a line, or a piece of one, arrived and was not taken: Err says why
	Connected                 // the connection stands; lines may come
	Silent                    // the connection stands, and nothing has come for a while: Err
	Lost                      // there is no connection: Err says why, Retry when the next is tried
)

// String gives the kind in one word.
func (k Kind) String() string {
	names := [...]string{Received: "received", Refused: "refused", Connected: "connected", Silent: "silent", Lost: "lost"}
	if k < Received || int(k) >= len(names) {
		return "kind " + strconv.Itoa(int(k))
	}
	return names[k]
}

// Event is one thing that happened on the way from a meter to this program.
type Event struct {
	Kind    Kind
	Source  string        // the name given in Options
	At      time.Time     // when the end of the line, or the trouble, was seen
	Raw     string        // the line as it came without its ending, or what there is of it
	Reading Reading       // of Received; else zero
	Err     *Error        // of Refused, Silent and Lost; else nil
	Retry   time.Duration // of Lost: how long until the next connection is tried
	Missed  int           // how many events right before this one were given up, since nobody took them
}

// mostWaiting is how many events wait for a slow consumer.
const mostWaiting = 64

// queue is a bounded buffer that never makes the reader of a meter wait: when
// it is full the oldest event is given up, and the next one taken tells how
// many were.
type queue struct {
	mu     sync.Mutex
	some   sync.Cond
	all    []Event
	missed int // given up since the last event was taken
	closed bool
}

func newQueue() *queue {
	q := &queue{}
	q.some.L = &q.mu
	return q
}

func (q *queue) put(e Event) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.all) == mostWaiting {
		q.all = slices.Delete(q.all, 0, 1)
		q.missed++
	}
	q.all = append(q.all, e)
	q.some.Signal()
}

// take waits for an event; ok is false when the queue is closed and empty.
func (q *queue) take() (e Event, ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for len(q.all) == 0 && !q.closed {
		q.some.Wait()
	}
	if len(q.all) == 0 {
		return Event{}, false
	}
	e = q.all[0]
	q.all = slices.Delete(q.all, 0, 1)
	e.Missed, q.missed = q.missed, 0
	return e, true
}

// close ends the queue; what is in it can still be taken.
func (q *queue) close() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.closed = true
	q.some.Broadcast()
}
