package kit

import (
	"sync"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// PracticeClock is the clock of a practice laboratory: that of the machine, put
// forward by what people put it forward, and never back. How far that is stands
// in the journal, so that it goes on from there after a restart, and is the same
// at every bench of the laboratory.
type PracticeClock struct {
	machine func() time.Time
	mu      sync.Mutex
	ahead   time.Duration
	read    int // how many records there were when they were looked at
}

// NewPracticeClock gives a clock that stands with that of the machine until a
// server opens a practice journal with it.
func NewPracticeClock(machine func() time.Time) *PracticeClock {
	return &PracticeClock{machine: machine}
}

// Now is the time in the practice laboratory.
func (c *PracticeClock) Now() time.Time { return c.machine().Add(c.Ahead()) }

// Ahead is how far the clock was put forward.
func (c *PracticeClock) Ahead() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.ahead
}

// Follow brings the practice clock up to the journal; elsewhere it does nothing.
func (s *Server) Follow() {
	c := s.PracticeClock
	if !s.Practice {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.read == int(s.Lab.Report().Records) {
		return
	}
	var all []journal.Record
	all, c.read = s.Lab.Kept(func(f fact.Fact) bool { _, ok := f.(*fact.Clock); return ok })
	c.ahead = 0
	for _, r := range all {
		if x, ok := r.Fact.(*fact.Clock); ok {
			c.ahead += max(0, x.To.Sub(x.At))
		}
	}
}

// ClockSays says that the clock of the practice laboratory is not that of the
// wall, for every page and every sheet; empty while it is.
func (s *Server) ClockSays() string {
	if !s.Practice || s.PracticeClock.Ahead() == 0 {
		return ""
	}
	return "clock +" + quantity.ShowSpan(quantity.Span(s.PracticeClock.Ahead().Seconds()))
}
