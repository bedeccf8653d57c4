package picture

import (
	"math"
	"strings"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// plot is the field of a track: its sides, and the activities at them.
type plot struct {
	top, bottom float64
	low, high   float64 // Bq
}

func (p plot) y(a float64) float64 {
	share := math.Max(0, math.Min(1, (a-p.low)/(p.high-p.low)))
	return p.bottom - share*(p.bottom-p.top)
}

func (s *sheet) track(i int, t Track) {
	s.y = s.write(s.key, ink, t.Name)
	s.flags(t)
	p := plot{top: s.y + 8}
	p.bottom = p.top + s.high
	p.low, p.high = s.span(t)
	s.band(t, p)
	s.limits(t, p)
	s.grid(p)
	s.infusion(t, p)
	if !s.Now.IsZero() {
		x := s.x(s.Now)
		if s.side(s.Now) == 0 {
			s.line(stroke{colour: ink, width: 3.5, on: []colour{paper, band}}, point{x, p.top}, point{x, p.bottom + 16})
		}
	}
	s.curve(t, p)
	s.readings(t, p)
	s.levels(t, p)
	s.bracket(t, p.bottom+9)
	s.y = p.bottom + 18
	if last := len(s.Tracks) - 1; i < last {
		s.y += 10
		s.line(stroke{colour: quiet, width: 1}, point{s.edge, s.y}, point{s.right, s.y})
	}
}

// grid draws a line at each tick, as decoration, and says where the clocks are
// changed.
func (s *sheet) grid(p plot) {
	for _, k := range s.ticks {
		pen := stroke{colour: quiet, width: 0.6}
		if k.change != "" {
			pen = stroke{colour: quiet, width: 2, dash: "6.00 4.00", on: []colour{paper, band}}
		}
		s.line(pen, point{s.x(k.at), p.top}, point{s.x(k.at), p.bottom})
		if k.change != "" {
			left := s.centred(s.x(k.at), s.small.width(k.change))
			s.text(s.small, quiet, start, point{left, p.bottom - 5}, k.change)
		}
	}
}

func (s Strip) validity(t Track) string {
	_, n := t.shown()
	switch {
	case t.window():
		from, until := s.window(t)
		words := "valid from " + from + " until " + until
		if n != dispensed {
			words = "by plan " + words
		}
		return words
	case n == dispensed:
		return "no valid window"
	}
	return ""
}

func (s *sheet) due(t Track) string {
	if t.Infusion.IsZero() {
		return ""
	}
	return "infusion " + s.clock(t.Infusion, "15:04") + beyond(s.side(t.Infusion))
}

// keyWidth is the room of the little bracket before the words of the window.
const keyWidth = 36

// flags writes the valid window and the time of infusion above the plot, side
// by side where they fit.
func (s *sheet) flags(t Track) {
	valid, due := s.validity(t), s.due(t)
	f := s.key.fit(due, s.width-2*s.edge, s.small.size)
	left := s.centred(s.x(t.Infusion), f.width(due))
	at, fits := s.besides(keyWidth+s.key.width(valid), left, left+f.width(due))
	if valid != "" && !fits {
		s.validLine(t, valid, s.edge)
	}
	top := s.y
	for _, l := range f.wrap(due, s.width-2*s.edge) {
		s.y += s.key.size * 1.15
		s.text(f, goal, start, point{s.centred(s.x(t.Infusion), f.width(l)), s.y}, l)
	}
	if valid != "" && fits {
		s.y = top
		s.validLine(t, valid, at)
	}
	s.y += 6
}

// besides finds the left end for a text of a width on a line that is taken
// from left to right.
func (s *sheet) besides(width, left, right float64) (float64, bool) {
	const gap = 24
	for _, at := range []float64{s.left, s.edge, right + gap} {
		free := left == right || at+width+gap <= left || at >= right+gap
		if free && at+width <= s.width-s.edge {
			return at, true
		}
	}
	return 0, false
}

// validLine writes the window's words behind a small bracket like the one it
// speaks of.
func (s *sheet) validLine(t Track, words string, left float64) {
	f := s.key
	for i, l := range f.wrap(words, s.width-s.edge-left-keyWidth) {
		s.y += f.size * 1.15
		if i == 0 && t.window() {
			s.ends(left+1, left+keyWidth-10, s.y-f.size*0.35, 0, 0, s.dash(t))
		}
		s.text(f, goal, start, point{left + keyWidth, s.y}, l)
	}
}

// dash is solid for a dose that is there, broken for a plan.
func (s *sheet) dash(t Track) string {
	if _, n := t.shown(); n == dispensed {
		return ""
	}
	return "10.00 5.00"
}

// span is the range of activities drawn: the band, and the curve where it
// matters, with a margin.
func (s *sheet) span(t Track) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	add := func(a float64) {
		if usable(quantity.Activity(a)) {
			low, high = math.Min(low, a), math.Max(high, a)
		}
	}
	if t.banded() {
		add(float64(t.Lower.Activity))
		add(float64(t.Upper.Activity))
	}
	add(float64(t.Target.Activity))
	c, n := t.shown()
	if n != nothing {
		if !s.Now.IsZero() && s.side(s.Now) == 0 {
			add(c.at(s.Now, s.HalfLife))
		}
		if !t.Infusion.IsZero() && s.side(t.Infusion) == 0 {
			add(c.at(t.Infusion, s.HalfLife))
		}
		if !t.banded() {
			add(c.at(s.From, s.HalfLife))
			add(c.at(s.Until, s.HalfLife))
		}
	}
	if n == nothing && !t.banded() {
		for _, r := range t.Readings {
			add(float64(r.Activity))
		}
	}
	if low > high {
		return 0, 1
	}
	margin := math.Max(0.3*(high-low), 0.02*high)
	return math.Max(0, low-margin), high + margin
}

func (s *sheet) band(t Track, p plot) {
	across := func(a Level, pen stroke) {
		if usable(a.Activity) {
			y := p.y(float64(a.Activity))
			s.line(pen, point{s.left, y}, point{s.right, y})
		}
	}
	if t.banded() {
		top, foot := p.y(float64(t.Upper.Activity)), p.y(float64(t.Lower.Activity))
		s.area(band, stroke{colour: none}, nil, box(s.left, top, s.right-s.left, foot-top)...)
		limit := stroke{colour: goal, width: 2.5, on: []colour{paper, band}}
		across(t.Upper, limit)
		across(t.Lower, limit)
	}
	across(t.Target, stroke{colour: goal, width: 2, dash: "3.00 6.00", on: []colour{paper, band}})
}

// limits draws the limits that lie in the plot, with their words on the side of the band, or
// on the other where the band is too near.
func (s *sheet) limits(t Track, p plot) {
	for _, l := range []struct {
		Level
		band           Level
		inside, beside float64 // from the line down to the foot of its words
	}{{t.LimitLow, t.Lower, -5, s.small.size}, {t.LimitHigh, t.Upper, s.small.size, -5}} {
		if a := float64(l.Activity); usable(l.Activity) && a >= p.low && a <= p.high {
			s.line(stroke{colour: ink, width: 2, dash: "10.00 4.00 2.00 4.00", on: []colour{paper, band}}, point{s.left, p.y(a)}, point{s.right, p.y(a)})
			words := l.inside
			if t.banded() && math.Abs(p.y(a)-p.y(float64(l.band.Activity))) < s.small.size+4 {
				words = l.beside
			}
			s.text(s.small, ink, start, point{s.left + 6, p.y(a) + words}, "limit "+l.Text)
		}
	}
}

func (s *sheet) infusion(t Track, p plot) {
	if t.Infusion.IsZero() {
		return
	}
	x, side := s.x(t.Infusion), s.side(t.Infusion)
	if side != 0 {
		s.arrowTo(side, point{x, p.top + 4}, 12, goal)
		return
	}
	s.line(stroke{colour: goal, width: 3.5, on: []colour{paper, band}}, point{x, p.top}, point{x, p.bottom})
	s.area(goal, stroke{colour: paper, width: 2}, []colour{paper}, point{x, p.top - 10}, point{x + 9, p.top}, point{x, p.top + 10}, point{x - 9, p.top})
}

// curve draws the activity as far as it lies in the plot: solid for a dose,
// dashes for a plan, with its words at the right.
func (s *sheet) curve(t Track, p plot) {
	c, n := t.shown()
	if n == nothing {
		return
	}
	from, until := 0.0, s.total()
	from = math.Max(from, c.when(p.high, s.HalfLife, s.From))
	if p.low > 0 {
		until = math.Min(until, c.when(p.low, s.HalfLife, s.From))
	}
	if !(until > from) {
		return
	}
	const pieces = 48
	points := make([]point, pieces+1)
	lead := nuclide.Elapsed(c.At, s.From)
	for i := range points {
		seconds := from + (until-from)*float64(i)/pieces
		a := float64(c.Activity) * nuclide.Factor(s.HalfLife, lead+quantity.Span(seconds))
		points[i] = point{s.along(seconds), p.y(a)}
	}
	dash := map[nature]string{planned: "14.00 8.00"}[n]
	s.line(stroke{colour: curve, width: 5, dash: dash, on: []colour{paper, band}}, points...)
	s.curveWords(c.Words, points, p)
}

// curveWords writes along the right end of a falling curve, above it if there
// is room.
func (s *sheet) curveWords(words string, points []point, p plot) {
	f := face{s.small.size, true}
	words = f.cut(words, s.right-s.left-12)
	w := f.width(words)
	last := points[len(points)-1]
	right := math.Max(last.x, s.left+w+12) - 6
	above := last.y
	for _, q := range points {
		if q.x >= right-w {
			above = math.Min(above, q.y)
		}
	}
	y := above - 9
	if y-f.size < p.top {
		y = math.Min(last.y+f.size+6, p.bottom-4)
	}
	s.text(f, curve, end, point{right, y}, words)
}

// readings draws them as dots, and as triangles at the side when they lie
// outside the plot.
func (s *sheet) readings(t Track, p plot) {
	for _, r := range t.Readings {
		if s.side(r.At) != 0 {
			continue
		}
		at := point{s.x(r.At), p.y(float64(r.Activity))}
		pen := stroke{colour: paper, width: 2}
		down := 12.0 // from the tip of the triangle to its foot
		switch a := float64(r.Activity); {
		case a < p.low:
			down = -12
		case a <= p.high:
			s.dot(at, 7, ink)
			continue
		}
		s.area(ink, pen, []colour{paper}, at, point{at.x - 8, at.y + down}, point{at.x + 8, at.y + down})
		s.off(t, r, point{at.x, at.y + down/2})
	}
}

// off writes the text of a reading outside the plot beside its triangle, on the
// side where it crosses neither now nor the infusion if there is one.
func (s *sheet) off(t Track, r Reading, at point) {
	f := face{s.small.size * 0.9, false}
	said := f.cut(r.Text, (s.right-s.left)*0.6)
	w := f.width(said)
	crossed := func(left float64) bool {
		for _, x := range []float64{s.x(t.Infusion), s.x(s.Now)} {
			if x > left-12 && x < left+w+12 {
				return true
			}
		}
		return false
	}
	left := at.x + 12
	if before := at.x - 12 - w; before >= s.left && (left+w > s.right || crossed(left) && !crossed(before)) {
		left = before
	}
	if s.Form == Narrow && crossed(left) {
		return // the description has it
	}
	s.text(f, ink, start, point{math.Min(left, s.width-s.edge-w), at.y + f.size*0.36}, said)
}

// levels writes beside the plot what the lines of the band are; in the narrow
// form their order has to do for the words. Where they would meet, the target
// stays.
func (s *sheet) levels(t Track, p plot) {
	type label struct {
		words string
		y     float64
	}
	var labels []label
	for _, l := range []struct {
		words string
		Level
		drawn bool
	}{{"upper limit ", t.Upper, t.banded()}, {"target ", t.Target, usable(t.Target.Activity)}, {"lower limit ", t.Lower, t.banded()}} {
		if s.Form == Narrow {
			l.words = ""
		}
		if l.drawn {
			labels = append(labels, label{strings.TrimSpace(l.words + l.Text), p.y(float64(l.Activity))})
		}
	}
	for i := 1; i < len(labels); i++ {
		if labels[i].y-labels[i-1].y < s.small.size*1.02 {
			labels = []label{labels[min(1, len(labels)-1)]}
			break
		}
	}
	room, f := s.left-s.edge-8, s.small
	for _, l := range labels {
		f = f.fit(l.words, room, s.Form.pick(16, 14))
	}
	for _, l := range labels {
		s.text(f, goal, end, point{s.left - 8, l.y + f.size*0.36}, f.cut(l.words, room))
	}
}

// bracket draws the valid window below the plot: a bar with an end to it where
// the window ends, an arrow where it goes on beyond the axis.
func (s *sheet) bracket(t Track, y float64) {
	if !t.window() {
		return
	}
	a, b := s.side(t.ValidFrom), s.side(t.ValidUntil)
	switch {
	case a > 0:
		s.arrowTo(1, point{s.right, y}, 14, goal)
	case b < 0:
		s.arrowTo(-1, point{s.left, y}, 14, goal)
	default:
		s.ends(s.x(t.ValidFrom), s.x(t.ValidUntil), y, a, b, s.dash(t))
	}
}

// ends draws a bar between two places; a and b tell that it goes on there.
func (s *sheet) ends(left, right, y float64, a, b int, dash string) {
	const size = 14.0
	from, until := left, right
	if a < 0 {
		from = math.Min(left+size*0.8, right)
		s.arrowTo(-1, point{left, y}, size, goal)
	}
	if b > 0 {
		until = math.Max(right-size*0.8, from)
		s.arrowTo(1, point{right, y}, size, goal)
	}
	s.line(stroke{colour: goal, width: 6, dash: dash, on: []colour{paper}}, point{from, y}, point{until, y})
	for _, e := range []struct {
		x    float64
		open bool
	}{{left, a < 0}, {right, b > 0}} {
		if !e.open {
			s.line(stroke{colour: goal, width: 4, on: []colour{paper}}, point{e.x, y - 8}, point{e.x, y + 8})
		}
	}
}
