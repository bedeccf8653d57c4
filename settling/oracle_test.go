package settling

import (
	"math"

	"vialwright/quantity"
)

// What follows is what other answers of the package are compared with: the
// budget of the draw window by JCGM 100, beside the Monte Carlo of JCGM 101, and
// one draw reckoned alone, beside many in one run.

// Row is one input's part in the uncertainty of the draw window.
type Row struct {
	Input    string
	Unit     string
	Value, U float64       // the input and its standard uncertainty, in Unit
	Low      quantity.Span // window with the input lowered by U
	High     quantity.Span // window with the input raised by U
	U1       quantity.Span // mean of the two changes, without sign
}

// Alternative is the window under another choice of model.
type Alternative struct {
	Name   string
	Window quantity.Span
}

// Budget is the uncertainty of the draw window by JCGM 100:2008, 5.1.2, with
// the change that each input makes found by moving it one standard uncertainty
// down and up (5.1.3, note 2). Where the window goes one way down and the other
// way up, a row's part is half the difference of the two; where another limit
// takes over and both go the same way, half their difference would say nothing,
// and the part is half the sum of the two changes. Choices of model are listed,
// not added.
type Budget struct {
	Window       quantity.Span
	U            quantity.Span // combined standard uncertainty
	Rows         []Row
	Alternatives []Alternative
}

// until is the window of c on so many cells.
func (c Case) until(cells int) (quantity.Span, error) {
	m, err := c.prepare()
	if err != nil {
		return 0, err
	}
	return m.window(cells).Until, nil
}

// Budgeted gives the budget of the draw window of c, which takes some thirty
// windows, a second or two. A window that does not
// close within Case.Span, or never opens, has none and is an *Error; so is an
// input so uncertain that a standard uncertainty takes it out of its domain.
func Budgeted(c Case) (Budget, error) {
	m, err := c.prepare()
	if err != nil {
		return Budget{}, err
	}
	w := m.window(c.Cells)
	if w.State != Closes {
		return Budget{}, &Error{CodeConflict, "Span", "the draw window does not close, so its end has no uncertainty", "see Window.State"}
	}
	b := Budget{Window: w.Until}
	sum := 0.0
	for _, in := range inputs {
		u := in.u(&c)
		if u == 0 {
			continue
		}
		row := Row{Input: in.name, Unit: in.unit, Value: in.value(&c), U: u}
		down, up := c, c
		in.move(&down, -u)
		in.move(&up, u)
		if row.Low, err = down.until(c.Cells); err != nil {
			return Budget{}, err
		}
		if row.High, err = up.until(c.Cells); err != nil {
			return Budget{}, err
		}
		row.U1 = quantity.Span(math.Abs(float64(row.High-w.Until))+math.Abs(float64(row.Low-w.Until))) / 2
		sum += float64(row.U1 * row.U1)
		b.Rows = append(b.Rows, row)
	}
	b.U = quantity.Span(math.Sqrt(sum))
	b.Alternatives, err = c.alternatives()
	return b, err
}

// alternatives are the other choices the model offers, each by itself.
func (c Case) alternatives() ([]Alternative, error) {
	choices := []struct {
		name string
		set  func(*Case)
	}{
		{"exponent n = 4.48 (Brzinski and Durian)", func(c *Case) { c.Exponent = Brzinski }},
		{"exponent n = 4.65 (Richardson and Zaki)", func(c *Case) { c.Exponent = RichardsonZaki }},
		{"equal activity per sphere surface", func(c *Case) { c.Basis = BySurface }},
		{"equal activity per sphere volume", func(c *Case) { c.Basis = ByVolume }},
		{"normal distribution of diameters", func(c *Case) { c.Sizes.Family = Normal }},
		{"all spheres equal", func(c *Case) { c.Sizes.SD = 0 }},
	}
	var out []Alternative
	for _, k := range choices {
		other := c
		k.set(&other)
		w, err := other.until(c.Cells)
		if err != nil {
			return nil, err
		}
		out = append(out, Alternative{k.name, w})
	}
	return out, nil
}

// Drawn gives the mean activity concentration over nominal in a draw that
// begins start after agitation.
func Drawn(c Case, start quantity.Span) (quantity.Fraction, error) {
	m, err := c.prepare()
	if err != nil {
		return 0, err
	}
	cells := m.aligned(c.Cells)
	col := m.column(cells)
	col.advance(float64(start))
	return quantity.Fraction(m.drawn(col, cells)), nil
}

// Tapered is a vial that widens from the bottom diameter to the top diameter
// over the given height.
func Tapered(bottom, top, height quantity.Length) Vessel {
	return Vessel{Sections: []Section{{Height: height, Bottom: bottom, Top: top}}}
}
