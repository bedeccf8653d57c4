package journal

import "strconv"

// printer writes values, either as the canonical JSON of a record or in the
// flow style of a case file.
type printer struct {
	buf []byte
	// flow appends a scalar as a case file has it; nil for a record.
	flow func(dst []byte, v scalar) ([]byte, *Refusal)
	// stack holds the descriptors of the groups being written.
	stack []field
}

// group writes the fields that are given, in braces.
func (p *printer) group(g fielded) *Refusal {
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
				return bad.In(f.name)
			}
			first = false
		case f.must:
			return (&Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + f.v.want()}).In(f.name)
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
	if p.flow != nil {
		p.buf = append(append(p.buf, name...), ": "...)
		return
	}
	p.buf = append(p.buf, '"')
	p.buf = append(append(p.buf, name...), '"', ':')
}

func (p *printer) comma() {
	p.buf = append(p.buf, ',')
	if p.flow != nil {
		p.buf = append(p.buf, ' ')
	}
}

func (p *printer) value(v value) *Refusal {
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

func (p *printer) scalar(v scalar) (bad *Refusal) {
	if p.flow != nil {
		p.buf, bad = p.flow(p.buf, v)
		return bad
	}
	s, bad := v.write()
	if bad != nil {
		return bad
	}
	if _, number := v.(unquoted); number {
		p.buf = append(p.buf, s...)
	} else {
		p.buf = appendQuoted(p.buf, s)
	}
	return nil
}

func (p *printer) list(v listed) *Refusal {
	bare := p.flow != nil && v.alone() && v.len() == 1
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
			return (&Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + x.want()}).In(at)
		}
		if bad := p.value(x); bad != nil {
			return bad.In(at)
		}
	}
	if !bare {
		p.buf = append(p.buf, ']')
	}
	if _, most := v.limits(); v.len() > most {
		return &Refusal{Code: "too-many", Msg: "the list has more than " + strconv.Itoa(most) + " items", Hint: "shorten it"}
	}
	return nil
}

// chosen writes a fact under its kind.
func (p *printer) chosen(f Fact) *Refusal {
	p.buf = append(p.buf, '{')
	p.key(f.Kind(), true)
	if bad := p.group(f); bad != nil {
		return bad.In(f.Kind())
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
