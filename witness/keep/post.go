package keep

import (
	"context"
	"sync"
	"time"

	"vialwright/witness"
)

// letter is a note on its way to a place.
type letter struct {
	note witness.Note
	data []byte
}

// post brings notes to one place, in their order, and holds up nobody.
type post struct {
	place  place
	clock  func() time.Time
	wake   chan struct{} // has room for one
	last   chan struct{} // closed when no more will come
	ctx    context.Context
	cancel context.CancelFunc

	mu      sync.Mutex
	waiting []letter
	state   witness.Standing
	trying  time.Time // when the attempt under way began
}

// A place is tried again after a minute. So many notes wait for it; the newest
// covers those before, which only tell more closely when something happened.
const (
	again       = time.Minute
	mostWaiting = 1000
	slow        = 30 * time.Second
)

func newPost(p place, clock func() time.Time) *post {
	ctx, cancel := context.WithCancel(context.Background())
	return &post{place: p, clock: clock, wake: make(chan struct{}, 1), last: make(chan struct{}), ctx: ctx, cancel: cancel, state: witness.Standing{Place: p.name()}}
}

// has takes note of what was found at the place.
func (p *post) has(t witness.Told) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if t.Place == p.state.Place && t.Signed && t.Note.Head.Seq >= p.state.Last.Head.Seq {
		p.state.Last = t.Note
	}
}

func (p *post) send(l letter) {
	p.mu.Lock()
	if len(p.waiting) == mostWaiting {
		p.waiting = p.waiting[1:]
	}
	p.waiting = append(p.waiting, l)
	p.mu.Unlock()
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// run sends until no more will come and all is sent, or it is cancelled.
func (p *post) run() {
	retry := time.NewTimer(again)
	defer retry.Stop()
	ending := p.last
	for {
		sent := p.sendAll()
		if ending == nil {
			return
		}
		if !sent {
			retry.Reset(again)
		}
		select {
		case <-p.wake:
		case <-retry.C:
		case <-ending:
			ending = nil // once more, and then it ends
		case <-p.ctx.Done():
			return
		}
	}
}

// sendAll sends what waits, up to the first that is not taken.
func (p *post) sendAll() bool {
	for {
		p.mu.Lock()
		if len(p.waiting) == 0 {
			p.mu.Unlock()
			return true
		}
		l := p.waiting[0]
		p.trying = p.clock()
		p.mu.Unlock()
		ctx, cancel := context.WithTimeout(p.ctx, slow)
		err := p.place.put(ctx, l.note, l.data)
		cancel()
		p.mu.Lock()
		began := p.trying
		p.trying = time.Time{}
		if err != nil {
			if p.state.Since.IsZero() {
				p.state.Since = began
			}
			p.state.Why = err.Error()
			p.mu.Unlock()
			return false
		}
		p.state.Since, p.state.Why, p.state.Last = time.Time{}, "", l.note
		if len(p.waiting) > 0 && p.waiting[0].note == l.note {
			p.waiting = p.waiting[1:]
		}
		p.mu.Unlock()
	}
}

// standing says how the place does.
func (p *post) standing() witness.Standing {
	p.mu.Lock()
	defer p.mu.Unlock()
	s := p.state
	s.Waiting = len(p.waiting)
	if s.Since.IsZero() && !p.trying.IsZero() && p.clock().Sub(p.trying) > slow {
		s.Since, s.Why = p.trying, "it does not answer"
	}
	return s
}
