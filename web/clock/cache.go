package clock

import (
	"fmt"
	"sync"
	"sync/atomic"

	lru "github.com/hashicorp/golang-lru/v2"

	"vialwright/settling"
)

// Cache keeps what the settling model said of the vials that were looked at
// last, since it takes some milliseconds and the answer stays the same from
// one resuspension to the next. What holds with 95 % probability takes a second; it
// is worked out beside, one vial at a time, and is there when it is.
type Cache struct {
	trials int
	known  *lru.Cache[string, *cachedClock]

	mu   sync.Mutex
	done bool
	work sync.Mutex
	busy sync.WaitGroup
}

// cachedClock is one vial with one draw.
type cachedClock struct {
	once  sync.Once
	clock settling.Clock
	err   error
	safe  atomic.Pointer[settling.Spread]
}

// mostSettled vials are kept: a day has a few, each with a handful of volumes.
const mostSettled = 64

// NewCache makes one that works out, with so many trials, what holds with 95 %
// probability; 0 for the best estimate alone.
func NewCache(trials int) *Cache {
	known, err := lru.New[string, *cachedClock](mostSettled)
	if err != nil {
		panic("settled: " + err.Error()) // of a size below 1 alone
	}
	return &Cache{trials: trials, known: known}
}

// get gives the clock of a vial, worked out now or before.
func (s *Cache) get(c settling.Case) (settling.Clock, error) {
	v := s.vial(fmt.Sprint(c))
	v.once.Do(func() {
		if v.clock, v.err = settling.NewClock(c); v.err == nil {
			s.start(v, c)
		}
	})
	k := v.clock
	if safe := v.safe.Load(); safe != nil {
		k.Safe, k.Spread = safe.Safe, true
	}
	return k, v.err
}

func (s *Cache) vial(key string) *cachedClock {
	v := &cachedClock{}
	if old, known, _ := s.known.PeekOrAdd(key, v); known {
		return old
	}
	return v
}

// settlingSeed makes the trials repeatable: the same vial gets the same answer,
// and the one that the program gives without a bench.
const settlingSeed = 1

// start works out in how long the window closes with 95 % probability.
func (s *Cache) start(v *cachedClock, c settling.Case) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done || s.trials == 0 {
		return
	}
	s.busy.Go(func() {
		s.work.Lock()
		defer s.work.Unlock()
		s.mu.Lock()
		done := s.done
		s.mu.Unlock()
		if done {
			return
		}
		// Without it, such as where the inputs lie at the edge of the model,
		// the best estimate stays, and is called that.
		if spread, err := settling.MonteCarlo(c, s.trials, settlingSeed); err == nil {
			v.safe.Store(&spread)
		}
	})
}

// Close lets what is being worked out end, and begins nothing more.
func (s *Cache) Close() {
	s.mu.Lock()
	s.done = true
	s.mu.Unlock()
	s.busy.Wait()
}
