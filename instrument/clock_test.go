package instrument

import (
	"context"
	"io"
	"iter"
	"net"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// handClock is a clock moved by hand: its timers wait in a channel until a
// test lets them go off.
type handClock struct {
	mu     sync.Mutex
	now    time.Time
	timers chan handTimer
}

type handTimer struct {
	length time.Duration
	ring   chan time.Time
}

func newHandClock() *handClock {
	return &handClock{now: noon, timers: make(chan handTimer, 1000)}
}

func (c *handClock) clock() Clock { return Clock{Now: c.Now, After: c.After} }

func (c *handClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *handClock) After(d time.Duration) <-chan time.Time {
	t := handTimer{d, make(chan time.Time, 1)}
	c.timers <- t
	return t.ring
}

// advance moves the clock.
func (c *handClock) advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

// next waits for a timer to be set, and refuses one of another length.
func (c *handClock) next(t *testing.T, length time.Duration) handTimer {
	t.Helper()
	timer := <-c.timers
	if timer.length != length {
		t.Fatalf("a timer of %v was set, want %v", timer.length, length)
	}
	return timer
}

// fire moves the clock by the timer's length, and lets it go off.
func (c *handClock) fire(timer handTimer) {
	c.advance(timer.length)
	timer.ring <- c.Now()
}

// noLeaks fails a test that leaves a goroutine behind.
func noLeaks(t *testing.T) {
	t.Helper()
	t.Cleanup(func() { goleak.VerifyNone(t) })
}

// pipes is a Dial whose other ends the test holds.
type pipes struct{ ends chan net.Conn }

func newPipes() *pipes { return &pipes{make(chan net.Conn)} }

func (p *pipes) dial(ctx context.Context) (io.ReadCloser, error) {
	near, far := net.Pipe()
	select {
	case p.ends <- far:
		return near, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// pull makes a function of the events that fails the test at their end. They are taken as
// they come; the context of the test ends them.
func pull(t *testing.T, events iter.Seq[Event]) (next func() Event) {
	t.Helper()
	taken := make(chan Event, 100)
	go func() {
		defer close(taken)
		for e := range events {
			taken <- e
		}
	}()
	t.Cleanup(func() {
		for range taken {
			// until the reading has ended
		}
	})
	return func() Event {
		t.Helper()
		e, ok := <-taken
		if !ok {
			t.Fatal("the events ended")
		}
		return e
	}
}

// expect checks the kind of an event.
func expect(t *testing.T, e Event, kind Kind) Event {
	t.Helper()
	if e.Kind != kind {
		t.Fatalf("%v: %q %v, want %v", e.Kind, e.Raw, e.Err, kind)
	}
	return e
}

// send writes text to a connection that must stand.
func send(t *testing.T, w io.Writer, text string) {
	t.Helper()
	if _, err := io.WriteString(w, text); err != nil {
		t.Fatal(err)
	}
}
