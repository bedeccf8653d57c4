package kit

import (
	"encoding/base64"
	"io"
	"net/http"
	"strings"

	lru "github.com/hashicorp/golang-lru/v2"
)

// nonces remembers which forms were recorded, with what and where their answer
// led, so that a form sent twice is recorded once and answered the same, and
// one that comes back with other content is refused. It holds the last few
// thousand; older ones are refused by the head of the case.
type nonces struct{ known *lru.Cache[string, *answer] }

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

// mostNonce is the longest nonce taken, in bytes; ours have 17 and an id.
const mostNonce = 64

func newNonces() *nonces {
	c, err := lru.New[string, *answer](mostNonces)
	if err != nil {
		panic("web: " + err.Error()) // of a size below 1 alone
	}
	return &nonces{c}
}

// begin takes a nonce. The first to take it gets true, and has to call end;
// all others wait for its answer.
func (n *nonces) begin(key, content string) (*answer, bool) {
	a := &answer{done: make(chan struct{}), content: content}
	if old, known, _ := n.known.PeekOrAdd(key, a); known {
		return old, false
	}
	return a, true
}

// end gives the answer. Without one the nonce may be used again.
func (n *nonces) end(key string, a *answer, to string, err error) {
	a.to, a.err = to, err
	if now, known := n.known.Peek(key); to == "" && known && now == a {
		n.known.Remove(key)
	}
	close(a.done)
}

// recorded tells whether the form with a nonce was recorded, and whether with this
// content. It waits for its answer while that is being decided.
func (n *nonces) recorded(key, content string) (recorded, same bool) {
	a, known := n.known.Peek(key)
	if !known {
		return false, false
	}
	<-a.done
	return a.to != "", a.content == content
}

// FillRandom fills bytes from the source of the configuration. Without randomness
// nothing safe can be said, so the request fails.
func (c *Config) FillRandom(out []byte) {
	if _, err := io.ReadFull(c.Random, out); err != nil {
		panic("web: no random bytes: " + err.Error())
	}
}

// Nonce makes the nonce of a form, with the id of the person the form is made for
// behind a point.
func (q *Request) Nonce() string {
	var b [12]byte
	q.FillRandom(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:]) + "." + q.Who.ID
}

// notTheirs refuses a form that was made for another person: it comes from a page that
// stood open while the person was changed, and is recorded as nobody else's.
func (q *Request) notTheirs() error {
	_, id, made := strings.Cut(q.R.PostForm.Get("nonce"), ".")
	if !made || id == q.Who.ID {
		return nil
	}
	return &Refusal{http.StatusConflict, "Not recorded", "this page was opened by " + id + ", and " + q.Who.ID + " works here now; nothing was recorded", "open the page again, or change the person first", q.CameFrom()}
}
