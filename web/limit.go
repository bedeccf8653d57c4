package web

import (
	"net"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// addresses limits sign-ins from each address: ten at once, then one every six
// seconds. It knows a bounded number of addresses, and forgets those it has
// not seen for longest; each account has its own lock-out beside it.
type addresses struct {
	mu    sync.Mutex
	known map[string]*address
}

type address struct {
	limit *rate.Limiter
	seen  time.Time
}

const mostAddresses = 1024

func newAddresses() *addresses { return &addresses{known: map[string]*address{}} }

// allow tells whether one more try may come from an address. remote is that of
// the connection; behind a proxy it is the proxy's, and all share its limit.
func (a *addresses) allow(remote string, now time.Time) bool {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		host = remote
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	x := a.known[host]
	if x == nil {
		if len(a.known) >= mostAddresses {
			a.forget()
		}
		x = &address{limit: rate.NewLimiter(rate.Every(6*time.Second), 10)}
		a.known[host] = x
	}
	x.seen = now
	return x.limit.AllowN(now, 1)
}

func (a *addresses) forget() {
	oldest := ""
	for host, x := range a.known {
		if oldest == "" || x.seen.Before(a.known[oldest].seen) || x.seen.Equal(a.known[oldest].seen) && host < oldest {
			oldest = host
		}
	}
	delete(a.known, oldest)
}
