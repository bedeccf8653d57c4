package kit

import (
	"net/http"
	"time"
)

// writeTimeout is how long a stream waits for a browser that takes nothing, such as
// that of a telephone out of reach. It is shorter than the program waits for
// streams when it is stopped.
const writeTimeout = 5 * time.Second

// past is a time that is over on every machine.
var past = time.Unix(1, 0)

// Sent writes to a stream and flushes it. A browser that takes nothing for the
// time of a stall is let go: it comes again with the number of the last event
// that it saw.
func (q *Request) Sent(write func() error) error {
	out := http.NewResponseController(q.W)
	let := make(chan struct{})
	timer := time.AfterFunc(q.writeTimeout, func() { _ = out.SetWriteDeadline(past); close(let) })
	defer func() {
		if !timer.Stop() {
			<-let // it is at work on an answer that ends with this call
		}
	}()
	if err := write(); err != nil {
		return err
	}
	return out.Flush()
}
