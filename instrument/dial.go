package instrument

import (
	"context"
	"errors"
	"io"
	"net"
	"os"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	tty "go.bug.st/serial"
)

// dialTimeout is how long a TCP connection may take to be made.
const dialTimeout = 10 * time.Second

// Dial connects to the meter. Only reading is of use: this package never
// sends a byte to a meter. It serves as the [Dial] of [Read]. Errors are
// [*Error]s with CodeConnect.
func (a Address) Dial(ctx context.Context) (io.ReadCloser, error) {
	if a.Host == "" {
		return a.openSerial()
	}
	// The system's keep-alive probes find out that the other end is gone,
	// where no line would tell.
	d := net.Dialer{Timeout: dialTimeout}
	conn, err := d.DialContext(ctx, "tcp", net.JoinHostPort(a.Host, strconv.Itoa(a.Port)))
	if err != nil {
		return nil, unconnected(a, err, "is the meter, or the server that passes its port on, switched on and in the network?")
	}
	return conn, nil
}

func unconnected(a Address, err error, hint string) *Error {
	return caused(err, refuse(CodeConnect, a.String(), 0, "no connection could be made: "+err.Error(), hint))
}

func (a Address) openSerial() (io.ReadCloser, error) {
	p, err := tty.Open(a.Path, a.mode())
	if err == nil {
		err = prepare(p)
	}
	if err != nil {
		return nil, unconnected(a, err, serialHint(err))
	}
	return &port{tty: p}, nil
}

// prepare makes the reads of a port return now and then, and throws away what
// its driver kept from before; a port that refuses is closed.
func prepare(p tty.Port) error {
	if err := errors.Join(p.SetReadTimeout(pollEvery), p.ResetInputBuffer()); err != nil {
		return errors.Join(err, p.Close())
	}
	return nil
}

// serialHint is the way out of an error of the library.
func serialHint(err error) string {
	var pe *tty.PortError
	switch {
	case !errors.As(err, &pe):
	case pe.Code() == tty.PermissionDenied:
		return "let this user be a member of the group that owns the port; on many systems it is called dialout"
	case pe.Code() == tty.PortBusy:
		return "another program has the port open"
	case pe.Code() == tty.InvalidSerialPort:
		return "this is no serial port, or not one with these settings"
	}
	return "is the cable plugged in, and is this the path of the port?"
}

// mode is the setting of the port in the words of the library. Flow control
// is off.
func (a Address) mode() *tty.Mode {
	return &tty.Mode{
		BaudRate: a.Baud, DataBits: a.Bits, StopBits: map[int]tty.StopBits{1: tty.OneStopBit, 2: tty.TwoStopBits}[a.Stop],
		Parity: map[string]tty.Parity{"none": tty.NoParity, "odd": tty.OddParity, "even": tty.EvenParity, "mark": tty.MarkParity, "space": tty.SpaceParity}[a.Parity],
	}
}

// pollEvery is how often a read of a serial port looks whether to stop.
const pollEvery = 100 * time.Millisecond

// port is a serial port that may be closed while a read waits. The library
// closes the file first and wakes the reader afterwards: in between the
// number of the file may be given to another one, and the reader would read
// that. Here the reader leaves first.
type port struct {
	tty    tty.Port
	closed atomic.Bool
	mu     sync.Mutex // held while reading
}

// Read waits until something arrives, the port fails, or Close is called.
func (p *port) Read(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for !p.closed.Load() {
		if n, err := p.tty.Read(b); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, os.ErrClosed
}

// Close lets a waiting Read return, and closes the port.
func (p *port) Close() error {
	if p.closed.Swap(true) {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.tty.Close()
}
