package kit

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/replica"
)

// beat is how often a stream says that it is alive, and looks for what other
// programs have appended to the store.
const beat = 5 * time.Second

// events is the stream of what is recorded (Server-Sent Events, HTML Living
// Standard 9.2). Each event has the number of its record, so that a browser
// that comes again is told what it missed. An event holds who and what, no
// figure. A stream ends with the session.
func events(q *Request) error {
	var ids []string
	if of := q.R.URL.Query().Get("of"); of != "" {
		ids = []string{of}
	}
	l := q.Lab.Listen(ids...)
	if l == nil {
		return &Refusal{http.StatusServiceUnavailable, "Ending", "the program is being stopped", "", "/"}
	}
	defer l.Leave()
	_ = http.NewResponseController(q.W).SetWriteDeadline(time.Time{}) // a stream has no end; each write has its own
	h := q.W.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no")
	q.W.WriteHeader(http.StatusOK)
	seen := q.Lab.Report().Head.Seq
	if last, err := strconv.ParseUint(q.R.Header.Get("Last-Event-ID"), 10, 64); err == nil {
		seen = min(seen, last)
	}
	missed := q.Lab.Since(seen, ids...)
	if q.tell(missed...) != nil {
		return nil
	}
	if n := len(missed); n > 0 {
		seen = missed[n-1].Seq
	}
	ticks := time.NewTicker(beat)
	defer ticks.Stop()
	looks, look, stop := q.Beside(q)
	defer stop()
	for {
		select {
		case <-q.R.Context().Done():
			return nil
		case e, ok := <-l.Events:
			if !ok {
				return nil // let go: the browser comes again
			}
			if news := after(seen, append([]replica.Event{e}, l.More()...)); len(news) > 0 {
				if q.tell(news...) != nil {
					return nil
				}
				seen = news[len(news)-1].Seq
			}
		case <-looks:
			if look() != nil {
				return nil
			}
		case <-ticks.C:
			if !q.alive() {
				return nil
			}
		}
	}
}

// after leaves out the events up to a number.
func after(seen uint64, events []replica.Event) []replica.Event {
	return slices.DeleteFunc(events, func(e replica.Event) bool { return e.Seq <= seen })
}

// tell sends events, and what lies in the buffers.
func (q *Request) tell(events ...replica.Event) error {
	return q.Sent(func() (err error) {
		for _, e := range events {
			by, what := e.By, fact.KindNamed(e.Kind).Past
			if e.Private {
				by, what = "entry "+decimal(e.Seq), WithheldWord
			}
			if _, err = fmt.Fprintf(q.W, "id: %d\nevent: record\ndata: %s: %s\n\n", e.Seq, by, what); err != nil {
				break
			}
		}
		return err
	})
}

// alive sends a beat, reads what others wrote, and asks whether the session
// still stands. Looking at a page is no use of a session.
func (q *Request) alive() bool {
	err := q.Sent(func() error {
		_, err := fmt.Fprint(q.W, ": beat\n\n")
		return err
	})
	if err != nil {
		return false
	}
	if err := q.Lab.CatchUp(q.R.Context()); err != nil {
		return false
	}
	s, found, err := q.Kept.Session(q.R.Context(), q.token.Hash())
	who, known, bad := q.Account(s.Person)
	return err == nil && found && bad == nil && known && who.Active && s.Era == who.Era && s.State(q.machine(), q.Limits) == people.Fresh
}

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
