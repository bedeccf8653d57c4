package accounts

import (
	"context"
	"sync"
	"time"
)

// sweepEvery is how often what has expired is removed for good.
const sweepEvery = time.Hour

// sweeper knows when that was done last.
type sweeper struct {
	mu   sync.Mutex
	last time.Time
}

// sweep removes what has expired, where that was not done for a while. What it
// cannot do now it does another time.
func (s *Store) sweep(ctx context.Context) {
	now := s.Clock()
	s.swept.mu.Lock()
	due := now.Sub(s.swept.last).Abs() >= sweepEvery
	if due {
		s.swept.last = now
	}
	s.swept.mu.Unlock()
	if due {
		_, _ = s.Vault.Sweep(ctx, now) // room, and nothing else, depends on it
	}
}
