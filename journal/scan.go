package journal

import (
	"fmt"
	"strconv"
	"strings"

	"vialwright/fact"
)

// scanner reads canonical JSON. It goes by the descriptors: in a group it
// knows the only names that may come next, in their only order, so that it
// compares and never searches.
type scanner struct {
	src string
	pos int
	// stack holds the descriptors of the groups being read.
	stack []fact.Slot
}

// stop is a problem at the present position.
func stop(code, format string, args ...any) *fact.Refusal {
	return &fact.Refusal{Code: code, Msg: fmt.Sprintf(format, args...), Hint: "a record is written in one way only; this one was not written by this program, or was changed"}
}

// literal reads exactly want.
func (s *scanner) literal(want string) *fact.Refusal {
	if !strings.HasPrefix(s.src[s.pos:], want) {
		return stop("not-canonical", "expected %s", want)
	}
	s.pos += len(want)
	return nil
}

// str reads a string. The text is a part of the record where it has no
// escapes.
func (s *scanner) str() (string, *fact.Refusal) {
	if s.pos >= len(s.src) || s.src[s.pos] != '"' {
		return "", stop("not-canonical", "expected a text in double quotes")
	}
	start := s.pos + 1
	for i := start; i < len(s.src); i++ {
		switch s.src[i] {
		case '"':
			s.pos = i + 1
			return s.src[start:i], nil
		case '\\':
			return s.escaped(start, i)
		}
	}
	return "", stop("not-canonical", "a text does not end")
}

// escaped reads a string that holds an escape, the first one at i.
func (s *scanner) escaped(start, i int) (string, *fact.Refusal) {
	out := append([]byte(nil), s.src[start:i]...)
	for ; i < len(s.src); i++ {
		c := s.src[i]
		switch {
		case c == '"':
			s.pos = i + 1
			return string(out), nil
		case c == '\\' && i+1 < len(s.src) && (s.src[i+1] == '"' || s.src[i+1] == '\\'):
			i++
			c = s.src[i]
		case c == '\\':
			return "", stop("not-canonical", `only \" and \\ are escaped`)
		}
		out = append(out, c)
	}
	return "", stop("not-canonical", "a text does not end")
}

// bare reads a JSON number as it stands.
func (s *scanner) bare() (string, *fact.Refusal) {
	start := s.pos
	for s.pos < len(s.src) && (s.src[s.pos] == '.' || '0' <= s.src[s.pos] && s.src[s.pos] <= '9') {
		s.pos++
	}
	if s.pos == start {
		return "", stop("not-canonical", "expected a number without quotes")
	}
	return s.src[start:s.pos], nil
}

// key reads the name of a field if it comes next.
func (s *scanner) key(name string, first bool) bool {
	rest, n := s.src[s.pos:], len(name)+3
	if !first {
		if rest == "" || rest[0] != ',' {
			return false
		}
		rest, n = rest[1:], n+1
	}
	if len(rest) < len(name)+3 || rest[0] != '"' || rest[1:len(name)+1] != name || rest[len(name)+1] != '"' || rest[len(name)+2] != ':' {
		return false
	}
	s.pos += n
	return true
}

// Group reads a group of fields.
func (s *scanner) Group(g fact.Group) *fact.Refusal {
	if bad := s.literal("{"); bad != nil {
		return bad
	}
	start := len(s.stack)
	s.stack = fact.Slots(s.stack, g)
	fields, first := s.stack[start:], true
	for i := range fields {
		f := &fields[i]
		switch {
		case s.key(f.Name, first):
			if bad := s.Value(f.V); bad != nil {
				return bad.In(f.Name)
			}
			first = false
		case f.Must:
			return stop("missing", "expected %s", f.V.Want()).In(f.Name)
		}
	}
	s.stack = s.stack[:start]
	if s.pos >= len(s.src) || s.src[s.pos] != '}' {
		return stop("not-canonical", "a field is not known here, comes twice, or is out of order")
	}
	s.pos++
	return nil
}

func (s *scanner) Value(v fact.Value) *fact.Refusal {
	switch v := v.(type) {
	case fact.Scalar:
		return s.scalar(v)
	case fact.Grouped:
		return s.Group(v.Open())
	case fact.Listed:
		return s.list(v)
	case fact.Chosen:
		return s.chosen(v)
	}
	panic("journal: a value of no shape")
}

func (s *scanner) scalar(v fact.Scalar) *fact.Refusal {
	read, start := s.str, s.pos
	if _, number := v.(fact.Bare); number {
		read = s.bare
	}
	text, bad := read()
	if bad == nil {
		bad = v.Read(text, fact.How{Canonical: true})
	}
	if bad != nil {
		s.pos = start
	}
	return bad
}

func (s *scanner) list(v fact.Listed) *fact.Refusal {
	if bad := s.literal("["); bad != nil {
		return bad
	}
	least, most := v.Limits()
	n := 0
	for ; n < most && !strings.HasPrefix(s.src[s.pos:], "]"); n++ {
		if n > 0 {
			if bad := s.literal(","); bad != nil {
				return bad
			}
		}
		if bad := s.Value(v.At(n)); bad != nil {
			return bad.In("[" + strconv.Itoa(n+1) + "]")
		}
	}
	if n < least {
		return stop("too-few", "the list holds %d of the %d it needs", n, least)
	}
	if bad := s.literal("]"); bad != nil {
		return stop("too-many", "the list does not end after %d items", n)
	}
	return nil
}

// chosen reads a fact under its kind.
func (s *scanner) chosen(v fact.Chosen) *fact.Refusal {
	if bad := s.literal("{"); bad != nil {
		return bad
	}
	start := s.pos
	kind, bad := s.str()
	if bad != nil {
		return bad
	}
	f, bad := v.Make(kind)
	if bad != nil {
		s.pos = start
		return bad
	}
	if bad := s.literal(":"); bad != nil {
		return bad
	}
	if bad := s.Group(f); bad != nil {
		return bad.In(kind)
	}
	return s.literal("}")
}
