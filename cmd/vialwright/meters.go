package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"iter"
	"net"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"sync"
	"time"

	"vialwright/form"
	"vialwright/instrument"
	"vialwright/nuclide"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/live"
)

// line is a meter that can be read.
type line struct {
	id     string
	at     instrument.Address
	parser *instrument.Parser
}

// metersExample describes the meter that simulate-meter plays.
const metersExample = `  meters:
    - id: M1
      address: tcp://127.0.0.1:7077
      line: "{serial} {nuclide} {value} {unit} {state}{to}*{check}"
      stable: [steady]
      unstable: [moving]
      checksum: crc16/xmodem
      ending: crlf
      steady: true
`

// mostMeters bounds the meters, and mostMetersFile the bytes, of one file.
const (
	mostMeters     = 16
	mostMetersFile = 1 << 16
)

// readMeters reads a file of meters, which is YAML or JSON: the activity meters of a site by
// their ids in the cases, where each is, and its lines. What is wrong is refused with its
// line and column.
func readMeters(data []byte) ([]line, error) {
	f, err := form.Open(data, mostMetersFile)
	if err != nil {
		return nil, err
	}
	groups := f.Groups("meters", form.Must)
	if len(groups) == 0 || len(groups) > mostMeters {
		f.Fail("meters", "count", fmt.Sprintf("it names %d meters", len(groups)), fmt.Sprintf("write 1 to %d, each with id, address and line", mostMeters))
	}
	var out []line
	for _, g := range groups {
		l := line{id: g.Text("id", form.Must)}
		switch {
		case !people.IsID(l.id):
			g.Fail("id", "no-id", strconv.Quote(l.id)+" is no id", "use up to 32 of A-Z a-z 0-9 . _ - and begin with a letter or digit")
		case slices.ContainsFunc(out, func(o line) bool { return o.id == l.id }):
			g.Fail("id", "twice", l.id+" is there twice", "give each meter an id of its own")
		}
		if l.at, err = instrument.ParseAddress(g.Text("address", form.Must)); err != nil {
			g.Fail("address", "no-address", err.Error(), "")
		}
		d := describedIn(g)
		if l.parser, err = instrument.Describe(d); err != nil {
			field := "description" // of no one field: the fault is shown at the meter
			if e, ok := errors.AsType[*instrument.Error](err); ok && (e.Code == instrument.CodePattern || d.Line == "") {
				field = "line"
			}
			g.Fail(field, "no-description", err.Error(), "")
		}
		out = append(out, l)
	}
	if err := f.Done(); err != nil {
		return nil, err
	}
	return out, nil
}

// describedIn reads how the lines of a meter are written.
func describedIn(g *form.Fields) instrument.Description {
	yes := func(key string) bool { return g.Word(key, form.May, "true", "false") == "true" }
	d := instrument.Description{
		Line: g.Exact("line", form.Must), Unit: g.Exact("unit", form.May), Units: g.Words("units", form.May),
		Stable: g.Texts("stable", form.May), Unstable: g.Texts("unstable", form.May), Nuclides: g.Texts("nuclides", form.May), Serial: g.Exact("serial", form.May),
		DecimalComma: yes("decimal-comma"), Checksum: g.Text("checksum", form.May), Ending: g.Text("ending", form.May), Steady: yes("steady"),
	}
	if s := g.Text("max-length", form.May); s != "" {
		var err error
		if d.MaxLength, err = strconv.Atoi(s); err != nil {
			g.Fail("max-length", "no-number", strconv.Quote(s)+" is no whole number", "write the longest line in bytes")
		}
	}
	return d
}

// listening are the meters that are being read.
type listening struct {
	board *live.Board
	end   context.CancelFunc
	all   sync.WaitGroup
}

// listen reads each meter in a goroutine of its own, until close.
func listen(lines []line, clock instrument.Clock) *listening {
	ctx, end := context.WithCancel(context.Background())
	var ids []string
	for _, l := range lines {
		ids = append(ids, l.id)
	}
	out := &listening{board: live.NewBoard(rand.Reader, ids...), end: end}
	for _, l := range lines {
		var events iter.Seq[instrument.Event] = instrument.Read(ctx, l.at.Dial, l.parser, instrument.Options{Clock: clock, Source: l.at.String()})
		out.all.Go(func() { out.board.Follow(l.id, events) })
	}
	return out
}

// close ends the reading and waits for it.
func (l *listening) close() {
	l.end()
	l.all.Wait()
}

// meters opens the meters that the command line names; in practice, where it
// names none, an invented one. They are closed with the rest.
func (c *serveCmd) meters(now func() time.Time, b *opened) (live.Meters, error) {
	switch {
	case c.Meters == "" && c.Practice:
		p, err := instrument.Describe(practiceMeter)
		if err != nil {
			return nil, err
		}
		return live.NewInvented(now, rand.Reader, loadZone, p, uint64(now().UnixNano())), nil
	case c.Meters == "":
		return nil, nil
	}
	data, err := os.ReadFile(c.Meters)
	if err != nil {
		return nil, usageError("--meters: %s: %v", c.Meters, reason(err))
	}
	lines, err := readMeters(data)
	if err != nil {
		return nil, usageError("--meters: %s: %v", c.Meters, err)
	}
	b.meters = listen(lines, instrument.Clock{Now: now, After: time.After})
	return b.meters.board, nil
}

// practiceMeter is the line of the invented meter that simulate-meter plays.
var practiceMeter = instrument.Description{
	Line: "{serial} {nuclide} {value} {unit} {state}{to}*{check}", Checksum: "crc16/xmodem",
	Stable: []string{"steady"}, Unstable: []string{"moving"}, Ending: "crlf", Steady: true,
}

// simulateMeterCmd plays an activity meter that does not exist.
type simulateMeterCmd struct {
	Listen        string                    `default:"127.0.0.1:7077" help:"Address to listen on."`
	Activity      amount[quantity.Activity] `default:"3.24 GBq" help:"What is in the well, when it starts."`
	Background    amount[quantity.Activity] `default:"0.2 MBq" help:"What it shows empty."`
	Repeatability amount[quantity.Fraction] `default:"0.8 %" help:"Relative standard deviation of one reading."`
	Settling      amount[quantity.Span]     `default:"8 s" help:"How long a reading moves before it is steady."`
	Every         amount[quantity.Span]     `default:"1 s" help:"Time between lines."`
	Seed          uint64                    `default:"1" help:"The same seed gives the same readings."`
}

func (simulateMeterCmd) Help() string {
	return `An invented instrument for practice and tests, like no meter on the market. It sends lines such as

  PRACTICE-1 Y-90 3.2412 GBq steady*3F0A

to anyone who connects. Its description as a bench reads it is printed at the start. Stop it with Ctrl-C.

To see its lines at a bench, write this into a file, such as meters.yaml:

` + metersExample + `
and open the bench with it, in a second terminal:

  vialwright serve --practice --meters meters.yaml

Without --meters, serve --practice has an invented meter of its own, which knows what stands in its well; this one shows the same sample whatever the bench does.`
}

func (c *simulateMeterCmd) Run(e *edge) error {
	s := instrument.Simulation{
		Activity: c.Activity.value(), In: e.now(),
		HalfLife:      nuclide.Y90.HalfLife().Value,
		Background:    c.Background.value(),
		Repeatability: c.Repeatability.value(),
		Settling:      c.Settling.value(),
		Unit:          "GBq", Decimals: 4, Nuclide: "Y-90", Serial: "PRACTICE-1", Seed: c.Seed,
	}
	every := c.Every.value()
	if every < 0.01 || every > 3600 {
		return usageError("--every: %s is outside 0.01 s to 1 h", c.Every)
	}
	p, err := instrument.Describe(practiceMeter)
	if err != nil {
		return err
	}
	ln, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return usageError("--listen: %v", err)
	}
	fmt.Fprintf(e.out, "Invented meter at tcp://%s\nline: %s\n", ln.Addr(), practiceMeter.Line)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return instrument.Simulate(ctx, ln, s, p, every.Duration(), instrument.Clock{Now: e.now, After: time.After})
}
