package journal

import (
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
)

// printer writes values, either as the canonical JSON of a record or in the
// flow style of a case file.
type printer struct {
	buf []byte
	// flow: as a case file.
	flow bool
	// zone is where times of a case file are shown; nil shows their offsets.
	zone *time.Location
	// stack holds the descriptors of the groups being written.
	stack []field
}

// group writes the fields that are given, in braces.
func (p *printer) group(g fielded) *problem {
	p.buf = append(p.buf, '{')
	start := len(p.stack)
	p.stack = g.fields(p.stack)
	fields, first := p.stack[start:], true
	for i := range fields {
		f := &fields[i]
		switch {
		case f.v.given():
			p.key(f.name, first)
			if bad := p.value(f.v); bad != nil {
				return bad.in(f.name)
			}
			first = false
		case f.must:
			return (&problem{code: "missing", msg: "it is missing", hint: "expected " + f.v.want()}).in(f.name)
		}
	}
	p.stack = p.stack[:start]
	p.buf = append(p.buf, '}')
	return nil
}

// key writes the name of a field and what stands before and after it.
func (p *printer) key(name string, first bool) {
	if !first {
		p.comma()
	}
	if p.flow {
		p.buf = append(append(p.buf, name...), ": "...)
		return
	}
	p.buf = append(p.buf, '"')
	p.buf = append(append(p.buf, name...), '"', ':')
}

func (p *printer) comma() {
	p.buf = append(p.buf, ',')
	if p.flow {
		p.buf = append(p.buf, ' ')
	}
}

func (p *printer) value(v value) *problem {
	switch v := v.(type) {
	case scalar:
		return p.scalar(v)
	case grouped:
		return p.group(v.open())
	case listed:
		return p.list(v)
	case chosen:
		return p.chosen(v.fact())
	}
	panic("journal: a value of no shape")
}

func (p *printer) scalar(v scalar) *problem {
	s, bad := v.write()
	if bad != nil {
		return bad
	}
	_, number := v.(unquoted)
	at, isInstant := v.(instant)
	switch {
	case number, isInstant && p.flow:
		if isInstant {
			s = localText(*at.p, p.zone)
		}
		p.buf = append(p.buf, s...)
	case p.flow && isPlain(s):
		p.buf = append(p.buf, s...)
	case p.flow:
		p.buf = append(p.buf, escapeYAML.Replace(string(appendQuoted(nil, s)))...)
	default:
		p.buf = appendQuoted(p.buf, s)
	}
	return nil
}

func (p *printer) list(v listed) *problem {
	bare := p.flow && v.alone() && v.len() == 1
	if !bare {
		p.buf = append(p.buf, '[')
	}
	for i := range v.len() {
		if i > 0 {
			p.comma()
		}
		at := "[" + strconv.Itoa(i+1) + "]"
		x := v.at(i)
		if !x.given() {
			return (&problem{code: "missing", msg: "it is missing", hint: "expected " + x.want()}).in(at)
		}
		if bad := p.value(x); bad != nil {
			return bad.in(at)
		}
	}
	if !bare {
		p.buf = append(p.buf, ']')
	}
	if _, most := v.limits(); v.len() > most {
		return &problem{code: "too-many", msg: "the list has more than " + strconv.Itoa(most) + " items", hint: "shorten it"}
	}
	return nil
}

// chosen writes a fact under its kind.
func (p *printer) chosen(f Fact) *problem {
	p.buf = append(p.buf, '{')
	p.key(f.Kind(), true)
	if bad := p.group(f); bad != nil {
		return bad.in(f.Kind())
	}
	p.buf = append(p.buf, '}')
	return nil
}

// appendQuoted writes a text in double quotes. Only the quote and the
// backslash are escaped: a text holds nothing else that needs it.
func appendQuoted(dst []byte, s string) []byte {
	dst = append(dst, '"')
	for i := range len(s) {
		if s[i] == '"' || s[i] == '\\' {
			dst = append(dst, '\\')
		}
		dst = append(dst, s[i])
	}
	return append(dst, '"')
}

// escapeYAML escapes what a text of ours may hold and a YAML file may not.
var escapeYAML = strings.NewReplacer("\uFFFE", `\uFFFE`, "\uFFFF", `\uFFFF`)

// isPlain tells that a text can stand in a case file without quotes: nothing
// in it begins anything else in YAML, and no reader takes it for another type
// than text. Quantities and times are plain.
func isPlain(s string) bool {
	for i := range len(s) {
		c := s[i]
		letter := 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z'
		digit := '0' <= c && c <= '9'
		if !letter && !digit && (i == 0 || strings.IndexByte(" ._/%+-", c) < 0) {
			return false
		}
	}
	switch strings.ToLower(s) {
	case "", "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return false
	}
	return !looksNumeric(s)
}

// looksNumeric tells that a reader may take s for a number: digits with what
// numbers are written with in YAML 1.1 and 1.2.
func looksNumeric(s string) bool {
	c := s[0]
	if c < '0' || c > '9' {
		return strings.EqualFold(s, "inf") || strings.EqualFold(s, "nan")
	}
	return strings.Trim(s, "0123456789abcdefABCDEFxXoO._+-") == ""
}

// localText is a time as a person writes it: without the offset where the
// zone gives it back, and without seconds where they are 0.
func localText(t time.Time, zone *time.Location) string {
	if zone == nil {
		return quantity.FormatTime(t, nil)
	}
	s := t.Format("2006-01-02T15:04:05.999999999")
	s = strings.TrimSuffix(s, ":00")
	if back, err := quantity.ParseTime(s, zone); err != nil || withOffset(back) != t {
		return quantity.FormatTime(t, nil)
	}
	return s
}
