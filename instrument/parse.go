package instrument

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"vialwright/quantity"
)

// State is what a line says about whether its reading has settled.
type State int

// The states. The zero State is that of a line without such a flag.
const (
	Unflagged State = iota // the line does not say; the person at the meter must
	Unstable               // the display had not settled: never to be used as it is
	Stable                 // the display had settled
)

// String gives the state in one word.
func (s State) String() string {
	return cmp.Or(map[State]string{Unstable: "unstable", Stable: "stable"}[s], "unflagged")
}

// Reading is what one line says. It is what the meter displayed: background,
// calibration and geometry are still to be dealt with.
type Reading struct {
	Activity quantity.Stated[quantity.Activity] // Bq, with the digits as the meter wrote them
	State    State
	Nuclide  string // the meter's setting as written, empty where the line has none
	Insert   string // the insert in the well as written, empty where the line has none
	Serial   string // the meter's serial number as written, empty where the line has none
	Raw      string // the line without its ending, byte for byte; it need not be UTF-8
}

// Parse reads one line, given without its ending. Every refusal is an
// [*Error] with the place on the line, counted in bytes from 1. In this order:
// a line that is too long, that departs from the pattern, that a checksum
// shows to be damaged, whose number, unit, nuclide or serial number is not as
// described. An unstable reading is read and marked, not refused.
func (p *Parser) Parse(line []byte) (Reading, error) {
	if len(line) > p.max {
		return Reading{}, p.tooLong(line)
	}
	m, err := p.match(line)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{State: m.state, Raw: string(line)}
	for _, step := range []func(*Parser, string, *matched, *Reading) *Error{
		(*Parser).takeChecksum, (*Parser).takeActivity, (*Parser).takeNames,
	} {
		if err := step(p, r.Raw, &m, &r); err != nil {
			return Reading{}, err
		}
	}
	return r, nil
}

// tooLong refuses an over-long line, of which the beginning is at hand.
func (p *Parser) tooLong(line []byte) *Error {
	return refuse(CodeLong, string(line), p.max+1, fmt.Sprintf("the line is longer than %d bytes", p.max), "are the line ending, baud rate and longest length right?")
}

// takeChecksum compares the digits on the line with those of its text.
func (p *Parser) takeChecksum(line string, m *matched, _ *Reading) *Error {
	if p.sum == nil {
		return nil
	}
	s := m.fields[check]
	want := p.sum.text([]byte(line[m.fields[from].start:m.fields[to].start]))
	if got := line[s.start:s.end]; !strings.EqualFold(got, want) {
		return refuse(CodeChecksum, line, s.start+1, "the "+p.sum.name+" checksum of this line is "+want+", and it says "+got, "the line was damaged, or {from}, {to} and the algorithm do not fit this meter")
	}
	return nil
}

func (p *Parser) takeActivity(line string, m *matched, r *Reading) *Error {
	number, err := p.number(line, m)
	if err != nil {
		return err
	}
	symbol, err := p.unitOf(line, m)
	if err != nil {
		return err
	}
	a, parseErr := quantity.Parse[quantity.Activity](number + " " + symbol)
	if parseErr != nil {
		return p.blame(line, m, parseErr)
	}
	r.Activity = a
	return nil
}

// unitOf gives the unit of the line in a spelling that quantity reads.
func (p *Parser) unitOf(line string, m *matched) (string, *Error) {
	if p.unit != "" {
		return p.unit, p.hiddenUnit(line, m)
	}
	s := m.fields[unit]
	text := line[s.start:s.end]
	if p.units == nil {
		return text, nil
	}
	if u, ok := p.units[text]; ok {
		return u, nil
	}
	var known []string
	for t := range p.units {
		known = append(known, fmt.Sprintf("%q", t))
	}
	slices.Sort(known)
	return "", refuse(CodeUnit, line, s.start+1, "the unit is none of those described", "they are "+strings.Join(known, ", "))
}

// hiddenUnit refuses a line whose fixed unit is contradicted by a text that
// the pattern passes over.
func (p *Parser) hiddenUnit(line string, m *matched) *Error {
	for _, s := range append(slices.Clone(m.skips), passed{span: m.fields[nuclide]}, passed{span: m.fields[insert]}, passed{span: m.fields[serial]}) {
		if u := otherUnit([]byte(line[s.start:s.end]), p.unit); u != "" {
			return refuse(CodeUnit, line, s.start+1, fmt.Sprintf("the line says %s where the pattern passes over it, and the fixed unit is %s", u, p.unit), "write {unit} there instead of a fixed unit")
		}
	}
	return nil
}

// blame turns a refusal of quantity into one with its place on the line.
func (p *Parser) blame(line string, m *matched, err error) *Error {
	e := refuse(CodeNumber, line, m.fields[value].start+1, err.Error(), "")
	var q *quantity.Error
	if errors.As(err, &q) {
		e.Msg, e.Hint = q.Msg, q.Hint
		if !slices.Contains([]string{quantity.CodeTooLong, quantity.CodeTooLarge, quantity.CodeTooSmall}, q.Code) {
			e.Code, e.At = CodeUnit, m.fields[unit].start+1
		}
	}
	e.cause = err
	return e
}

// takeNames keeps nuclide, insert and serial number, and refuses those not asked for.
func (p *Parser) takeNames(line string, m *matched, r *Reading) *Error {
	n, i, s := m.fields[nuclide], m.fields[insert], m.fields[serial]
	r.Nuclide, r.Insert, r.Serial = line[n.start:n.end], line[i.start:i.end], line[s.start:s.end]
	if len(p.nuclides) > 0 && !slices.Contains(p.nuclides, r.Nuclide) {
		return refuse(CodeNuclide, line, n.start+1, "the meter is set to another nuclide than "+strings.Join(p.nuclides, " or "), "set the meter, and read again")
	}
	if p.serial != "" && p.serial != r.Serial {
		return refuse(CodeSerial, line, s.start+1, "this is not the meter "+p.serial, "check which meter is connected")
	}
	return nil
}
