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

// described are the inputs in words, in their order, each with its value in its unit.
var described = []struct {
	name, unit string
	value      func(*Case) float64
}{
	{"temperature of the liquid", "C", func(c *Case) float64 { return float64(c.Temperature) }},
	{"volume of suspension", "mL", func(c *Case) float64 { return float64(c.Volume) }},
	{"number or mass of spheres", "relative", func(*Case) float64 { return 1 }},
	{"density of the spheres", "g/cm3", func(c *Case) float64 { return float64(c.Density) }},
	{"mean diameter", "um", func(c *Case) float64 { return 1e3 * float64(c.Sizes.Mean) }},
	{"spread of diameters", "um", func(c *Case) float64 { return 1e3 * float64(c.Sizes.SD) }},
	{"hindrance exponent n", "1", func(c *Case) float64 { return exponent(0) + c.shift }},
	{"packing of the bed", "1", func(c *Case) float64 { return float64(c.Packing) }},
	{"inner diameter of the vessel", "relative", func(*Case) float64 { return 1 }},
	{"height of the needle tip", "mm", func(c *Case) float64 { return float64(c.Tip) }},
	{"duration of the draw", "s", func(c *Case) float64 { return float64(c.Draw.Span) }},
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
		return Budget{}, &Error{"Span", "the draw window does not close, so its end has no uncertainty", "see Window.State"}
	}
	b := Budget{Window: w.Until}
	sum := 0.0
	for i, in := range inputs {
		u := in.u(&c)
		if u == 0 {
			continue
		}
		row := Row{Input: described[i].name, Unit: described[i].unit, Value: described[i].value(&c), U: u}
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
		turn func(*model)
	}{
		{"exponent n = 4.48 (Brzinski and Durian)", func(c *Case) { c.shift = 4.48 - 4.65 }, asIs},
		{"exponent n = 4.65 (Richardson and Zaki)", func(*Case) {}, asIs},
		{"equal activity per sphere surface", func(*Case) {}, asIs},
		{"equal activity per sphere volume", func(*Case) {}, func(m *model) {
			for i := range m.carry {
				m.carry[i] = 1 / m.solids
			}
		}},
		{"all spheres equal", func(c *Case) { c.Sizes.SD = 0 }, asIs},
	}
	var out []Alternative
	for _, k := range choices {
		other := c
		k.set(&other)
		m, err := other.prepare()
		if err != nil {
			return nil, err
		}
		k.turn(m)
		out = append(out, Alternative{k.name, m.window(c.Cells).Until})
	}
	return out, nil
}

func asIs(*model) {}

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

// slip gives the velocities (downwards positive, against the vessel) of size
// classes of equal density at local fractions phi, by Masliyah (Chem Eng Sci
// 34:1166, 1979) and Lockett and Bassoon (Powder Technol 24:1, 1979). The slip
// of class i against the liquid is its terminal velocity reduced by the
// density of the suspension, (rho_p - rho_susp)/(rho_p - rho_f) = 1 - phi, and
// by (1-phi)^(n-2):
//
//	u_i = v0_i (1-phi)^(n-1),   v_i = u_i - sum_k phi_k u_k,
//
// the second because no volume crosses a level of a closed vessel. One class
// alone gives back v0 (1-phi)^n.
func slip(v0, phi []float64, n float64) []float64 {
	total, back := 0.0, 0.0
	for k := range phi {
		total += phi[k]
		back += phi[k] * v0[k]
	}
	hindered := math.Pow(1-total, n-1)
	v := make([]float64, len(v0))
	for i := range v0 {
		v[i] = hindered * (v0[i] - back)
	}
	return v
}

// solids is the sum of all fractions of all cells.
func (c *column) solids() (sum float64) {
	for _, x := range c.total[:c.cells] {
		sum += x
	}
	return sum
}

// imbalance is the solids of a case at its end over those at its start, less 1.
func imbalance(c Case) (float64, error) {
	m, err := c.prepare()
	if err != nil {
		return 0, err
	}
	col := m.column(c.Cells)
	start := col.solids()
	col.advance(float64(c.Span))
	return col.solids()/start - 1, nil
}

// moments are the mean and the standard deviation of windows.
func moments(windows []quantity.Span) (mean, sd float64) {
	n := float64(len(windows))
	for _, w := range windows {
		mean += float64(w) / n
	}
	for _, w := range windows {
		sd += (float64(w) - mean) * (float64(w) - mean) / (n - 1)
	}
	return mean, math.Sqrt(sd)
}
