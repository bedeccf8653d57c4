package instrument

import (
	"context"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// Simulate lets an invented meter write its lines to everyone who connects to
// ln: one line at once, and another whenever the time every has passed. Every
// line, to whomever it goes, is a new reading. It closes ln, and returns when
// ctx ends (nil) or when the listener or the meter fails. A client that leaves
// is noticed at the next line. every must be above 0, else it panics.
func Simulate(ctx context.Context, ln net.Listener, s Simulation, p *Parser, every time.Duration, clock Clock) error {
	if every <= 0 || clock.Now == nil || clock.After == nil {
		panic("instrument: Simulate without a period or a Clock")
	}
	defer ln.Close()
	if _, err := s.Line(p, 0, clock.Now()); err != nil { // say so before anyone connects
		return err
	}
	var clients sync.WaitGroup
	defer clients.Wait()
	caller := ctx
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)                                         // before the wait
	stop := context.AfterFunc(ctx, func() { _ = ln.Close() }) // wakes Accept
	defer stop()
	var numbers atomic.Uint64
	for {
		conn, err := ln.Accept()
		if ctx.Err() != nil {
			if err == nil {
				_ = conn.Close()
			}
			if caller.Err() != nil {
				return nil
			}
			return context.Cause(ctx) // the meter's
		}
		if err != nil {
			return err
		}
		clients.Go(func() {
			line := func() ([]byte, error) {
				text, err := s.Line(p, numbers.Add(1)-1, clock.Now())
				return append(text, p.terminator()...), err
			}
			if err := write(ctx, conn, line, every, clock); err != nil {
				cancel(err)
			}
		})
	}
}

// write sends lines until the client leaves or ctx ends; the error is that of
// the meter.
func write(ctx context.Context, conn net.Conn, line func() ([]byte, error), every time.Duration, clock Clock) error {
	stop := context.AfterFunc(ctx, func() { _ = conn.Close() }) // wakes Write
	defer stop()
	defer conn.Close()
	for {
		text, err := line()
		if err != nil {
			return err
		}
		if _, err := conn.Write(text); err != nil {
			return nil // the client left
		}
		select {
		case <-ctx.Done():
			return nil
		case <-clock.After(every):
		}
	}
}
