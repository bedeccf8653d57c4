package web

import (
	"crypto/rand"
	"encoding/base64"
	"io"
	"sync"
)

// nonces remembers which forms were recorded, with what and where their answer
// led, so that a form sent twice is recorded once and answered the same, and
// one that comes back with other content is refused. It holds the last few
// thousand; older ones are refused by the head of the case.
type nonces struct {
	mu    sync.Mutex
	known map[string]*answer
	order []string
}

// answer is that of one nonce: done is closed when it is known. content is what
// the form said, without secrets; to is where its record led, or empty where
// nothing was recorded, and err then says why.
type answer struct {
	done    chan struct{}
	content string
	to      string
	err     error
}

const mostNonces = 4096

// mostNonce is the longest nonce taken, in bytes; ours have 16.
const mostNonce = 64

func newNonces() *nonces { return &nonces{known: map[string]*answer{}} }

// begin takes a nonce. The first to take it gets true, and has to call end;
// all others wait for its answer.
func (n *nonces) begin(key, content string) (*answer, bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if a := n.known[key]; a != nil {
		return a, false
	}
	a := &answer{done: make(chan struct{}), content: content}
	n.known[key] = a
	n.order = append(n.order, key)
	if len(n.order) > mostNonces {
		delete(n.known, n.order[0])
		n.order = n.order[1:]
	}
	return a, true
}

// end gives the answer. Without one the nonce may be used again.
func (n *nonces) end(key string, a *answer, to string, err error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	a.to, a.err = to, err
	if to == "" && n.known[key] == a {
		delete(n.known, key)
	}
	close(a.done)
}

// recorded tells whether the form with a nonce was recorded, and waits for its
// answer while that is being decided.
func (n *nonces) recorded(key string) bool {
	n.mu.Lock()
	a := n.known[key]
	n.mu.Unlock()
	if a == nil {
		return false
	}
	<-a.done
	return a.to != ""
}

// random fills bytes from the source of the configuration. Without randomness
// nothing safe can be said, so the request fails.
func (s *Server) random(out []byte) {
	source := s.Random
	if source == nil {
		source = rand.Reader
	}
	if _, err := io.ReadFull(source, out); err != nil {
		panic("web: no random bytes: " + err.Error())
	}
}

// nonce makes the nonce of a form.
func (s *Server) nonce() string {
	var b [12]byte
	s.random(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:])
}
