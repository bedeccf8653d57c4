package instrument

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// print writes a reading as the meter described would, without the line
// ending. What Parse would not read back as the same reading is refused: so a
// simulated meter never sends what a described meter would not.
func (p *Parser) print(r Reading) ([]byte, error) {
	var out []byte
	var begin, end int
	for _, t := range p.tokens {
		switch t.kind {
		case literal:
			out = append(out, t.text...)
		case blank:
			out = append(out, ' ')
		case from:
			begin = len(out)
		case to:
			end = len(out)
		case check:
			if !p.has[to] {
				end = len(out)
			}
			out = append(out, p.sum.text(out[begin:end])...)
		default:
			text := p.fieldText(t, r)
			pad := strings.Repeat(" ", max(0, t.width-len(text)))
			if t.kind == value { // numbers to the right, everything else to the left, as tables are printed
				text, pad = pad, text
			}
			out = append(out, text+pad...)
		}
	}
	back, err := p.Parse(out)
	if err != nil {
		return nil, err
	}
	if !p.same(back, r) {
		return nil, refuse(CodeSimulation, string(out), 0, "the line would not be read back as the reading "+r.Activity.Text+" that it shows", "make the fields wide enough, and let the description name this nuclide and serial number")
	}
	return out, nil
}

func (p *Parser) fieldText(t token, r Reading) string {
	number, symbol := r.Activity.Split()
	switch t.kind {
	case value:
		if p.comma {
			return strings.Replace(number, ".", ",", 1)
		}
		return number
	case unit:
		for _, text := range slices.Sorted(maps.Keys(p.units)) {
			if p.units[text] == symbol {
				return text
			}
		}
		return symbol
	case state:
		for _, f := range p.states {
			if f.means == r.State {
				return f.text
			}
		}
	case nuclide:
		return r.Nuclide
	case insert:
		return r.Insert
	case serial:
		return r.Serial
	}
	return ""
}

// same tells whether back says what r does, in so far as a line of this
// description can.
func (p *Parser) same(back, r Reading) bool {
	return back.Activity == r.Activity &&
		(!p.has[state] || back.State == r.State) &&
		(!p.has[nuclide] || back.Nuclide == r.Nuclide) &&
		(!p.has[insert] || back.Insert == r.Insert) &&
		(!p.has[serial] || back.Serial == r.Serial)
}

// terminator is the line ending to write; CR LF where any is read.
func (p *Parser) terminator() string {
	return cmp.Or(map[string]string{endLF: "\n", endCR: "\r"}[p.ending], "\r\n")
}
