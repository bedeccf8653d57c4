package instrument

import (
	"fmt"
	"slices"
	"strings"
)

// number reads the number of a line into the writing of package quantity:
//
//	number = [ "+" ] digits [ mark digits ] [ ( "e" | "E" ) [ "+" | "-" ] digits ]
//
// where mark is the decimal mark of the description. Zeros in front are
// padding in a field of fixed width, and refused in any other, where they may
// be what is left of a lost digit.
func (p *Parser) number(line string, m *matched) (string, *Error) {
	if err := p.apart(line, m); err != nil {
		return "", err
	}
	s := m.fields[value]
	text := line[s.start:s.end]
	no := func(code string, at int, msg, hint string) (string, *Error) {
		return "", refuse(code, line, s.start+at+1, msg, hint)
	}
	switch {
	case !strings.ContainsAny(text, "0123456789"):
		return no(CodeNumber, 0, "there are no digits where the number stands", "a display out of range often shows dashes")
	case text[0] == '-':
		return no(CodeNegative, 0, "the activity is below zero", "take the background of the meter again, and read again")
	}
	first := len(text) - len(strings.TrimPrefix(text, "+"))
	if at, msg := p.grammar(text, first); msg != "" {
		return no(CodeNumber, at, msg, "")
	}
	padding := first
	for padding+1 < len(text) && text[padding] == '0' && isDigit(text[padding+1]) {
		padding++
	}
	if padding > first && p.token(value).width == 0 {
		return no(CodeNumber, first, "the number begins with a zero, and may have lost a digit", "give {value} its width, like {value:8}, if the meter fills up with zeros")
	}
	return strings.Replace(text[padding:], ",", ".", 1), nil
}

// grammar checks the number in text from i on; msg says what is wrong at the
// byte at, and is empty if nothing is.
func (p *Parser) grammar(text string, i int) (at int, msg string) {
	end := digits(text, i)
	if end == i {
		return i, "a digit was expected"
	}
	if end < len(text) && text[end] == p.mark() {
		mark := end
		if end = digits(text, mark+1); end == mark+1 {
			return end, "a digit was expected after the decimal mark"
		}
	}
	if end < len(text) && text[end]|0x20 == 'e' {
		first := end + 1
		if first < len(text) && (text[first] == '+' || text[first] == '-') {
			first++
		}
		if end = digits(text, first); end == first {
			return end, "a digit was expected in the exponent"
		}
	}
	if end < len(text) {
		return end, p.surplus(text[end])
	}
	return 0, ""
}

func (p *Parser) mark() byte {
	if p.comma {
		return ','
	}
	return '.'
}

func (p *Parser) surplus(b byte) string {
	switch {
	case b == ',' && !p.comma:
		return "a comma stands in the number, and the description says that the meter writes a decimal point"
	case b == '.' && p.comma:
		return "a point stands in the number, and the description says that the meter writes a decimal comma"
	case b == p.mark():
		return "a second decimal mark stands in the number"
	}
	return fmt.Sprintf("%q does not belong to a number", rune(b))
}

// digits gives the end of the digits of s from i on.
func digits(s string, i int) int {
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}

// apart refuses a number whose sign or first digits stand apart from it and
// were taken by the field before: "- 0.2", or "1 234" with {skip} {value}.
func (p *Parser) apart(line string, m *matched) *Error {
	start := m.fields[value].start
	before := append(slices.Clone(m.skips),
		passed{m.fields[serial], p.serial == "" && p.loose(serial)},
		passed{m.fields[insert], p.loose(insert)},
		passed{m.fields[nuclide], len(p.nuclides) == 0 && p.loose(nuclide)})
	for _, s := range before {
		if s.end > start || strings.Trim(line[s.end:start], " \t,") != "" {
			continue
		}
		text := strings.TrimRight(line[s.start:s.end], " \t")
		if strings.HasSuffix(text, "-") || strings.HasSuffix(text, "+") {
			return refuse(CodeNumber, line, start+1, "a sign stands apart from the number", "let {value} take it")
		}
		if s.loose && text != "" && strings.Trim(text, "0123456789.,' \t") == "" {
			return refuse(CodeNumber, line, start+1, fmt.Sprintf("the digits %q stand before the number, and may belong to it", text), "give the field before {value} its width, or name the nuclide or serial number")
		}
	}
	return nil
}

func (p *Parser) loose(k kind) bool { return p.has[k] && p.token(k).width == 0 }
