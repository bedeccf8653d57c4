package kit

import (
	"net"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/time/rate"
)

// signInLimiter limits sign-ins from each address: ten at once, then one every six
// seconds. It knows a bounded number of addresses, and forgets those it has
// not seen for longest; each account has its own lock-out beside it.
type signInLimiter struct {
	known *lru.Cache[string, *rate.Limiter]
}

const mostAddresses = 1024

func newSignInLimiter() *signInLimiter { return &signInLimiter{newCache[*rate.Limiter](mostAddresses)} }

// allow tells whether one more try may come from an address. remote is that of
// the connection; behind a proxy it is the proxy's, and all share its limit.
func (a *signInLimiter) allow(remote string, now time.Time) bool {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		host = remote
	}
	limit, known := a.known.Get(host)
	if !known {
		limit = rate.NewLimiter(rate.Every(6*time.Second), 10)
		if first, known, _ := a.known.PeekOrAdd(host, limit); known {
			limit = first
		}
	}
	return limit.AllowN(now, 1)
}
