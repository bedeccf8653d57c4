package instrument

import (
	"slices"
	"strconv"
	"strings"

	"vialwright/quantity"
)

// unambiguous refuses a pattern by which one line could be read in two ways,
// or a damaged line as another number.
func (p *Parser) unambiguous(d Description) *Error {
	for i, t := range p.tokens {
		if !t.isField() {
			continue
		}
		for _, rule := range []func(*Parser, int) (msg, hint string){
			(*Parser).sideBySide, (*Parser).beforeValue, (*Parser).afterValue, (*Parser).afterWord, (*Parser).stateBlank, (*Parser).stopText,
		} {
			if msg, hint := rule(p, i); msg != "" {
				return refuse(CodePattern, d.Line, t.at, msg, hint)
			}
		}
	}
	return nil
}

// at gives the token i, the zero token (an empty literal) past the end.
func (p *Parser) at(i int) token {
	if i >= len(p.tokens) {
		return token{stop: -1}
	}
	return p.tokens[i]
}

// sideBySide: where a field has no width and no text after it, nothing says
// where it ends. A number ends where its unit begins.
func (p *Parser) sideBySide(i int) (msg, hint string) {
	t, n := p.tokens[i], p.at(p.next(i))
	if t.width > 0 || t.kind == check || !n.isField() || t.kind == value && n.kind == unit {
		return "", ""
	}
	return "nothing separates " + t.name() + " from " + n.name(), "give it a width, like {" + fieldNames[t.kind] + ":4}"
}

// beforeValue: a digit, sign or decimal mark of the pattern right before the
// number would take the number's own.
func (p *Parser) beforeValue(i int) (msg, hint string) {
	if p.tokens[i].kind != value {
		return "", ""
	}
	apart := false
	for j := i - 1; j >= 0; j-- {
		switch prev := p.tokens[j]; prev.kind {
		case from, to:
		case blank:
			apart = true
		case literal:
			text := strings.TrimRight(string(prev.text), " \t") // blanks written as {x20}
			if apart = apart || len(text) < len(prev.text); text == "" {
				continue
			}
			last := text[len(text)-1]
			if last == '-' || last == '+' || !apart && (isDigit(last) || last == '.' || p.comma && last == ',') {
				return "the text before {value} ends in " + strconv.Quote(string(last)) + ", which could belong to the number", "put it into a field with a width, like {skip:3}"
			}
			return "", ""
		case state:
			if p.signedState() {
				return "a text of {state} ends in a sign, and could take the number's own", "put {state} after {value}"
			}
			return "", ""
		default:
			return "", "" // what other fields take is seen on the line: apart
		}
	}
	return "", ""
}

func (p *Parser) signedState() bool {
	return slices.ContainsFunc(p.states, func(f flag) bool { return strings.HasSuffix(f.text, "-") || strings.HasSuffix(f.text, "+") })
}

// afterValue: a literal that begins like more of the number, or a field that
// may begin with a digit after nothing but a blank or a comma, would hide that
// the number goes on (1 234 or 1,234).
func (p *Parser) afterValue(i int) (msg, hint string) {
	t := p.tokens[i]
	if t.kind != value || t.width > 0 {
		return "", ""
	}
	loose := true // only blanks and commas so far
	for j := p.next(i); j < len(p.tokens) && loose; j = p.next(j) {
		switch n := p.tokens[j]; n.kind {
		case blank:
		case literal:
			text := strings.TrimLeft(string(n.text), " \t") // blanks written as {x20}
			if text == "" {
				continue
			}
			b := text[0]
			if b != ',' && numeric(b) || b == ',' && p.comma || b|0x20 == 'e' {
				return "the text after {value} begins with " + strconv.Quote(string(b)) + ", which could belong to the number", "give {value} its width, like {value:8}"
			}
			loose = strings.Trim(text, ", \t") == ""
		case skip, serial, nuclide, insert:
			return n.name() + " may begin with a digit that belongs to the number", "give {value} its width, like {value:8}, or put the unit between them"
		default:
			return "", ""
		}
	}
	return "", ""
}

// afterWord: {state} and {unit} end where a word ends, so that ST is not read
// from STALE, nor kBq from kBq/mL.
func (p *Parser) afterWord(i int) (msg, hint string) {
	t := p.tokens[i]
	if t.width > 0 || t.stop < 0 || t.kind != state && t.kind != unit {
		return "", ""
	}
	if b := byte(t.stop); isWord(b) || t.kind == unit && (b == '/' || b == '^' || b == '.') {
		return "the text after " + t.name() + " begins with " + strconv.Quote(string(rune(b))) + ", which could belong to it", "give " + t.name() + " its width, like {" + fieldNames[t.kind] + ":3}"
	}
	return "", ""
}

// stateBlank: a blank of the pattern takes all blanks, and leaves none for a
// state text that begins with one.
func (p *Parser) stateBlank(i int) (msg, hint string) {
	if p.tokens[i].kind != state || i == 0 || p.tokens[i-1].kind != blank {
		return "", ""
	}
	for _, f := range p.states {
		if blanks(f.text) > 0 || f.text == "" && p.tokens[i].width > 0 {
			return "the blank before {state} takes a state that is itself a blank", "leave the blank out, and give the field before it a width"
		}
	}
	return "", ""
}

// stopText: a unit text with the byte that ends the field would never be found.
func (p *Parser) stopText(i int) (msg, hint string) {
	t := p.tokens[i]
	if t.kind != unit || t.stop < 0 || t.width > 0 {
		return "", ""
	}
	for text := range p.units {
		if strings.IndexByte(text, byte(t.stop)) >= 0 {
			return "the text after {unit} begins with " + strconv.Quote(string(rune(t.stop))) + ", which also stands in a unit text", "give {unit} its width, like {unit:3}"
		}
	}
	return "", ""
}

// numeric tells whether b may stand in a number, rightly or not.
func numeric(b byte) bool { return isDigit(b) || strings.IndexByte(".,'_+-", b) >= 0 }

// otherUnit finds a word of text that is an activity unit, in any letter case
// and spelling, and not the one said to be meant; empty if there is none.
func otherUnit(text []byte, meant string) string {
	for _, w := range strings.FieldsFunc(string(text), func(r rune) bool { return r < 0x80 && (!isWord(byte(r)) || isDigit(byte(r))) }) {
		if s, err := quantity.Parse[quantity.Activity]("1 " + w); err == nil {
			if _, u := s.Split(); u == meant {
				continue
			}
			return w
		}
		// A becquerel or curie with a prefix of at most two bytes.
		if n := len(w) - 2; 0 <= n && n <= 2 && (strings.EqualFold(w[n:], "Bq") || strings.EqualFold(w[n:], "Ci")) {
			return w
		}
	}
	return ""
}
