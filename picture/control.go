package picture

import (
	"cmp"
	"html/template"
	"math"

	"vialwright/quantity"
)

// Control is a control chart: the values of finished cases in their order, how
// far each moved from the one before, and the moving average, each with its
// limits. Texts come formatted; the fractions set the geometry.
type Control struct {
	// ID parts the pictures of one page.
	ID   string
	form Form
	// Title and Words are read out for the picture as a whole.
	Title, Words string
	// Of is what each value is of, a preparation where it is empty.
	Of string
	// Values, Ranges and Average are the limits of the three parts; those of
	// the average are its limits in the long run.
	Values, Ranges, Average Limits
	Points                  []ControlPoint
	// First and Last say when the first and the last point are; empty for nothing.
	First, Last string
	// Mark is written across the top where not empty: "PRACTICE - not for
	// patient use".
	Mark string
}

// Limits are a centre line with control limits, and how they are written. Where
// Lower has no text there is none.
type Limits struct {
	Lower, Centre, Upper             quantity.Fraction
	LowerText, CentreText, UpperText string
}

// ControlPoint is one case.
type ControlPoint struct {
	Value, Moving, Average quantity.Fraction
	// Number stands at a value that breaks a rule: a list below the picture
	// says which. Empty for none; Out is one that breaks a rule without a number.
	Number string
	Out    bool
	// Jump and Drift tell that the moving range and the average are beyond
	// their limits.
	Jump, Drift bool
}

// ControlChart draws a control chart in both forms. A value that breaks a rule is a square
// with its number, any other a dot.
func ControlChart(c Control) template.HTML {
	return bothForms(func(f Form) template.HTML { c.form = f; return drawControl(c).svg })
}

func drawControl(c Control) drawn {
	c.Mark = clean(c.Mark)
	s := &controlSheet{
		canvas: newCanvas(name("control-"+c.ID, c.form)), Control: c, width: 1240, left: 216, right: 1222,
		key: face{22, true}, small: face{18, false}, number: face{18, true}, r: 5,
	}
	if c.form == Narrow {
		s.width, s.left, s.right = 360, 78, 350
		s.key, s.small, s.number, s.r = face{17, true}, face{15, false}, face{14, true}, 3.5
	}
	if c.Mark != "" {
		for _, l := range s.key.wrap(c.Mark, s.width-16) {
			s.y += s.key.size * 1.25
			s.text(s.key, ink, start, point{8, s.y}, l)
		}
	}
	s.part("Each "+cmp.Or(c.Of, "preparation"), c.Values, c.form.pick(190, 180), func(p ControlPoint) (quantity.Fraction, bool) { return p.Value, p.Out || p.Number != "" }, true)
	s.part("Difference from the one before", c.Ranges, c.form.pick(100, 100), func(p ControlPoint) (quantity.Fraction, bool) { return p.Moving, p.Jump }, false)
	s.part("Moving average", c.Average, c.form.pick(110, 110), func(p ControlPoint) (quantity.Fraction, bool) { return p.Average, p.Drift }, false)
	if c.First+c.Last != "" {
		s.y += s.small.size * 1.2
		s.text(s.small, ink, start, point{s.left, s.y}, clean(c.First))
		s.text(s.small, ink, end, point{s.right, s.y}, clean(c.Last))
	}
	return drawn{s.finish(c.form.class(), s.width, s.y+10, clean(c.Title), clean(c.Words), false), s.used}
}

// controlSheet lays out a chart from the top down.
type controlSheet struct {
	*canvas
	Control
	width, left, right float64
	key, small, number face
	r, y               float64
}

func (s *controlSheet) part(title string, l Limits, high float64, of func(ControlPoint) (quantity.Fraction, bool), numbers bool) {
	s.y += 12 + s.key.size
	s.text(s.key, ink, start, point{8, s.y}, title)
	s.y += 12
	top := s.y
	low, up := s.bounds(l, of)
	at := func(v quantity.Fraction) float64 {
		share := float64((v - low) / (up - low))
		if math.IsNaN(share) {
			share = 0
		}
		return top + 8 + (high-16)*(1-math.Max(0, math.Min(1, share)))
	}
	s.area(band, stroke{}, nil, box(s.left, at(l.Upper), s.right-s.left, math.Max(0, at(l.Lower)-at(l.Upper)))...)
	s.limits(l, at)
	var path []point
	left, step := s.left+s.r+4, (s.right-s.left-2*s.r-8)/math.Max(1, float64(len(s.Points)-1))
	for i, p := range s.Points {
		v, _ := of(p)
		path = append(path, point{left + step*float64(i), at(v)})
	}
	s.line(stroke{colour: quiet, width: 1, on: []colour{paper, band}}, path...)
	for i, p := range s.Points {
		if _, out := of(p); !out {
			s.dot(path[i], s.r, curve)
		}
	}
	s.y += high
	s.out(of, path, numbers)
}

// bounds are the least and the greatest that is drawn, limits included.
func (s *controlSheet) bounds(l Limits, of func(ControlPoint) (quantity.Fraction, bool)) (low, up quantity.Fraction) {
	low, up = l.Lower, l.Upper
	for _, p := range s.Points {
		if v, _ := of(p); !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) {
			low, up = min(low, v), max(up, v)
		}
	}
	if !(up > low) || math.IsInf(float64(up-low), 0) {
		return 0, 1
	}
	return low, up
}

// limits draws the three lines, each with its text in the left margin; a text
// that would run into the one above stays out.
func (s *controlSheet) limits(l Limits, at func(quantity.Fraction) float64) {
	last := math.Inf(-1)
	for _, x := range []struct {
		v    quantity.Fraction
		text string
		dash string
	}{{l.Upper, l.UpperText, "8 5"}, {l.Centre, l.CentreText, ""}, {l.Lower, l.LowerText, "8 5"}} {
		if x.text == "" {
			continue
		}
		y := at(x.v)
		s.line(stroke{colour: goal, width: 2, dash: x.dash, on: []colour{paper, band}}, point{s.left, y}, point{s.right, y})
		if y-last < s.small.size {
			continue
		}
		last = y
		t := s.small.cut(clean(x.text), s.left-16)
		s.text(s.small, ink, end, point{s.left - 8, y + s.small.size*0.35}, t)
	}
}

// out draws what is beyond its rules as squares, with the numbers of the list
// below the picture where there are such.
func (s *controlSheet) out(of func(ControlPoint) (quantity.Fraction, bool), path []point, numbers bool) {
	d := s.r * 1.3
	last := math.Inf(-1)
	for i, p := range s.Points {
		if _, out := of(p); !out {
			continue
		}
		s.area(ink, stroke{colour: paper, width: 1.5}, []colour{paper, band}, box(path[i].x-d, path[i].y-d, 2*d, 2*d)...)
		n := clean(p.Number)
		w := s.number.width(n)
		if !numbers || path[i].x-w/2 < last+2 {
			continue
		}
		last = path[i].x + w/2
		y := path[i].y - d - 4
		if p.Value < s.Values.Centre { // away from the line, which comes from above
			y = path[i].y + d + 2 + s.number.size*0.8
		}
		s.text(s.number, ink, middle, point{math.Min(path[i].x, s.right-w/2), y}, n)
	}
}
