package instrument

import (
	"context"
	"errors"
	"io"
	"iter"
	"math/rand/v2"
	"net"
	"strings"
	"sync"
	"testing"
	"time"
)

// open is Read at an address as ParseAddress reads it.
func open(ctx context.Context, address string, p *Parser, o Options) (iter.Seq[Event], error) {
	a, err := ParseAddress(address)
	if err != nil {
		return nil, err
	}
	if o.Source == "" {
		o.Source = a.String()
	}
	return Read(ctx, a.Dial, p, o), nil
}

// loopback is a TCP listener on this machine.
func loopback(t *testing.T) (net.Listener, string) {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ln.Close() })
	return ln, "tcp://" + ln.Addr().String()
}

// A meter that misbehaves in every way it can: each line that can be trusted
// is read, everything else is named, and the connection is made again.
func TestTCPHostileMeter(t *testing.T) {
	noLeaks(t)
	ln, address := loopback(t)
	clock := newHandClock()
	events, err := open(t.Context(), address, mustDescribe(t, ticket), Options{Clock: clock.clock()})
	if err != nil {
		t.Fatal(err)
	}
	next := pull(t, events)
	good := "A17 Y-90   1234.5 MBq ST*5C\r\n"
	served := make(chan error, 1)
	go func() {
		conn, err := ln.Accept()
		if err != nil {
			served <- err
			return
		}
		noise := make([]byte, 1<<20) // of every byte but the line endings
		rng := rand.New(rand.NewPCG(1, 2))
		for i := range noise {
			for noise[i] == 0 || noise[i] == '\r' || noise[i] == '\n' {
				noise[i] = byte(rng.Uint32())
			}
		}
		_, err = io.WriteString(conn, "Y-90   1234.5 MBq ST*5C\r\n"+good+string(noise)+"\r\n"+good+"\x00\x1b[2J\r\n"+good+strings.Repeat("\r\n", 10000)+good+good[:9])
		served <- errors.Join(err, conn.Close())
	}()
	if e := expect(t, next(), Connected); e.Source != address {
		t.Errorf("source %q", e.Source)
	}
	for _, want := range []struct {
		kind Kind
		code string
	}{
		{Refused, CodePart},
		{Received, ""},
		{Refused, CodeLong},
		{Received, ""},
		{Refused, CodeSerial},
		{Received, ""},
		{Received, ""},
		{Refused, CodeTorn},
		{Lost, CodeLost},
	} {
		e := expect(t, next(), want.kind)
		if want.kind == Received && (e.Reading.Activity.Text != "1234.5 MBq" || e.Reading.State != Stable) || want.kind != Received && e.Err.Code != want.code {
			t.Errorf("%+v, want %v %s", e, want.kind, want.code)
		}
	}
	if err := <-served; err != nil {
		t.Error(err)
	}
	clock.next(t, 30*time.Second)
	clock.fire(clock.next(t, 500*time.Millisecond))
	conn, err := ln.Accept()
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	expect(t, next(), Connected)
	send(t, conn, "\r\n"+good)
	expect(t, next(), Received)
}

// No one listens: the refusal names the address and what the system said.
func TestTCPNobodyListens(t *testing.T) {
	noLeaks(t)
	ln, address := loopback(t)
	ln.Close()
	clock := newHandClock()
	events, err := open(t.Context(), address, mustDescribe(t, ticket), Options{Clock: clock.clock()})
	if err != nil {
		t.Fatal(err)
	}
	e := expect(t, pull(t, events)(), Lost)
	var op *net.OpError
	if e.Err.Code != CodeConnect || !errors.As(e.Err, &op) || !strings.Contains(e.Err.Error(), address) {
		t.Errorf("%v", e.Err)
	}
}

func TestOpenRefusesAnAddress(t *testing.T) {
	_, err := open(t.Context(), "meter", mustDescribe(t, ticket), Options{Clock: newHandClock().clock()})
	var e *Error
	if !errors.As(err, &e) || e.Code != CodeAddress {
		t.Errorf("%v", err)
	}
}

// Many readers of one simulated meter, who all leave at some time while it
// keeps writing; made for the race detector.
func TestReadersLeave(t *testing.T) {
	noLeaks(t)
	ln, address := loopback(t)
	p := mustDescribe(t, ticket)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- Simulate(ctx, ln, resin(), p, time.Second, atOnce()) }()
	var readers sync.WaitGroup
	for i := range 16 {
		readers.Go(func() {
			events, err := open(t.Context(), address, p, Options{Clock: newHandClock().clock()})
			if err != nil {
				t.Error(err)
				return
			}
			lines := 0
			for e := range events {
				if e.Kind == Refused && e.Err.Code != CodePart || e.Kind == Lost {
					t.Errorf("%+v", e)
				}
				if e.Kind == Received {
					lines++
				}
				if lines >= i { // the first leaves at its first event
					break
				}
			}
		})
	}
	readers.Wait()
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// atOnce is a clock that stands still and whose timers go off at once.
func atOnce() Clock {
	return Clock{
		Now: func() time.Time { return noon },
		After: func(time.Duration) <-chan time.Time {
			c := make(chan time.Time, 1)
			c <- noon
			return c
		},
	}
}
