package picture

import (
	"math"
	"slices"
	"time"

	"vialwright/nuclide"
)

// sheet lays out a strip from the top down.
type sheet struct {
	*canvas
	Strip
	width, left, right float64 // of the picture; the axis between
	edge               float64
	key, plain, small  face
	high               float64 // of a plot
	y                  float64 // the next free line
	ticks              []tick
}

func newSheet(in Strip) *sheet {
	s := &sheet{
		canvas: newCanvas(name("strip-"+in.ID, in.Form)), Strip: in,
		width: 1240, left: 216, right: 1222, edge: 8, high: 100,
		key: face{24, true}, plain: face{22, false}, small: face{20, false},
	}
	if in.Form == Narrow {
		s.width, s.left, s.right, s.high = 360, 98, 350, 130
		s.key, s.plain, s.small = face{18, true}, face{17, false}, face{16, false}
	}
	if len(in.Tracks) > 1 {
		s.high *= 0.8
	}
	label := s.small.width("00:00") * in.Form.pick(1.7, 1.35)
	s.ticks = ticks(in.From, in.Until, in.Zone, step(in.From, in.Until, s.right-s.left, label))
	return s
}

// total is the length of the axis in seconds.
func (s *sheet) total() float64 { return float64(nuclide.Elapsed(s.From, s.Until)) }

// x is the place of an instant on the axis, at its end for one outside.
func (s *sheet) x(t time.Time) float64 { return s.along(float64(nuclide.Elapsed(s.From, t))) }

// along is the place of a time in seconds from the beginning.
func (s *sheet) along(seconds float64) float64 {
	share := math.Max(0, math.Min(1, seconds/s.total()))
	return s.left + (s.right-s.left)*share
}

// side tells an instant before the axis (-1) or after it (1).
func (s *sheet) side(t time.Time) int {
	switch {
	case t.Before(s.From):
		return -1
	case t.After(s.Until):
		return 1
	}
	return 0
}

// beyond are the words for an instant outside the axis.
func beyond(side int) string {
	switch side {
	case -1:
		return ", before this axis"
	case 1:
		return ", after this axis"
	}
	return ""
}

// write puts a line at the left edge and gives its baseline.
func (s *sheet) write(f face, col colour, text string) float64 {
	room := s.width - 2*s.edge
	for _, l := range f.wrap(text, room) {
		s.y += f.size * 1.25
		s.text(f, col, start, point{s.edge, s.y}, l)
	}
	return s.y
}

func (s *sheet) mark() {
	if s.Mark != "" {
		s.y = s.write(s.key, ink, s.Mark)
	}
}

// centred is where a text of a width stands so that its middle is at x if that
// leaves it inside the picture: its left end.
func (s *sheet) centred(x, width float64) float64 {
	return math.Max(s.edge, math.Min(x-width/2, s.width-s.edge-width))
}

// arrowTo draws a small triangle that points to the left (-1) or right (1).
func (s *sheet) arrowTo(side int, at point, size float64, col colour) {
	d := float64(side) * size
	s.area(col, stroke{colour: none}, []colour{paper}, at, point{at.x - d, at.y - size*0.7}, point{at.x - d, at.y + size*0.7})
}

// taken is a stretch of a line that has text on it.
type taken struct{ from, until float64 }

// foot draws the axis with its clock times, and now: in the wide form among
// them, in the narrow one below.
func (s *sheet) foot() {
	pen := stroke{colour: ink, width: 2, on: []colour{paper}}
	s.line(pen, point{s.left, s.y}, point{s.right, s.y})
	axis := s.y
	s.y += 6 + s.key.size
	var placed []taken
	if s.Form == Wide {
		placed = append(s.now(axis), taken{0, s.corner()})
	}
	order := slices.Clone(s.ticks)
	first := map[bool]int{true: -1} // days
	slices.SortStableFunc(order, func(a, b tick) int { return first[a.day] - first[b.day] })
	for _, t := range order {
		x := s.x(t.at)
		f := face{s.small.size, t.day}
		w := f.width(t.label)
		left := s.centred(x, w)
		s.line(pen, point{x, axis}, point{x, axis + 6})
		if slices.ContainsFunc(placed, func(p taken) bool { return left < p.until+8 && left+w > p.from-8 }) {
			continue
		}
		placed = append(placed, taken{left, left + w})
		s.text(f, ink, start, point{left, s.y}, t.label)
	}
	if s.Form == Narrow {
		s.y += 16
		s.now(s.y - 8)
		s.write(s.small, quiet, day(s.From.In(s.Zone))+", "+s.zone())
	}
	s.y += 8
}

// corner writes date and offset of the beginning, left of the axis, and gives
// where they end.
func (s *sheet) corner() float64 {
	at := s.From.In(s.Zone)
	date, offset := face{s.small.size, true}, face{17, false}
	s.text(date, ink, start, point{s.edge, s.y}, day(at))
	left := s.edge + date.width(day(at)) + 6
	said := at.Format("UTC-07:00")
	s.text(offset, quiet, start, point{left, s.y}, said)
	return left + offset.width(said)
}

// now writes the time of now below its line, and gives what that takes.
func (s *sheet) now(axis float64) []taken {
	if s.Now.IsZero() {
		return nil
	}
	x, side := s.x(s.Now), s.side(s.Now)
	label := "now " + s.clock(s.Now, "15:04") + beyond(side)
	room := s.width - 2*s.edge - 44
	f := s.key.fit(label, room, s.small.size)
	if s.Form == Narrow {
		s.y += f.size*0.9 + 4
	}
	lines := f.wrap(label, room)
	left := s.centred(x, f.width(lines[0]))
	if side == 0 {
		s.area(ink, stroke{colour: none}, []colour{paper}, point{x, axis}, point{x - 9, axis + 10}, point{x + 9, axis + 10})
	} else {
		left = math.Max(s.edge+22, math.Min(left, s.width-s.edge-22-f.width(lines[0])))
		s.arrowTo(side, point{s.edge + (s.width-2*s.edge)*float64(side+1)/2, s.y - f.size*0.35}, 14, ink)
	}
	for i, l := range lines {
		if i > 0 {
			s.y += f.size * 1.15
		}
		s.text(f, ink, start, point{left, s.y}, l)
	}
	return []taken{{left - 22, left + f.width(lines[0]) + 22}}
}

func (s *sheet) zone() string {
	at := s.Now
	if at.IsZero() {
		at = s.From
	}
	return s.small.cut(clean(s.Zone.String()), 300) + at.In(s.Zone).Format(" (UTC-07:00)")
}
