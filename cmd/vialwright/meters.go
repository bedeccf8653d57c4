package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"iter"
	"maps"
	"net"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"vialwright/instrument"
	"vialwright/nuclide"
	"vialwright/people"
	"vialwright/plainyaml"
	"vialwright/quantity"
	"vialwright/web/live"
)

// connected is one meter of the file in which a site says what its activity
// meters are: its id in the cases, where it is, and its lines.
type connected struct {
	ID, Address string
	instrument.Description
	at *plainyaml.Node
}

// fields are the fields of a meter by their keys.
func (m *connected) fields() map[string]any {
	return map[string]any{
		"id": &m.ID, "address": &m.Address, "line": &m.Line, "unit": &m.Unit, "units": &m.Units,
		"stable": &m.Stable, "unstable": &m.Unstable, "nuclides": &m.Nuclides, "serial": &m.Serial,
		"decimal-comma": &m.DecimalComma, "checksum": &m.Checksum, "ending": &m.Ending, "steady": &m.Steady, "max-length": &m.MaxLength,
	}
}

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

// readMeters reads a file of meters, which is YAML or JSON. What is wrong is
// refused with its line and column.
func readMeters(data []byte) ([]line, error) {
	root, err := plainyaml.Parse(data, mostMetersFile)
	if err != nil {
		return nil, err
	}
	var list []connected
	if root.Kind != plainyaml.Nothing {
		if err := fill(&root, map[string]any{"meters": &list}); err != nil {
			return nil, err
		}
	}
	switch {
	case len(list) == 0:
		return nil, errors.New("it names no meter; write meters: and a list with id, address and line of each")
	case len(list) > mostMeters:
		return nil, fmt.Errorf("it names more than %d meters", mostMeters)
	}
	seen := map[string]bool{}
	var out []line
	for i, m := range list {
		l, field, err := m.line(seen)
		if err != nil {
			at, found := m.at.Find(field)
			if !found {
				at = m.at
			}
			return nil, fmt.Errorf("%smeter %d, %s: %w", plainyaml.Place(at.Line, at.Col), i+1, field, err)
		}
		out = append(out, l)
	}
	return out, nil
}

// fill puts the values of a mapping into fields by their keys.
func fill(n *plainyaml.Node, fields map[string]any) error {
	if n.Kind != plainyaml.Mapping {
		return misplaced(n, "fields, such as meters:")
	}
	for i := range n.Pairs() {
		key := n.Key(i)
		into, known := fields[key.Text]
		if !known {
			return fmt.Errorf("%sthere is no field called %q here; known here: %s", plainyaml.Place(key.Line, key.Col), key.Text,
				strings.Join(slices.Sorted(maps.Keys(fields)), ", "))
		}
		if err := set(n.Val(i), into); err != nil {
			return err
		}
	}
	return nil
}

// set puts a value into a field.
func set(n *plainyaml.Node, into any) error {
	want, ok := "a text", n.Kind == plainyaml.Text
	switch p := into.(type) {
	case *string:
		*p = n.Text
	case *bool:
		want, ok = "true or false", ok && (n.Text == "true" || n.Text == "false")
		*p = n.Text == "true"
	case *int:
		var err error
		*p, err = strconv.Atoi(n.Text)
		want, ok = "a whole number", ok && err == nil
	case *[]string:
		return items(n, p, func(x *plainyaml.Node) (s string, err error) { return s, set(x, &s) })
	case *[]connected:
		return items(n, p, func(x *plainyaml.Node) (connected, error) {
			m := connected{at: x}
			return m, fill(x, m.fields())
		})
	case *map[string]string:
		want, ok = "a group of texts", n.Kind == plainyaml.Mapping
		*p = map[string]string{}
		for i := range n.Pairs() {
			var s string
			if err := set(n.Val(i), &s); err != nil {
				return err
			}
			(*p)[n.Key(i).Text] = s
		}
	}
	if !ok {
		return misplaced(n, want)
	}
	return nil
}

func items[T any](n *plainyaml.Node, into *[]T, read func(*plainyaml.Node) (T, error)) error {
	if n.Kind != plainyaml.List {
		return misplaced(n, "a list")
	}
	for i := range n.Items {
		x, err := read(&n.Items[i])
		if err != nil {
			return err
		}
		*into = append(*into, x)
	}
	return nil
}

func misplaced(n *plainyaml.Node, want string) error {
	return fmt.Errorf("%s%s stands here; write %s", plainyaml.Place(n.Line, n.Col), n.Kind, want)
}

// line checks one meter; field is what is wrong.
func (m connected) line(seen map[string]bool) (l line, field string, err error) {
	if !people.IsID(m.ID) {
		return l, "id", fmt.Errorf("%q is no id; use up to 32 of A-Z a-z 0-9 . _ - and begin with a letter or digit", m.ID)
	}
	if seen[m.ID] {
		return l, "id", fmt.Errorf("%s is there twice", m.ID)
	}
	seen[m.ID] = true
	l.id = m.ID
	if l.at, err = instrument.ParseAddress(m.Address); err != nil {
		return l, "address", err
	}
	if l.parser, err = instrument.Describe(m.Description); err != nil {
		field = "description"
		if e, ok := errors.AsType[*instrument.Error](err); ok && (e.Code == instrument.CodePattern || m.Line == "") {
			field = "line"
		}
		return l, field, err
	}
	return l, "", nil
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
	return instrument.Simulate(ctx, ln, s, p, time.Duration(float64(every)*1e9), instrument.Clock{Now: e.now, After: time.After})
}
