package instrument

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestReadTellsEverything(t *testing.T) {
	noLeaks(t)
	clock, p := newHandClock(), newPipes()
	next := pull(t, Read(t.Context(), p.dial, mustDescribe(t, bare), Options{Clock: clock.clock(), Source: "M1"}))
	far := make(chan string)
	go func() {
		conn := <-p.ends
		defer conn.Close()
		for text := range far {
			if _, err := io.WriteString(conn, text); err != nil {
				t.Error(err)
			}
		}
	}()
	if e := expect(t, next(), Connected); e.Source != "M1" || !e.At.Equal(noon) {
		t.Errorf("%+v", e)
	}
	clock.next(t, 30*time.Second)
	far <- ".5;1\nA=12.5;1\r\nA=12.6;0\nA=OVER;1\nA=1"
	if e := expect(t, next(), Refused); e.Err.Code != CodePart || e.Raw != ".5;1" {
		t.Errorf("%+v", e)
	}
	if e := expect(t, next(), Received); e.Reading.Activity.Text != "12.5 MBq" || e.Reading.State != Stable || e.Raw != "A=12.5;1" || e.Err != nil || e.Source != "M1" {
		t.Errorf("%+v", e)
	}
	if e := expect(t, next(), Received); e.Reading.Activity.Text != "12.6 MBq" || e.Reading.State != Unstable {
		t.Errorf("%+v", e)
	}
	if e := expect(t, next(), Refused); e.Err.Code != CodeNumber || e.Raw != "A=OVER;1" || e.Reading != (Reading{}) {
		t.Errorf("%+v", e)
	}
	clock.advance(time.Second)
	far <- "3;1\n" // after a second the line is still one
	if e := expect(t, next(), Received); e.Reading.Activity.Text != "13 MBq" || !e.At.Equal(noon.Add(time.Second)) {
		t.Errorf("%+v", e)
	}
	far <- "A=9"
	close(far)
	if e := expect(t, next(), Refused); e.Err.Code != CodeTorn || e.Raw != "A=9" {
		t.Errorf("%+v", e)
	}
	if e := expect(t, next(), Lost); e.Err.Code != CodeLost || e.Retry != 500*time.Millisecond || !errors.Is(e.Err, io.EOF) {
		t.Errorf("%+v", e)
	}
}

func TestReadReportsSilence(t *testing.T) {
	noLeaks(t)
	clock, p := newHandClock(), newPipes()
	next := pull(t, Read(t.Context(), p.dial, mustDescribe(t, bare), Options{Clock: clock.clock()}))
	texts := make(chan string)
	defer close(texts)
	go func() {
		conn := <-p.ends
		defer conn.Close()
		for text := range texts {
			if _, err := io.WriteString(conn, text); err != nil {
				t.Error(err)
			}
		}
	}()
	expect(t, next(), Connected)
	alarm := clock.next(t, 30*time.Second)
	clock.advance(20 * time.Second)
	texts <- "\nA=1;1\n"
	expect(t, next(), Received)
	clock.advance(10 * time.Second)
	alarm.ring <- clock.Now() // 10 s after the line: too early
	alarm = clock.next(t, 20*time.Second)
	clock.fire(alarm)
	if e := expect(t, next(), Silent); e.Err.Code != CodeIdle || !e.At.Equal(noon.Add(50*time.Second)) || !strings.Contains(e.Err.Msg, "30s") {
		t.Errorf("%+v", e)
	}
	clock.fire(clock.next(t, 30*time.Second)) // told once is enough
	alarm = clock.next(t, 30*time.Second)
	texts <- "A=2;1\n" // and nothing was lost
	if e := expect(t, next(), Received); e.Reading.Activity.Text != "2 MBq" {
		t.Errorf("%+v", e)
	}
	clock.fire(alarm)
	expect(t, next(), Silent) // a new silence is told again
}

func TestReadConnectsAgain(t *testing.T) {
	noLeaks(t)
	clock, p := newHandClock(), newPipes()
	down := 8 // so many connections fail
	dial := func(ctx context.Context) (io.ReadCloser, error) {
		if down > 0 {
			down--
			return nil, syscall.ECONNREFUSED
		}
		return p.dial(ctx)
	}
	next := pull(t, Read(t.Context(), dial, mustDescribe(t, bare), Options{Clock: clock.clock(), Source: "M1"}))
	for _, s := range []float64{0.5, 1, 2, 4, 8, 16, 30, 30} {
		wait := time.Duration(s * float64(time.Second))
		if e := expect(t, next(), Lost); e.Err.Code != CodeConnect || e.Retry != wait || !errors.Is(e.Err, syscall.ECONNREFUSED) {
			t.Errorf("%+v", e)
		}
		clock.fire(clock.next(t, wait))
	}
	// A connection without a line does not shorten the pause; one with a line does.
	for _, c := range []struct {
		text  string
		kinds []Kind
		wait  time.Duration
	}{
		{"A=1;1", []Kind{Connected, Refused}, 30 * time.Second},
		{"\nA=1;1\n", []Kind{Connected, Received}, 500 * time.Millisecond},
		{"", []Kind{Connected}, time.Second},
	} {
		conn := <-p.ends
		go func() {
			if c.text != "" {
				if _, err := io.WriteString(conn, c.text); err != nil {
					t.Error(err)
				}
			}
			conn.Close()
		}()
		for _, kind := range c.kinds {
			expect(t, next(), kind)
		}
		if e := expect(t, next(), Lost); e.Retry != c.wait {
			t.Errorf("after %q: %+v", c.text, e)
		}
		clock.next(t, 30*time.Second) // the alarm of this connection
		clock.fire(clock.next(t, c.wait))
	}
}

// Whatever Read is waiting for, it ends with its context.
func TestReadEndsWithItsContext(t *testing.T) {
	for name, during := range map[string]func(*testing.T, *handClock, *pipes){
		"dialling": func(*testing.T, *handClock, *pipes) {},
		"reading": func(t *testing.T, c *handClock, p *pipes) {
			conn := <-p.ends
			t.Cleanup(func() { conn.Close() })
			c.next(t, 30*time.Second)
		},
		"pausing": func(t *testing.T, c *handClock, p *pipes) {
			(<-p.ends).Close()
			c.next(t, 30*time.Second)
			c.next(t, 500*time.Millisecond)
		},
	} {
		t.Run(name, func(t *testing.T) {
			noLeaks(t)
			clock, p := newHandClock(), newPipes()
			ctx, cancel := context.WithCancel(t.Context())
			events := Read(ctx, p.dial, mustDescribe(t, bare), Options{Clock: clock.clock()})
			done := make(chan struct{})
			go func() {
				defer close(done)
				for range events {
				}
			}()
			during(t, clock, p)
			cancel()
			<-done
		})
	}
}

// Leaving the loop closes the connection, and a second loop makes a new one.
func TestLeavingTheLoop(t *testing.T) {
	noLeaks(t)
	clock, p := newHandClock(), newPipes()
	events := Read(t.Context(), p.dial, mustDescribe(t, bare), Options{Clock: clock.clock()})
	for range 2 {
		gone := make(chan error)
		go func() {
			conn := <-p.ends
			_, err := conn.Read(make([]byte, 1)) // until the loop is left
			gone <- err
			conn.Close()
		}()
		for e := range events {
			expect(t, e, Connected)
			break
		}
		if err := <-gone; !errors.Is(err, io.EOF) {
			t.Errorf("the meter saw %v", err)
		}
	}
}

func TestWords(t *testing.T) {
	kinds := fmt.Sprint(Received, Refused, Connected, Silent, Lost, Kind(0), Kind(9))
	if kinds != "received refused connected silent lost kind 0 kind 9" {
		t.Error(kinds)
	}
	if states := fmt.Sprint(State(0), Unflagged, Unstable, Stable); states != "unflagged unflagged unstable stable" {
		t.Error(states)
	}
}

func TestReadPanicsWithoutAClock(t *testing.T) {
	for name, o := range map[string]Options{
		"no clock": {},
		"no timer": {Clock: Clock{Now: newHandClock().Now}},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			Read(t.Context(), newPipes().dial, mustDescribe(t, bare), o)
		}()
	}
}

// A Read that gives bytes and an error at once loses neither.
func TestReadKeepsTheLastBytes(t *testing.T) {
	noLeaks(t)
	clock := newHandClock()
	dial := func(context.Context) (io.ReadCloser, error) {
		return io.NopCloser(&lastWords{"\nA=7;1\n"}), nil
	}
	next := pull(t, Read(t.Context(), dial, mustDescribe(t, bare), Options{Clock: clock.clock()}))
	expect(t, next(), Connected)
	expect(t, next(), Received)
	if e := expect(t, next(), Lost); !errors.Is(e.Err, io.ErrUnexpectedEOF) {
		t.Errorf("%+v", e)
	}
}

type lastWords struct{ text string }

func (l *lastWords) Read(b []byte) (int, error) { return copy(b, l.text), io.ErrUnexpectedEOF }
