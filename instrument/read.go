package instrument

import (
	"bytes"
	"context"
	"errors"
	"io"
	"iter"
	"strconv"
	"time"
)

// Clock is where the time comes from: time.Now and time.After in the program,
// a clock moved by hand in a test. Both must be set, and be fit to be called
// by several goroutines at once.
type Clock struct {
	Now   func() time.Time
	After func(time.Duration) <-chan time.Time
}

// Options are the settings of [Read]. The clock must be given; a nil part of it panics.
type Options struct {
	Clock  Clock
	Source string // name of the meter in every event
}

// A connection without a byte for the silence is reported, and gap is the longest pause
// within a line. The first pause before connecting again doubles each time, up to the last.
const (
	silence    = 30 * time.Second
	gap        = 2 * time.Second
	firstPause = 500 * time.Millisecond
	lastPause  = 30 * time.Second
)

// Dial makes a connection to a meter. It returns soon after ctx ends, and
// Close of what it returns lets a waiting Read return. [Address.Dial] is one.
type Dial func(ctx context.Context) (io.ReadCloser, error)

// Read connects to a meter, reads its lines, and connects again whenever the
// connection is lost, until ctx ends or the loop over the events is left. The
// sequence ends only then, and all that was started has ended by then too.
// Ranging over it a second time connects again. The loop has to take each event at
// once: nothing is read meanwhile.
func Read(ctx context.Context, dial Dial, p *Parser, o Options) iter.Seq[Event] {
	if o.Clock.Now == nil || o.Clock.After == nil {
		panic("instrument: Options without a Clock")
	}
	return func(yield func(Event) bool) {
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		r := &reader{dial: dial, parser: p, o: o, put: func(e Event) {
			e.Source = o.Source
			if ctx.Err() == nil && !yield(e) {
				cancel()
			}
		}}
		r.run(ctx)
	}
}

// reader is one loop over the events of a meter.
type reader struct {
	dial   Dial
	parser *Parser
	o      Options
	put    func(Event)   // hands an event to the loop, until that is left
	wait   time.Duration // before the next connection
}

func (r *reader) run(ctx context.Context) {
	r.wait = firstPause
	for {
		err := r.connect(ctx)
		if ctx.Err() != nil {
			return
		}
		r.put(Event{Kind: Lost, At: r.o.Clock.Now(), Err: err, Retry: r.wait})
		select {
		case <-ctx.Done():
			return
		case <-r.o.Clock.After(r.wait):
		}
		r.wait = min(2*r.wait, lastPause)
	}
}

// connect makes one connection and reads it to its end, which it explains.
func (r *reader) connect(ctx context.Context) *Error {
	conn, err := r.dial(ctx)
	if err != nil {
		var e *Error
		if !errors.As(err, &e) {
			e = caused(err, refuse(CodeConnect, "", 0, "no connection could be made: "+err.Error(), ""))
		}
		return e
	}
	r.put(Event{Kind: Connected, At: r.o.Clock.Now()})
	err = r.listen(ctx, conn)
	msg := "the connection was lost: " + err.Error()
	if errors.Is(err, io.EOF) {
		msg = "the connection was closed at the other end"
	}
	return caused(err, refuse(CodeLost, "", 0, msg, ""))
}

// chunk is what one Read of a connection gave.
type chunk struct {
	data []byte
	at   time.Time
	err  error
}

// listen reads conn until it fails or ctx ends, and closes it.
func (r *reader) listen(ctx context.Context, conn io.ReadCloser) error {
	ctx, cancel := context.WithCancel(ctx)
	chunks := make(chan chunk)
	go r.receive(ctx, conn, chunks)
	defer func() {
		cancel()
		_ = conn.Close() // nothing was written that could be lost
		for range chunks {
			// until receive has ended
		}
	}()
	lines := &framer{p: r.parser, gap: gap}
	heard, told := r.o.Clock.Now(), false
	alarm := r.o.Clock.After(silence)
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case c := <-chunks:
			emit := func(f frame) { r.frame(f, c.at) }
			if len(c.data) > 0 {
				heard, told = c.at, false
				lines.push(c.data, c.at, emit)
			}
			if c.err != nil {
				lines.cut(emit)
				return c.err
			}
		case at := <-alarm:
			left := silence - at.Sub(heard)
			if left <= 0 && !told {
				told = true
				r.put(Event{Kind: Silent, At: at, Err: refuse(CodeIdle, "", 0, "nothing has come for "+silence.String(), "is the meter switched on and set to send?")})
			}
			if left <= 0 {
				left = silence
			}
			alarm = r.o.Clock.After(left)
		}
	}
}

// receive hands on what conn gives, with the time at which it came, and closes
// chunks.
func (r *reader) receive(ctx context.Context, conn io.Reader, chunks chan<- chunk) {
	defer close(chunks)
	buf := make([]byte, 4096)
	for {
		n, err := conn.Read(buf)
		select {
		case chunks <- chunk{bytes.Clone(buf[:n]), r.o.Clock.Now(), err}:
		case <-ctx.Done():
			return
		}
		if err != nil {
			return
		}
	}
}

// frame reads one line, or reports why there is none.
func (r *reader) frame(f frame, at time.Time) {
	e := Event{Kind: Refused, At: at, Raw: string(f.line), Err: f.err}
	if f.err == nil {
		r.wait = firstPause // lines do come: the next loss begins with the shortest pause
		reading, err := r.parser.Parse(f.line)
		if err == nil {
			e.Kind, e.Reading = Received, reading
		} else {
			errors.As(err, &e.Err)
		}
	}
	r.put(e)
}

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
