package instrument

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// span is a piece of a line.
type span struct{ start, end int }

// passed is a text that was passed over.
type passed struct {
	span
	loose bool // it has no width of its own
}

// matched is where everything stands on a line.
type matched struct {
	fields [kinds]span // from and to: where they stand, with no length
	skips  []passed
	state  State
}

// matcher follows a pattern along a line, without ever going back: so a
// refusal has one place, the first byte that departs from the pattern.
type matcher struct {
	p    *Parser
	line []byte
	pos  int
	out  matched
}

func (p *Parser) match(line []byte) (matched, *Error) {
	m := &matcher{p: p, line: line}
	m.out.fields[from] = span{0, 0}
	for i, t := range p.tokens {
		if err := m.token(i, t); err != nil {
			return matched{}, err
		}
	}
	m.pos += blanks(line[m.pos:])
	if m.pos < len(line) {
		return matched{}, m.no(CodeEnd, "the end of the line", "")
	}
	return m.out, nil
}

func (m *matcher) no(code, expected, hint string) *Error {
	found := "the line ends here"
	if m.pos < len(m.line) {
		rest := m.line[m.pos:min(len(m.line), m.pos+12)]
		found = strconv.Quote(string(rest)) + " stands here"
	} else {
		code = CodeEnd
	}
	return refuse(code, string(m.line), m.pos+1, expected+" was expected, and "+found, hint)
}

func (m *matcher) token(i int, t token) *Error {
	start := m.pos
	var err *Error
	switch t.kind {
	case literal:
		return m.literal(t)
	case blank:
		if m.pos += blanks(m.line[m.pos:]); m.pos == start {
			return m.no(CodeText, "a blank", "")
		}
		return nil
	case from, to:
		m.out.fields[t.kind] = span{start, start}
		return nil
	case check:
		if !m.p.has[to] {
			m.out.fields[to] = span{start, start}
		}
		m.out.fields[check], err = m.check()
		return err
	case skip:
		s, err := m.skip(i, t)
		m.out.skips = append(m.out.skips, passed{s, t.width == 0})
		return err
	case state:
		m.out.fields[state], err = m.state(t)
		return err
	case value:
		m.out.fields[value], err = m.value(t)
		return err
	}
	m.out.fields[t.kind], err = m.word(t)
	return err
}

func (m *matcher) literal(t token) *Error {
	rest := m.line[m.pos:]
	if bytes.HasPrefix(rest, t.text) {
		m.pos += len(t.text)
		return nil
	}
	same := 0
	for same < len(rest) && same < len(t.text) && rest[same] == t.text[same] {
		same++
	}
	m.pos += same
	return m.no(CodeText, strconv.Quote(string(t.text[same:])), "")
}

// column takes a field of fixed width and trims the blanks at its ends.
func (m *matcher) column(t token) (span, *Error) {
	if m.pos+t.width > len(m.line) {
		m.pos = len(m.line)
		return span{}, m.no(CodeEnd, fmt.Sprintf("{%s:%d}", fieldNames[t.kind], t.width), "")
	}
	s := span{m.pos, m.pos + t.width}
	if i := bytes.IndexFunc(m.line[s.start:s.end], func(r rune) bool { return r < 0x80 && isControl(byte(r)) }); i >= 0 {
		m.pos += i
		return span{}, m.no(CodeText, t.name(), unreadable)
	}
	m.pos = s.end
	s.start += blanks(m.line[s.start:s.end])
	for s.end > s.start && isBlank(m.line[s.end-1]) {
		s.end--
	}
	return s, nil
}

// unreadable is the hint where a control character stands in a field.
const unreadable = "a control character: are baud rate, bits and parity right?"

// value finds the number: all that looks like part of one.
func (m *matcher) value(t token) (s span, err *Error) {
	if t.width > 0 {
		if s, err = m.column(t); err == nil && s.start == s.end {
			m.pos -= t.width
			return s, m.no(CodeNumber, "a number", "")
		}
		return s, err
	}
	m.pos += blanks(m.line[m.pos:])
	s.start = m.pos
	for m.pos < len(m.line) && int(m.line[m.pos]) != t.stop && m.goesOn(s.start) {
		m.pos++
	}
	if m.pos == s.start {
		return s, m.no(CodeNumber, "a number", "")
	}
	s.end = m.pos
	return s, nil
}

// goesOn tells whether the byte here can belong to the number that began at
// start: an e does if a digit stands before it and a digit or sign after it.
func (m *matcher) goesOn(start int) bool {
	b := m.line[m.pos]
	if b|0x20 != 'e' {
		return numeric(b)
	}
	return m.pos > start && isDigit(m.line[m.pos-1]) && m.pos+1 < len(m.line) &&
		(isDigit(m.line[m.pos+1]) || m.line[m.pos+1] == '-' || m.line[m.pos+1] == '+')
}

// word finds a unit, nuclide, insert or serial number: it ends at a blank, at the text
// that follows in the pattern, or with the line.
func (m *matcher) word(t token) (s span, err *Error) {
	code := map[kind]string{unit: CodeUnit, nuclide: CodeNuclide, insert: CodeInsert, serial: CodeSerial}[t.kind]
	if t.width > 0 {
		if s, err = m.column(t); err != nil {
			return s, err
		}
	} else {
		m.pos += blanks(m.line[m.pos:])
		s.start = m.pos
		for m.pos < len(m.line) && int(m.line[m.pos]) != t.stop && m.line[m.pos] > ' ' && m.line[m.pos] != 0x7f {
			m.pos++
		}
		s.end = m.pos
	}
	if s.start == s.end {
		m.pos -= t.width
		return s, m.no(code, t.name(), "")
	}
	if t.kind == unit && numeric(m.line[s.start]) {
		m.pos = s.start
		return s, m.no(code, "a unit", "does the meter group its digits?")
	}
	if i := bytes.IndexFunc(m.line[s.start:s.end], func(r rune) bool { return r >= 0x80 }); i >= 0 && t.kind != unit {
		m.pos = s.start + i
		return s, m.no(code, "an ASCII character", "")
	}
	return s, nil
}

// state finds one of the stable and unstable texts, the longest that fits.
func (m *matcher) state(t token) (s span, err *Error) {
	start := m.pos
	if t.width > 0 {
		if s, err = m.column(t); err != nil {
			return s, err
		}
	}
	for _, f := range m.p.states {
		if t.width == 0 {
			s = span{start, start + len(f.text)}
			// Not where the text is only the beginning of a word.
			goesOn := s.end > s.start && s.end < len(m.line) && isWord(m.line[s.end-1]) && isWord(m.line[s.end])
			if goesOn || !bytes.HasPrefix(m.line[start:], []byte(f.text)) {
				continue
			}
			m.pos = s.end
		} else if string(m.line[s.start:s.end]) != f.text {
			continue
		}
		m.out.state = f.means
		return s, nil
	}
	m.pos = start
	var texts []string
	for _, f := range m.p.states {
		texts = append(texts, strconv.Quote(f.text)+" ("+f.means.String()+")")
	}
	return s, m.no(CodeState, strings.Join(texts, " or "), "a reading is taken as stable only if the line says so")
}

// skip passes over the shortest text after which the fixed text that follows
// in the pattern, up to the next field, fits.
func (m *matcher) skip(i int, t token) (s span, err *Error) {
	if t.width > 0 {
		return m.column(t)
	}
	s.start = m.pos
	fixed := m.p.tokens[i+1:]
	for n, f := range fixed {
		if f.isField() {
			fixed = fixed[:n]
			break
		}
	}
	for end := s.start; end <= len(m.line); end++ {
		if m.fits(fixed, end) {
			m.pos, s.end = end, end
			return s, nil
		}
		if end < len(m.line) && isControl(m.line[end]) {
			m.pos = end
			return s, m.no(CodeText, t.name(), unreadable)
		}
	}
	first := fixed[0]
	if n := m.p.next(i); n < len(m.p.tokens) {
		first = m.p.tokens[n]
	}
	return s, m.no(CodeText, "a text with "+first.name()+" after it", "")
}

// fits tells whether the fixed tokens match the line at pos; with none left
// the line must end there.
func (m *matcher) fits(fixed []token, pos int) bool {
	some := false
	for _, f := range fixed {
		switch f.kind {
		case literal:
			if !bytes.HasPrefix(m.line[pos:], f.text) {
				return false
			}
			pos, some = pos+len(f.text), true
		case blank:
			n := blanks(m.line[pos:])
			if n == 0 {
				return false
			}
			pos, some = pos+n, true
		}
	}
	return some || pos == len(m.line)
}

func (m *matcher) check() (span, *Error) {
	s := span{m.pos, m.pos + m.p.sum.digits}
	for m.pos < s.end {
		if m.pos == len(m.line) || !unicode.Is(unicode.ASCII_Hex_Digit, rune(m.line[m.pos])) {
			return s, m.no(CodeChecksum, fmt.Sprintf("a checksum of %d hexadecimal digits", m.p.sum.digits), "")
		}
		m.pos++
	}
	return s, nil
}
