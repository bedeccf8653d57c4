package instrument

import (
	"strconv"
	"time"
)

// Kind says what an [Event] tells.
type Kind int

// The kinds of events.
const (
	Received  Kind = iota + 1 // a line arrived and was read: Reading is set
	Refused                   // a line, or a piece of one, arrived and was not taken: Err says why
	Connected                 // the connection stands; lines may come
	Silent                    // the connection stands, and nothing has come for a while: Err
	Lost                      // there is no connection: Err says why, Retry when the next is tried
)

// String gives the kind in one word.
func (k Kind) String() string {
	names := [...]string{Received: "received", Refused: "refused", Connected: "connected", Silent: "silent", Lost: "lost"}
	if k < Received || int(k) >= len(names) {
		return "kind " + strconv.Itoa(int(k))
	}
	return names[k]
}

// Event is one thing that happened on the way from a meter to this program.
type Event struct {
	Kind    Kind
	Source  string        // the name given in Options
	At      time.Time     // when the end of the line, or the trouble, was seen
	Raw     string        // the line as it came without its ending, or what there is of it
	Reading Reading       // of Received; else zero
	Err     *Error        // of Refused, Silent and Lost; else nil
	Retry   time.Duration // of Lost: how long until the next connection is tried
}
