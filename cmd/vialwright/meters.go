package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"iter"
	"os"
	"regexp"
	"sync"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"vialwright/instrument"
	"vialwright/web"
	"vialwright/web/live"
)

// metersFile is what a site says of its activity meters: YAML, of which JSON
// is a part.
type metersFile struct {
	Meters []connected `json:"meters"`
}

// connected is one meter: its id in the cases, where it is, and its lines.
type connected struct {
	ID                     string `json:"id"`
	Address                string `json:"address"`
	instrument.Description `yaml:",inline"`
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

// meterID is an id as the journal has them.
var meterID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$`)

// readMeters reads a file of meters. What is wrong is refused with its line
// and column.
func readMeters(data []byte) ([]line, error) {
	if len(data) > mostMetersFile {
		return nil, fmt.Errorf("it has more than %d bytes", mostMetersFile)
	}
	f, root, err := parseMeters(data)
	if err != nil {
		return nil, err
	}
	switch {
	case len(f.Meters) == 0:
		return nil, errors.New("it names no meter; write meters: and a list with id, address and line of each")
	case len(f.Meters) > mostMeters:
		return nil, fmt.Errorf("it names more than %d meters", mostMeters)
	}
	seen := map[string]bool{}
	var out []line
	for i, m := range f.Meters {
		l, field, err := m.line(seen)
		if err != nil {
			return nil, fmt.Errorf("%smeter %d, %s: %w", placeOf(root, i, field), i+1, field, err)
		}
		out = append(out, l)
	}
	return out, nil
}

// parseMeters reads the YAML. Its library panics at some documents that are
// none, such as a tag without a value.
func parseMeters(data []byte) (f metersFile, root *ast.File, err error) {
	defer func() {
		if recover() != nil {
			err = errors.New("it cannot be read as YAML; write it as in vialwright serve --help")
		}
	}()
	if root, err = parser.ParseBytes(data, 0); err != nil {
		return f, nil, placedError(err)
	}
	if len(root.Docs) > 1 {
		return f, nil, errors.New("it holds more than one document")
	}
	if err := yaml.UnmarshalWithOptions(data, &f, yaml.Strict()); err != nil {
		return f, nil, placedError(err)
	}
	return f, root, nil
}

// line checks one meter; field is what is wrong.
func (m connected) line(seen map[string]bool) (l line, field string, err error) {
	if !meterID.MatchString(m.ID) {
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

// placeOf is the line and column of a field of a meter, or of the meter where
// the field is not there; empty where neither is found.
func placeOf(root *ast.File, i int, field string) string {
	for _, path := range []string{fmt.Sprintf("$.meters[%d].%s", i, field), fmt.Sprintf("$.meters[%d]", i)} {
		p, err := yaml.PathString(path)
		if err != nil {
			continue
		}
		node, err := p.FilterFile(root)
		if err != nil || node == nil || node.GetToken() == nil {
			continue
		}
		at := node.GetToken().Position
		if m, ok := node.(*ast.MappingNode); ok && len(m.Values) > 0 {
			at = m.Values[0].Key.GetToken().Position
		}
		return fmt.Sprintf("line %d, column %d: ", at.Line, at.Column)
	}
	return ""
}

// placedError is an error of the YAML reader in one line.
func placedError(err error) error {
	if e, ok := errors.AsType[yaml.Error](err); ok {
		if t := e.GetToken(); t != nil {
			return fmt.Errorf("line %d, column %d: %s", t.Position.Line, t.Position.Column, e.GetMessage())
		}
		return errors.New(e.GetMessage())
	}
	return err
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
func (c *serveCmd) meters(e *edge, b *opened) (web.Meters, error) {
	switch {
	case c.Meters == "" && c.Practice:
		p, err := instrument.Describe(practiceMeter)
		if err != nil {
			return nil, err
		}
		return live.NewInvented(e.now, rand.Reader, loadZone, p, uint64(e.now().UnixNano())), nil
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
	b.meters = listen(lines, instrument.Clock{Now: e.now, After: time.After})
	return b.meters.board, nil
}
