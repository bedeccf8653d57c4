package instrument

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"vialwright/quantity"
)

// Description is what a site says about the line its meter writes. The names
// in the tags are those of a configuration file. In every text {xNN} is the
// byte with that hexadecimal number, and {{ and }} are braces.
type Description struct {
	// Line is the pattern of one line, in the grammar of the package comment.
	Line string `json:"line"`
	// Unit is the activity unit of the number where the line itself has none,
	// such as MBq. A pattern has either {unit} or this, never both.
	Unit string `json:"unit,omitempty"`
	// Units says which unit is meant by each text that may stand at {unit},
	// where the meter does not write the units as this program does, such as
	// MBQ for MBq. If it is given no other text is read.
	Units map[string]string `json:"units,omitempty"`
	// Stable and Unstable are the texts at {state} that mean a reading that
	// has settled, and one that has not. Letter case matters.
	Stable   []string `json:"stable,omitempty"`
	Unstable []string `json:"unstable,omitempty"`
	// Nuclides are the texts allowed at {nuclide}: a line made with another
	// setting of the meter is refused. Without it every nuclide is read.
	Nuclides []string `json:"nuclides,omitempty"`
	// Serial is the text required at {serial}: a line of another meter is
	// refused. Without it every serial number is read.
	Serial string `json:"serial,omitempty"`
	// DecimalComma says that the meter writes 12,5 for 12.5.
	DecimalComma bool `json:"decimal-comma,omitempty"`
	// Checksum names the algorithm of {check}: xor, sum, crc16/arc,
	// crc16/modbus, crc16/kermit, crc16/xmodem or crc16/ibm-3740. Empty or
	// "none" means that the line has no checksum.
	Checksum string `json:"checksum,omitempty"`
	// Ending is what ends a line: crlf, lf, cr, or any of the three, which is
	// also the meaning of an empty text.
	Ending string `json:"ending,omitempty"`
	// Steady says that the meter sends line after line by itself. Then the line
	// after a pause longer than the gap of two seconds is set aside, since its
	// beginning may be missing: a cable may have been plugged in again. A meter
	// that sends only when asked to must be described without it.
	Steady bool `json:"steady,omitempty"`
	// MaxLength is the length of the longest line in bytes, 8 to 4096; 0 means
	// 256.
	MaxLength int `json:"max-length,omitempty"`
}

// The line endings by name, and the lengths of a line.
const (
	endAny  = "any"
	endCRLF = "crlf"
	endLF   = "lf"
	endCR   = "cr"

	usualLength    = 256
	shortestLength = 8
	longestLength  = 4096
)

// Parser reads the lines that a Description describes. It never changes and
// may be used by many goroutines at once.
type Parser struct {
	tokens   []token
	has      [kinds]bool
	unit     string            // fixed, or empty
	units    map[string]string // text on the line to unit; nil where quantity reads it
	states   []flag            // longest text first
	nuclides []string
	serial   string
	comma    bool
	sum      *sum
	ending   string
	steady   bool
	max      int
}

// flag is one text at {state} and what it means.
type flag struct {
	text  string
	means State
}

// Describe checks a description and makes its parser. The refusals are
// [*Error]s with CodePattern (At is the place in the pattern) or
// CodeDescription. They come in this order: the pattern's grammar, its fields,
// the unit, the stability texts, nuclide and serial number, the checksum, the
// line ending and length, and last what could be read in two ways.
func Describe(d Description) (*Parser, error) {
	tokens, err := scanPattern(d.Line)
	if err != nil {
		return nil, err
	}
	p := &Parser{tokens: tokens, comma: d.DecimalComma}
	for _, step := range []func(*Parser, Description) *Error{
		(*Parser).setFields, (*Parser).setUnit, (*Parser).setUnits, (*Parser).setStates,
		(*Parser).setNames, (*Parser).setChecksum, (*Parser).setEnding, (*Parser).setStops, (*Parser).unambiguous,
	} {
		if err := step(p, d); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// setFields counts the fields: one {value}, and every other at most once but
// {skip}.
func (p *Parser) setFields(d Description) *Error {
	for _, t := range p.tokens {
		if p.has[t.kind] && t.kind != literal && t.kind != blank && t.kind != skip {
			return refuse(CodePattern, d.Line, t.at, t.name()+" stands there twice", "write {skip} for a text that is not wanted")
		}
		p.has[t.kind] = true
	}
	if !p.has[value] {
		return refuse(CodePattern, d.Line, 0, "{value} is missing", "write {value} where the number of the activity stands")
	}
	return nil
}

// setUnit takes the fixed unit: the line says one or the description, not
// both and not neither.
func (p *Parser) setUnit(d Description) *Error {
	known := quantity.Units[quantity.Activity]()
	switch {
	case p.has[unit] && d.Unit != "":
		return refuse(CodeDescription, d.Unit, 0, "the unit is given twice, by {unit} and by the description", "leave out the fixed unit")
	case p.has[unit]:
		return nil
	case d.Unit == "":
		return refuse(CodePattern, d.Line, 0, "nothing says in which unit the number is", "write {unit} into the pattern, or give the fixed unit: one of "+strings.Join(known, ", "))
	case !slices.Contains(known, d.Unit):
		return refuse(CodeDescription, d.Unit, 0, "this is no activity unit", "one of "+strings.Join(known, ", "))
	}
	p.unit = d.Unit
	for _, t := range p.tokens {
		if t.kind != literal {
			continue
		}
		if u := otherUnit(t.text, p.unit); u != "" {
			return refuse(CodePattern, d.Line, t.at, "the pattern says "+u+" and the fixed unit is "+p.unit, "one of the two is wrong")
		}
	}
	return nil
}

func (p *Parser) setUnits(d Description) *Error {
	if len(d.Units) == 0 {
		return nil
	}
	if !p.has[unit] {
		return refuse(CodeDescription, "", 0, "unit texts are given, and the pattern has no {unit}", "write {unit} where the unit stands")
	}
	known := quantity.Units[quantity.Activity]()
	width := p.token(unit).width
	p.units = map[string]string{}
	for _, text := range slices.Sorted(maps.Keys(d.Units)) {
		key, err := plain(text)
		switch {
		case err != nil:
			return err
		case key == "" || strings.ContainsAny(key, " \t") || p.units[key] != "":
			return refuse(CodeDescription, text, 0, "a unit text is empty, has a blank in it, or is there twice", "write it as it stands on the line")
		case numeric(key[0]) || width > 0 && len(key) > width:
			return refuse(CodeDescription, text, 0, "a unit text begins like a number, or is wider than {unit}", "check the text and the width")
		case !slices.Contains(known, d.Units[text]):
			return refuse(CodeDescription, d.Units[text], 0, "this is no activity unit", "one of "+strings.Join(known, ", "))
		}
		p.units[key] = d.Units[text]
	}
	return nil
}

func (p *Parser) setStates(d Description) *Error {
	switch {
	case !p.has[state] && len(d.Stable)+len(d.Unstable) == 0:
		return nil
	case !p.has[state]:
		return refuse(CodeDescription, "", 0, "stable or unstable texts are given, and the pattern has no {state}", "write {state} where they stand")
	case len(d.Stable) == 0 || len(d.Unstable) == 0:
		return refuse(CodeDescription, "", 0, "{state} needs the texts that mean stable and those that mean unstable", "give both lists")
	}
	for i, text := range slices.Concat(d.Stable, d.Unstable) {
		means := Unstable
		if i < len(d.Stable) {
			means = Stable
		}
		if err := p.addState(text, means); err != nil {
			return err
		}
	}
	slices.SortStableFunc(p.states, func(a, b flag) int { return len(b.text) - len(a.text) })
	return nil
}

func (p *Parser) addState(written string, means State) *Error {
	text, err := plain(written)
	if err != nil {
		return err
	}
	width := p.token(state).width
	if width > 0 { // a column is read without the blanks at its ends
		text = strings.Trim(text, " \t")
	}
	switch {
	case width == 0 && text == "" && means == Stable:
		return refuse(CodeDescription, "", 0, "an empty text cannot mean stable: a lost character would look the same", "give {state} its width, like {state:1}, if a blank column means stable")
	case width > 0 && len(text) > width:
		return refuse(CodeDescription, written, 0, "this text is wider than {state:"+strconv.Itoa(width)+"}", "check the width")
	case slices.ContainsFunc(p.states, func(f flag) bool { return f.text == text }):
		return refuse(CodeDescription, written, 0, "this text is given twice at {state}", "each text means stable or unstable")
	}
	p.states = append(p.states, flag{text, means})
	return nil
}

// setNames takes the nuclides and the serial number asked for.
func (p *Parser) setNames(d Description) *Error {
	if len(d.Nuclides) > 0 && !p.has[nuclide] {
		return refuse(CodeDescription, d.Nuclides[0], 0, "a nuclide is asked for, and the pattern has no {nuclide}", "write {nuclide} where it stands")
	}
	if d.Serial != "" && !p.has[serial] {
		return refuse(CodeDescription, d.Serial, 0, "a serial number is asked for, and the pattern has no {serial}", "write {serial} where it stands")
	}
	p.serial, p.nuclides = d.Serial, slices.Clone(d.Nuclides)
	for _, name := range append(slices.Clone(d.Nuclides), d.Serial) {
		if strings.Trim(name, " ") != name || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r > '~' }) {
			return refuse(CodeDescription, name, 0, "a nuclide or serial number has only ASCII characters, and no blank at its ends", "write it as it stands on the line")
		}
	}
	if slices.Contains(d.Nuclides, "") {
		return refuse(CodeDescription, "", 0, "an empty nuclide is asked for", "leave it out")
	}
	return nil
}

func (p *Parser) setChecksum(d Description) (err *Error) {
	if p.sum, err = findSum(d.Checksum); err != nil {
		return err
	}
	switch {
	case p.sum != nil && !p.has[check]:
		return refuse(CodePattern, d.Line, 0, "a checksum is named, and the pattern has no {check}", "write {check} where its digits stand")
	case p.sum == nil && p.has[check]:
		return refuse(CodePattern, d.Line, p.token(check).at, "{check} stands there, and no checksum is named", "name the algorithm")
	case p.sum == nil && (p.has[from] || p.has[to]):
		return refuse(CodePattern, d.Line, 0, "{from} and {to} belong to a checksum, and none is named", "name the algorithm, or leave them out")
	}
	order := []kind{}
	for _, t := range p.tokens {
		if t.kind == from || t.kind == to || t.kind == check {
			order = append(order, t.kind)
		}
	}
	if !slices.IsSorted(order) { // from < to < check, as the kinds are numbered
		return refuse(CodePattern, d.Line, 0, "{from}, {to} and {check} stand in another order", "the checksum follows what it checks")
	}
	return nil
}

func (p *Parser) setEnding(d Description) *Error {
	p.ending, p.max, p.steady = d.Ending, d.MaxLength, d.Steady
	if p.ending == "" {
		p.ending = endAny
	}
	if p.max == 0 {
		p.max = usualLength
	}
	if !slices.Contains([]string{endAny, endCRLF, endLF, endCR}, p.ending) {
		return refuse(CodeDescription, d.Ending, 0, "there is no line ending of that name", "one of crlf, lf, cr, any")
	}
	if p.max < shortestLength || p.max > longestLength {
		return refuse(CodeDescription, strconv.Itoa(d.MaxLength), 0, "a line is "+strconv.Itoa(shortestLength)+" to "+strconv.Itoa(longestLength)+" bytes long at most", "leave it out for "+strconv.Itoa(usualLength))
	}
	for _, t := range p.tokens {
		if i := slices.IndexFunc(t.text, func(b byte) bool { return b == '\r' || b == '\n' }); i >= 0 {
			return refuse(CodePattern, d.Line, t.at, "a line ending stands inside the line", "leave it out: the ending is given by itself")
		}
	}
	return nil
}

// setStops tells each field the byte of the literal that follows it.
func (p *Parser) setStops(Description) *Error {
	for i := range p.tokens {
		if n := p.next(i); n < len(p.tokens) && p.tokens[n].kind == literal {
			p.tokens[i].stop = int(p.tokens[n].text[0])
		}
	}
	return nil
}

// next is the index of the token after i that takes up room on the line.
func (p *Parser) next(i int) int {
	for i++; i < len(p.tokens) && (p.tokens[i].kind == from || p.tokens[i].kind == to); i++ {
	}
	return i
}

// token gives the token of a kind that the pattern has.
func (p *Parser) token(k kind) token {
	return p.tokens[slices.IndexFunc(p.tokens, func(t token) bool { return t.kind == k })]
}
