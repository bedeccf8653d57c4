package journal

import (
	"strconv"

	"vialwright/fact"
)

// Printer writes values, either as the canonical JSON of a record or in the
// flow style of a case file.
type Printer struct {
	// Buf is what is written so far.
	Buf []byte
	// Flow appends a scalar as a case file has it; nil for a record.
	Flow func(dst []byte, v fact.Scalar) ([]byte, *fact.Refusal)
	// stack holds the descriptors of the groups being written.
	stack []fact.Slot
}

// Group writes the fields that are given, in braces.
func (p *Printer) Group(g fact.Group) *fact.Refusal {
	p.Buf = append(p.Buf, '{')
	start := len(p.stack)
	p.stack = fact.Slots(p.stack, g)
	fields, first := p.stack[start:], true
	for i := range fields {
		f := &fields[i]
		switch {
		case f.V.Given():
			p.key(f.Name, first)
			if bad := p.Value(f.V); bad != nil {
				return bad.In(f.Name)
			}
			first = false
		case f.Must:
			return (&fact.Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + f.V.Want()}).In(f.Name)
		}
	}
	p.stack = p.stack[:start]
	p.Buf = append(p.Buf, '}')
	return nil
}

// key writes the name of a field and what stands before and after it.
func (p *Printer) key(name string, first bool) {
	if !first {
		p.comma()
	}
	if p.Flow != nil {
		p.Buf = append(append(p.Buf, name...), ": "...)
		return
	}
	p.Buf = append(p.Buf, '"')
	p.Buf = append(append(p.Buf, name...), '"', ':')
}

func (p *Printer) comma() {
	p.Buf = append(p.Buf, ',')
	if p.Flow != nil {
		p.Buf = append(p.Buf, ' ')
	}
}

// Value writes a value of any shape.
func (p *Printer) Value(v fact.Value) *fact.Refusal {
	switch v := v.(type) {
	case fact.Scalar:
		return p.scalar(v)
	case fact.Grouped:
		return p.Group(v.Open())
	case fact.Listed:
		return p.list(v)
	case fact.Chosen:
		return p.chosen(v.Fact())
	}
	panic("journal: a value of no shape")
}

func (p *Printer) scalar(v fact.Scalar) (bad *fact.Refusal) {
	if p.Flow != nil {
		p.Buf, bad = p.Flow(p.Buf, v)
		return bad
	}
	s, bad := v.Write()
	if bad != nil {
		return bad
	}
	if _, number := v.(fact.Bare); number {
		p.Buf = append(p.Buf, s...)
	} else {
		p.Buf = AppendQuoted(p.Buf, s)
	}
	return nil
}

func (p *Printer) list(v fact.Listed) *fact.Refusal {
	bare := p.Flow != nil && v.Alone() && v.Len() == 1
	if !bare {
		p.Buf = append(p.Buf, '[')
	}
	for i := range v.Len() {
		if i > 0 {
			p.comma()
		}
		at := "[" + strconv.Itoa(i+1) + "]"
		x := v.At(i)
		if !x.Given() {
			return (&fact.Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + x.Want()}).In(at)
		}
		if bad := p.Value(x); bad != nil {
			return bad.In(at)
		}
	}
	if !bare {
		p.Buf = append(p.Buf, ']')
	}
	if _, most := v.Limits(); v.Len() > most {
		return &fact.Refusal{Code: "too-many", Msg: "the list has more than " + strconv.Itoa(most) + " items", Hint: "shorten it"}
	}
	return nil
}

// chosen writes a fact under its kind.
func (p *Printer) chosen(f fact.Fact) *fact.Refusal {
	p.Buf = append(p.Buf, '{')
	p.key(fact.Word(f), true)
	if bad := p.Group(f); bad != nil {
		return bad.In(fact.Word(f))
	}
	p.Buf = append(p.Buf, '}')
	return nil
}

// AppendQuoted writes a text in double quotes. Only the quote and the
// backslash are escaped: a text holds nothing else that needs it.
func AppendQuoted(dst []byte, s string) []byte {
	dst = append(dst, '"')
	for i := range len(s) {
		if s[i] == '"' || s[i] == '\\' {
			dst = append(dst, '\\')
		}
		dst = append(dst, s[i])
	}
	return append(dst, '"')
}
