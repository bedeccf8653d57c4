package settling

import "vialwright/quantity"

// Check says whether a case can be run, without running it. An input that is
// wrong is an *Error that names the field.
func Check(c Case) error {
	_, err := c.prepare()
	return err
}

// Below is the volume of the vessel under a height, no more than the liquid.
func (r Result) Below(z quantity.Length) quantity.Volume {
	return min(r.Case.Volume, r.Case.Vessel.Below(max(0, z)))
}

// Means gives the mean activity concentration over nominal of the draw of c
// begun at 0, step, 2 step and so on to Case.Span. The suspension is let settle
// once for all of them, so a hundred take little more than the last alone;
// each equals what Drawn gives for its start to the rounding of a time step.
// step is 0.1 s to Case.Span.
func Means(c Case, step quantity.Span) ([]DrawnPoint, error) {
	m, err := c.prepare()
	if err != nil {
		return nil, err
	}
	if !inside(float64(step), 0.1, float64(c.Span)) {
		return nil, domain("step", float64(step), 0.1, float64(c.Span), "s", "a few seconds are usual")
	}
	cells := m.aligned(c.Cells)
	col := m.column(cells)
	var out []DrawnPoint
	for k := 0; float64(k)*float64(step) <= float64(c.Span)*(1+1e-12); k++ {
		if k > 0 {
			col.advance(float64(step))
		}
		out = append(out, DrawnPoint{quantity.Span(k) * step, quantity.Fraction(m.drawn(col, cells))})
	}
	return out, nil
}
