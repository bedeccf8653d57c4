package instrument

import (
	"bufio"
	"context"
	"errors"
	"io"
	"math"
	"net"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"
	"vialwright/quantity"
)

// resin is an invented sample in an invented meter.
func resin() Simulation {
	return Simulation{
		Activity: 1.5 * quantity.GigaBecquerel, In: noon, HalfLife: 230550,
		Background: 20 * quantity.KiloBecquerel, Repeatability: 0.3 * quantity.Percent, Settling: 6,
		Unit: "MBq", Decimals: 1, Nuclide: "Y-90", Serial: "SIM1", Seed: 7,
	}
}

func mustRead(t *testing.T, s Simulation, n uint64, at time.Time) Reading {
	t.Helper()
	r, err := s.Read(n, at)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The three parts of the model one by one, against numbers worked out by hand.
func TestSimulationModel(t *testing.T) {
	quiet := resin()
	quiet.Repeatability, quiet.Decimals = 0, 6
	for _, c := range []struct {
		what  string
		after time.Duration
		text  string
		state State
	}{
		{"the background alone before", -time.Second, "0.020000 MBq", Stable},
		{"and at the instant the sample is put in", 0, "0.020000 MBq", Unstable},
		// 1 - 1000^(-2/6) = 0.9; 1500·2^(-2/230550) = 1499.990980; ·0.9 + 0.02
		{"nine tenths after a third of the settling time", 2 * time.Second, "1350.011882 MBq", Unstable},
		// 0.999 · 1500·2^(-6/230550) + 0.02 = 0.999·1499.972942 + 0.02
		{"0.1 % missing when it is flagged stable", 6 * time.Second, "1498.492969 MBq", Stable},
		// 1500/2 + 0.02
		{"half after a half-life", 230550 * time.Second, "750.020000 MBq", Stable},
	} {
		r := mustRead(t, quiet, 0, noon.Add(c.after))
		if r.Activity.Text != c.text || r.State != c.state {
			t.Errorf("%s: %v %v, want %s %v", c.what, r.Activity, r.State, c.text, c.state)
		}
	}
	if a := quiet.True(noon.Add(-time.Second)); a != 0 {
		t.Errorf("true activity before: %v", a)
	}
	if a := quiet.True(noon.Add(230550 * time.Second)); a != 0.75*quantity.GigaBecquerel {
		t.Errorf("true activity after a half-life: %v", a)
	}
	quiet.Settling = 0
	if r := mustRead(t, quiet, 0, noon); r.Activity.Text != "1500.020000 MBq" || r.State != Stable {
		t.Errorf("without settling: %v %v", r.Activity, r.State)
	}
}

// The noise has mean 0, standard deviation r, and no memory. The seed is
// fixed, so that the outcome is too; with n = 10^4 readings the limits of
// four standard errors are 4r/100, 4r/sqrt(2n) and 4/100.
func TestSimulationNoise(t *testing.T) {
	s := resin()
	s.Settling, s.Background, s.Decimals = 0, 0, 9
	const n = 10000
	r := float64(s.Repeatability)
	var sum, squares, lag, last float64
	for i := range uint64(n) {
		e := float64(mustRead(t, s, i, noon).Activity.Value/s.Activity) - 1
		sum, squares, lag, last = sum+e, squares+e*e, lag+e*last, e
	}
	mean, sd, memory := sum/n, math.Sqrt(squares/n), lag/squares
	if math.Abs(mean) > 4*r/100 || math.Abs(sd-r) > 4*r/math.Sqrt(2*n) || math.Abs(memory) > 4.0/100 {
		t.Errorf("mean %.2g, standard deviation %.5g of %g, correlation of neighbours %.2g", mean, sd, r, memory)
	}
	other := s
	other.Seed++
	if mustRead(t, s, 5, noon) != mustRead(t, s, 5, noon) || mustRead(t, s, 5, noon) == mustRead(t, other, 5, noon) {
		t.Error("a reading follows from seed and number, and from them alone")
	}
}

// It never shows less than nothing, which no line could say.
func TestSimulationNeverNegative(t *testing.T) {
	s := resin()
	s.Repeatability, s.Settling, s.Activity, s.Background = 0.5, 0, 1, 0
	for i := range uint64(1000) {
		if r := mustRead(t, s, i, noon); r.Activity.Value < 0 || strings.HasPrefix(r.Activity.Text, "-") {
			t.Fatalf("%v", r.Activity)
		}
	}
}

func TestSimulationRefuses(t *testing.T) {
	for says, change := range map[string]func(*Simulation){
		"activity and background": func(s *Simulation) { s.Activity = -1 },
		"and background are":      func(s *Simulation) { s.Background = quantity.Activity(math.Inf(1)) },
		"half-life":               func(s *Simulation) { s.HalfLife = 0 },
		"repeatability":           func(s *Simulation) { s.Repeatability = quantity.Fraction(math.NaN()) },
		"settling time":           func(s *Simulation) { s.Settling = -1 },
		"no such unit":            func(s *Simulation) { s.Unit = "mL" },
		"decimals":                func(s *Simulation) { s.Decimals = 10 },
	} {
		s := resin()
		change(&s)
		_, err := s.Read(0, noon)
		var e *Error
		if !errors.As(err, &e) || e.Code != CodeSimulation || !strings.Contains(e.Error(), says) {
			t.Errorf("%s: %v", says, err)
		}
	}
}

// A line that would not be read back as what it shows is not written.
func TestSimulationLineRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		d      Description
		change func(*Simulation)
	}{
		"too wide":        {columns, func(s *Simulation) { s.Decimals = 6 }},
		"fixed unit":      {bare, func(s *Simulation) { s.Unit = "kBq" }},
		"no unit text":    {comma, func(s *Simulation) { s.Unit = "kBq" }},
		"nuclide":         {ticket, func(s *Simulation) { s.Nuclide = "Y 90" }},
		"no serial":       {ticket, func(s *Simulation) { s.Serial = "" }},
		"64-byte numbers": {ticket, func(s *Simulation) { s.Activity = 1e80 }},
	} {
		s := resin()
		c.change(&s)
		if line, err := s.Line(mustDescribe(t, c.d), 0, noon.Add(time.Hour)); err == nil {
			t.Errorf("%s: %q", name, line)
		}
	}
}

// What a simulated meter writes in any of the described formats is read back
// to the digits shown; and these are the model's value to half a unit of the
// last digit.
func TestSimulatedLinesReadBack(t *testing.T) {
	formats := []Description{ticket, columns, bare, comma, plainLine}
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(formats).Draw(t, "format")
		p, err := Describe(d)
		if err != nil {
			t.Fatal(err)
		}
		s := resin()
		s.Activity = quantity.Activity(rapid.Float64Range(0, 9.99e9).Draw(t, "activity"))
		s.Background = quantity.Activity(rapid.Float64Range(0, 1e6).Draw(t, "background"))
		s.Repeatability, s.Seed = 0.02, rapid.Uint64().Draw(t, "seed")
		s.Decimals = rapid.IntRange(0, 4).Draw(t, "decimals")
		after := time.Duration(rapid.Int64Range(-10, 1e6).Draw(t, "after")) * time.Second
		at, number := noon.Add(after), rapid.Uint64().Draw(t, "number")

		line, err := s.Line(p, number, at)
		if err != nil {
			t.Fatal(err)
		}
		back, err := p.Parse(line)
		if err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		shown, err := s.Read(number, at)
		if err != nil {
			t.Fatal(err)
		}
		if back.Activity != shown.Activity || p.has[state] && back.State != shown.State {
			t.Fatalf("%q: %+v, shown was %+v", line, back, shown)
		}
		fine := s
		fine.Decimals = 9
		exact, err := fine.Read(number, at)
		if err != nil {
			t.Fatal(err)
		}
		half := 0.5e6 * math.Pow10(-s.Decimals) * (1 + 1e-9)
		if off := math.Abs(float64(back.Activity.Value - exact.Activity.Value)); off > half {
			t.Fatalf("%q is %g Bq from %v", line, off, exact.Activity)
		}
	})
}

// Over TCP every client gets lines, every line is a new reading, and clock and
// context are obeyed.
func TestSimulateServes(t *testing.T) {
	noLeaks(t)
	ln, address := loopback(t)
	clock := newHandClock()
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	p := mustDescribe(t, ticket)
	go func() { ended <- Simulate(ctx, ln, resin(), p, 2*time.Second, clock.clock()) }()

	a, err := ParseAddress(address)
	if err != nil {
		t.Fatal(err)
	}
	raw := map[string]bool{}
	for client := range 2 {
		conn, err := a.Dial(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		lines := bufio.NewReader(conn)
		for i := range 5 {
			text, err := lines.ReadString('\n')
			if err != nil {
				t.Fatal(err)
			}
			r, err := p.Parse([]byte(strings.TrimSuffix(text, "\r\n")))
			if err != nil {
				t.Fatal(err)
			}
			if want := client == 1 || i >= 3; (r.State == Stable) != want { // 0, 2, 4 s, then 6 s
				t.Errorf("client %d, line %d: %v", client, i, r.State)
			}
			raw[text] = true
			switch timer := clock.next(t, 2*time.Second); {
			case i == 4: // the last one is left waiting
			case client == 0:
				clock.fire(timer)
			default:
				timer.ring <- clock.Now() // the reading is new though the time is not
			}
		}
	}
	if len(raw) != 10 {
		t.Errorf("%d different lines of 10", len(raw))
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if _, err := a.Dial(t.Context()); err == nil {
		t.Error("it still listens")
	}
}

// Simulate returns only when every connection is closed.
func TestSimulateWaitsForItsClients(t *testing.T) {
	noLeaks(t)
	ln, address := loopback(t)
	late := &lateListener{Listener: ln}
	ctx, cancel := context.WithCancelCause(t.Context())
	clock, ended := newHandClock(), make(chan error)
	go func() { ended <- Simulate(ctx, late, resin(), mustDescribe(t, ticket), time.Second, clock.clock()) }()
	a, err := ParseAddress(address)
	if err != nil {
		t.Fatal(err)
	}
	conn, err := a.Dial(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	clock.next(t, time.Second)
	cancel(errors.New("the caller's own reason is no failure"))
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if late.closed.Load() == 0 {
		t.Error("a connection was still open")
	}
}

// lateListener has connections that take a while to close.
type lateListener struct {
	net.Listener
	closed atomic.Int32
}

type lateConn struct {
	net.Conn
	closed *atomic.Int32
}

func (l *lateListener) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	return lateConn{conn, &l.closed}, err
}

func (c lateConn) Close() error {
	for range 10000 {
		runtime.Gosched()
	}
	defer c.closed.Add(1)
	return c.Conn.Close()
}

func TestSimulatePanics(t *testing.T) {
	ln, _ := loopback(t)
	for name, c := range map[string]struct {
		every time.Duration
		clock Clock
	}{"no period": {0, atOnce()}, "no clock": {time.Second, Clock{}}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			t.Error(Simulate(t.Context(), ln, resin(), mustDescribe(t, ticket), c.every, c.clock))
		}()
	}
}

// Each line ending described is the one that is sent.
func TestSimulateEndsLines(t *testing.T) {
	noLeaks(t)
	for ending, want := range map[string]string{"": "\r\n", "any": "\r\n", "crlf": "\r\n", "lf": "\n", "cr": "\r"} {
		ln, address := loopback(t)
		d := Description{Line: "{from}{value} {unit}*{check}", Checksum: "sum", Ending: ending}
		p := mustDescribe(t, d)
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- Simulate(ctx, ln, resin(), p, time.Second, newHandClock().clock()) }()
		a, err := ParseAddress(address)
		if err != nil {
			t.Fatal(err)
		}
		conn, err := a.Dial(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		text := make([]byte, len("0.0 MBq*00")+len(want))
		if _, err := io.ReadFull(conn, text); err != nil || !strings.HasPrefix(string(text), "0.0 MBq*") || !strings.HasSuffix(string(text), want) {
			t.Errorf("%q: %q, %v", ending, text, err)
		}
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		conn.Close()
	}
}

// A meter that cannot write its line says so before anyone connects, or while
// it serves; a listener that fails is told of too.
func TestSimulateFails(t *testing.T) {
	noLeaks(t)
	ln, _ := loopback(t)
	s := resin()
	s.Unit = "kBq"
	var e *Error
	if err := Simulate(t.Context(), ln, s, mustDescribe(t, bare), time.Second, atOnce()); !errors.As(err, &e) {
		t.Errorf("%v", err)
	}
	if err := Simulate(t.Context(), ln, resin(), mustDescribe(t, bare), time.Second, atOnce()); err == nil {
		t.Error("a closed listener was served")
	}

	// In a column of four bytes the background fits, and the sample does not.
	ln, address := loopback(t)
	p := mustDescribe(t, Description{Line: "{value:4} {unit}"})
	clock := newHandClock()
	ended := make(chan error)
	go func() { ended <- Simulate(t.Context(), ln, resin(), p, time.Second, clock.clock()) }()
	a, err := ParseAddress(address)
	if err != nil {
		t.Fatal(err)
	}
	conn, err := a.Dial(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	clock.fire(clock.next(t, time.Second))
	if err := <-ended; !errors.As(err, &e) {
		t.Errorf("%v", err)
	}
}
