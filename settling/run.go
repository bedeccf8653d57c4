package settling

import (
	"math"

	"vialwright/quantity"
)

// Point is the state of the suspension at one time since agitation.
type Point struct {
	At    quantity.Span
	Clear quantity.Length   // height above which less than clearAt of the solids are left
	Bed   quantity.Length   // height of the packed bed
	Tip   quantity.Fraction // activity concentration at the needle tip over nominal
	// Layers is the activity concentration over nominal in Layers equal steps
	// of height from the lowest point to the surface.
	Layers []float64
}

// Layers is the number of height steps in a Point.
const Layers = 100

// clearAt is the part of the fresh solids fraction taken as clear. Liquid with
// a hundredth of solids is still milky over 18 mm, so the eye's line lies a
// little higher.
const clearAt = 0.05

// Result is what Run gives. All concentrations are over nominal, the
// concentration of the freshly agitated, even suspension.
type Result struct {
	Case     Case
	Solids   quantity.Fraction // phi_0
	Mass     quantity.Mass     // of all spheres
	Exponent float64           // n
	Level    quantity.Length   // height of the liquid's surface
	Track    []Point           // Points times, the first at 0
	Window   Window
	Notes    []string // what a reader of the figures must know
}

// notes are found from the model alone.
func (m *model) notes() (out []string) {
	if s := m.Vessel.Sections[0]; s.Bottom < s.Top {
		out = append(out, "Narrowing vessel: spheres that slide down its wall are not modelled; trust these figures less.")
	}
	if m.solids > m.tip*float64(m.Packing) {
		out = append(out, "Left to settle, the bed covers the needle tip.")
	}
	return out
}

// Run works out how the suspension of c settles and how long it may be drawn
// from. An input that is wrong is an *Error that names the field.
func Run(c Case) (Result, error) {
	m, err := c.prepare()
	if err != nil {
		return Result{}, err
	}
	r := Result{
		Case: c, Solids: quantity.Fraction(m.solids),
		Mass: quantity.Mass(m.mass), Exponent: m.n, Level: quantity.Length(m.shape.level),
	}
	col := m.column(c.Cells)
	view := m.viewer(c.Cells)
	step := float64(c.Span) / float64(c.Points-1)
	for k := range c.Points {
		r.Track = append(r.Track, view.point(col, float64(k)*step))
		if k+1 < c.Points {
			col.advance(step)
		}
	}
	r.Window = m.window(c.Cells)
	r.Notes = m.notes()
	return r, nil
}

// At gives the point of Track nearest to a time since agitation.
func (r Result) At(t quantity.Span) Point {
	last := len(r.Track) - 1
	k := math.Round(float64(t) / float64(r.Case.Span) * float64(last))
	return r.Track[int(math.Min(math.Max(k, 0), float64(last)))]
}

// viewer reads a column of equal volumes as heights.
type viewer struct {
	*model
	cells  int
	layers [Layers + 1]float64 // cells below the layer limits
}

func (m *model) viewer(cells int) *viewer {
	v := &viewer{model: m, cells: cells}
	for k := range v.layers {
		z := m.shape.level * float64(k) / Layers
		v.layers[k] = m.shape.below(z) / m.shape.volume * float64(cells)
	}
	v.layers[Layers] = float64(cells)
	return v
}

// height of a place given in cells from the bottom.
func (v *viewer) height(cells float64) quantity.Length {
	return quantity.Length(v.shape.height(v.shape.volume * cells / float64(v.cells)))
}

func (v *viewer) point(c *column, at float64) Point {
	rel := make([]float64, c.cells)
	for j := range rel {
		rel[j] = v.relative(c.phi[j*c.n : (j+1)*c.n])
	}
	p := Point{At: quantity.Span(at), Clear: v.height(v.clear(c)), Bed: v.height(c.bed(v.solids)), Layers: make([]float64, Layers)}
	p.Tip = quantity.Fraction(v.atTip(rel))
	for k := range p.Layers {
		p.Layers[k] = average(rel, v.layers[k], v.layers[k+1])
	}
	return p
}

// clear finds, from the surface down, where the solids fraction first reaches
// clearAt of the fresh one, between the middles of two cells. On the bed it is known to a
// cell alone: the last spheres to come down are part of the bed, and count as in the liquid.
func (v *viewer) clear(c *column) float64 {
	line := clearAt * v.solids
	for j := c.cells - 1; j >= 0; j-- {
		if x := c.total[j]; x >= line {
			if j == c.cells-1 {
				return float64(c.cells)
			}
			return float64(j) + 0.5 + (x-line)/(x-c.total[j+1])
		}
	}
	return 0
}

// bed gives the height of the packed bed in cells: where the fraction passes
// half way between fresh and packed, between the middles of two cells. Below
// the lowest cell stands the floor, which counts as packed.
func (c *column) bed(fresh float64) float64 {
	line := (fresh + c.limit) / 2
	j := c.floor
	for j < c.cells && c.total[j] >= line {
		j++
	}
	under, over := c.limit, 0.0
	if j > 0 {
		under = c.total[j-1]
	}
	if j < c.cells {
		over = c.total[j]
	}
	place := float64(j) - 0.5 + (under-line)/(under-over)
	if place < 1e-9 { // rounding, which the point of a cone would magnify
		return 0
	}
	return place
}

// atTip interpolates between the middles of cells.
func (v *viewer) atTip(rel []float64) float64 {
	place := v.tip*float64(v.cells) - 0.5
	place = math.Min(math.Max(place, 0), float64(len(rel)-1))
	k := min(int(place), len(rel)-2)
	part := place - float64(k)
	return rel[k] + part*(rel[k+1]-rel[k])
}

// average is the mean of x over the places lo to hi, x[j] filling j to j+1.
func average(x []float64, lo, hi float64) float64 {
	if !(hi > lo) {
		return x[min(int(lo), len(x)-1)]
	}
	sum := 0.0
	for j := int(lo); j < len(x) && float64(j) < hi; j++ {
		sum += x[j] * (math.Min(hi, float64(j+1)) - math.Max(lo, float64(j)))
	}
	return sum / (hi - lo)
}
