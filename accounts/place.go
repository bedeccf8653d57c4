package accounts

import (
	"context"
	"encoding/hex"
	"net"
	"net/netip"
	"sync"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/time/rate"

	"vialwright/people"
	"vialwright/store/vault"
)

// BrowserFor is how long a browser is known after an account was signed in from it.
const BrowserFor = 90 * 24 * time.Hour

// Place is where a try comes from.
type Place struct {
	// Remote is the address of the connection, with or without its port.
	Remote string
	// Browser is the hash of the token that a browser keeps for itself; zero for none.
	Browser [32]byte
	// Session is the hash of the token of the session in which an own PIN is typed,
	// zero elsewhere; Beside the person on whose form another types theirs, empty
	// elsewhere.
	Session [32]byte
	Beside  string
}

// address is what is taken together of an address: of IPv6, where one machine has
// as many as it likes, the network.
func (p Place) address() string {
	host, _, err := net.SplitHostPort(p.Remote)
	if err != nil {
		host = p.Remote
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return host
	}
	if ip = ip.Unmap(); ip.Is6() {
		if net64, err := ip.WithZone("").Prefix(64); err == nil {
			return net64.String()
		}
	}
	return ip.String()
}

// browserKey is the key under which a browser is known for an account.
func browserKey(id string, hash [32]byte) string {
	return "browser\n" + id + "\n" + hex.EncodeToString(hash[:])
}

// knows tells that an account was signed in from the browser of a place.
func (s *Store) knows(ctx context.Context, id string, at Place) (bool, error) {
	if at.Browser == [32]byte{} {
		return false, nil
	}
	var since time.Time
	version, err := s.get(ctx, vault.Sessions, browserKey(id, at.Browser), &since)
	return version > 0 && !since.IsZero(), err
}

// remember keeps that an account was signed in from a browser.
func (s *Store) remember(ctx context.Context, id string, at Place) error {
	if at.Browser == [32]byte{} {
		return nil
	}
	now := s.Clock()
	return s.put(ctx, vault.Sessions, browserKey(id, at.Browser), vault.Any, now.Add(BrowserFor), now)
}

// name is the place under which failures of an account are counted.
func (p Place) name(known bool) string {
	switch {
	case p.Beside != "":
		return "beside " + p.Beside
	case p.Session != [32]byte{}:
		return "session " + hex.EncodeToString(p.Session[:8])
	case known:
		return "browser " + hex.EncodeToString(p.Browser[:8])
	}
	return "address " + p.address()
}

// addresses counts the sign-ins that failed from each address. It knows a bounded
// number of addresses, and forgets those it has not seen for longest.
type addresses struct {
	mu    *sync.Mutex
	known *lru.Cache[string, *rate.Limiter]
}

const (
	mostAddresses = 1024
	// MostAtOnce is how many sign-ins may fail from one address before the next has
	// to wait.
	MostAtOnce = 20
)

func newAddresses() addresses {
	c, err := lru.New[string, *rate.Limiter](mostAddresses)
	if err != nil {
		panic("accounts: " + err.Error()) // of a size below 1 alone
	}
	return addresses{new(sync.Mutex), c}
}

func (a addresses) of(address string) *rate.Limiter {
	a.mu.Lock()
	defer a.mu.Unlock()
	limit, known := a.known.Get(address)
	if !known {
		limit = rate.NewLimiter(rate.Every(6*time.Second), MostAtOnce)
		a.known.Add(address, limit)
	}
	return limit
}

// Held refuses where too many tries failed from one place, whatever they were for:
// from an address, or by a person on whose forms others type their PINs.
func (s *Store) Held(at Place) error {
	if s.addresses.of(at.name(false)).TokensAt(s.Clock()) >= 1 {
		return nil
	}
	return &people.Error{Code: people.CodeWait, Msg: "there were too many wrong tries from here", Hint: "try again in a minute, or sign in from a browser that you used before"}
}

// Failed counts one that failed, for Held.
func (s *Store) Failed(at Place) { s.addresses.of(at.name(false)).AllowN(s.Clock(), 1) }
