package instrument

import (
	"bufio"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	tty "go.bug.st/serial"
)

// cable is a pair of pseudo-terminals joined by socat: what is written to one
// end comes out of the other, as with a serial cable.
type cable struct {
	cmd       *exec.Cmd
	near, far string
}

// plug makes the cable, and waits until socat says that it stands.
func plug(t *testing.T, dir string) *cable {
	t.Helper()
	c := &cable{near: filepath.Join(dir, "near"), far: filepath.Join(dir, "far")}
	c.cmd = exec.Command("socat", "-d", "-d", "pty,raw,echo=0,link="+c.near, "pty,raw,echo=0,link="+c.far)
	log, err := c.cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	said := ""
	for lines := bufio.NewScanner(log); lines.Scan(); {
		said += lines.Text() + "\n"
		if strings.Contains(lines.Text(), "starting data transfer loop") {
			return c
		}
	}
	t.Fatalf("socat: %s", said)
	return nil
}

// unplug ends socat, which takes both ends away.
func (c *cable) unplug() {
	_ = c.cmd.Process.Signal(syscall.SIGTERM)
	_ = c.cmd.Wait() // it ends by the signal
}

// A serial port is read, is lost when the cable goes, and is found again when
// it is back.
func TestSerialPort(t *testing.T) {
	if _, err := exec.LookPath("socat"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("CI=true needs socat")
		}
		t.Skip("socat is absent: it makes the pseudo-terminals that stand for a serial port")
	}
	noLeaks(t)
	dir := t.TempDir()
	c := plug(t, dir)
	clock := newHandClock()
	address := "serial://" + c.near + "?baud=19200&bits=8&parity=none&stop=2"
	events, err := open(t.Context(), address, mustDescribe(t, ticket), Options{Clock: clock.clock()})
	if err != nil {
		t.Fatal(err)
	}
	next := pull(t, events)
	for range 2 {
		if e := expect(t, next(), Connected); e.Source != address {
			t.Errorf("source %q", e.Source)
		}
		clock.next(t, 30*time.Second)
		far, err := os.OpenFile(c.far, os.O_WRONLY|syscall.O_NOCTTY, 0)
		if err != nil {
			t.Fatal(err)
		}
		send(t, far, "5 MBq ST*5C\r\nA17 Y-90   1234.5 MBq ST*5C\r\nA17 Y-90 1284.5 MBq ST*5C\r\n")
		far.Close()
		if e := expect(t, next(), Refused); e.Err.Code != CodePart || e.Raw != "5 MBq ST*5C" {
			t.Errorf("%+v", e)
		}
		if e := expect(t, next(), Received); e.Reading.Activity.Text != "1234.5 MBq" {
			t.Errorf("%+v", e)
		}
		if e := expect(t, next(), Refused); e.Err.Code != CodeChecksum {
			t.Errorf("%+v", e)
		}
		c.unplug()
		if e := expect(t, next(), Lost); e.Err.Code != CodeLost || e.Retry != 500*time.Millisecond {
			t.Errorf("%+v", e)
		}
		clock.fire(clock.next(t, 500*time.Millisecond))
		if e := expect(t, next(), Lost); e.Err.Code != CodeConnect { // the path is gone
			t.Errorf("%+v", e)
		}
		c = plug(t, dir)
		clock.fire(clock.next(t, time.Second))
	}
	expect(t, next(), Connected) // and the loop is left while a read waits
	c.unplug()
}

// What is no serial port is refused with the way out.
func TestSerialPortRefused(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for path, says := range map[string]string{
		file:           "this is no serial port",
		file + "-gone": "is the cable plugged in",
	} {
		a, err := ParseAddress("serial://" + path)
		if err != nil {
			t.Fatal(err)
		}
		_, err = a.Dial(t.Context())
		var e *Error
		if !errors.As(err, &e) || e.Code != CodeConnect || !strings.Contains(e.Error(), says) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// Before the first read a port is told to return now and then, and what its
// driver kept from before is thrown away; a port that refuses is closed.
func TestPortIsPrepared(t *testing.T) {
	for name, c := range map[string]struct {
		port  fakePort
		calls string
	}{
		"ready":      {fakePort{}, "timeout 100ms, reset"},
		"no timeout": {fakePort{timeout: syscall.EINVAL}, "timeout 100ms, reset, close"},
		"no reset":   {fakePort{reset: syscall.EIO}, "timeout 100ms, reset, close"},
	} {
		err := prepare(&c.port)
		if want := errors.Join(c.port.timeout, c.port.reset); (err == nil) != (want == nil) {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
		if got := strings.Join(c.port.calls, ", "); got != c.calls {
			t.Errorf("%s: %s, want %s", name, got, c.calls)
		}
	}
}

// fakePort notes what is asked of it.
type fakePort struct {
	tty.Port
	timeout, reset error
	calls          []string
}

func (f *fakePort) SetReadTimeout(d time.Duration) error {
	f.calls = append(f.calls, "timeout "+d.String())
	return f.timeout
}

func (f *fakePort) ResetInputBuffer() error {
	f.calls = append(f.calls, "reset")
	return f.reset
}

func (f *fakePort) Close() error {
	f.calls = append(f.calls, "close")
	return nil
}

// Closing lets a waiting read return before the port is closed.
func TestPortClosesAfterItsReader(t *testing.T) {
	noLeaks(t)
	s := &silentPort{reading: make(chan struct{})}
	p := &port{tty: s}
	s.asked = &p.closed
	left := make(chan error)
	go func() {
		_, err := p.Read(make([]byte, 1))
		left <- err
	}()
	<-s.reading
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	if err := <-left; !errors.Is(err, os.ErrClosed) {
		t.Errorf("%v", err)
	}
	if s.overlap.Load() || !s.closed.Load() {
		t.Errorf("closed: %v, while a read was inside: %v", s.closed.Load(), s.overlap.Load())
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
}

// silentPort is a port on which nothing comes. Its read stays for a while
// after the closing was asked for, and sees whether it is waited for.
type silentPort struct {
	tty.Port
	reading         chan struct{}
	asked           *atomic.Bool
	closed, overlap atomic.Bool
}

func (s *silentPort) Read([]byte) (int, error) {
	close(s.reading)
	for !s.asked.Load() {
		runtime.Gosched()
	}
	for range 10000 {
		runtime.Gosched()
	}
	s.overlap.Store(s.closed.Load())
	return 0, nil
}

func (s *silentPort) Close() error {
	s.closed.Store(true)
	return nil
}
