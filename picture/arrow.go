package picture

import (
	"math"
	"slices"
)

// port is where an arrow meets a vessel: the tip, and the way from there to
// the line of the arrows.
type port struct {
	tip   point
	via   []point
	first bool // a vial right below the arrows, reached straight down
}

// moveRow is the room of a movement: its words, and the line below them on
// which the arrow runs across.
type moveRow struct {
	face  face
	words []string
	line  float64
}

// moveRows leaves room for each movement, above the vials.
func (d *desk) moveRows() {
	if len(d.Next) == 0 {
		d.y += 6
	}
	for _, m := range d.Next {
		width := d.width - d.edge - d.nozzle
		r := moveRow{face: d.move.fit(m.Words, width, d.plain.size)}
		r.words = r.face.wrap(m.Words, width)
		d.y += float64(max(1, len(r.words)))*r.face.size*d.lead + 10
		r.line = d.y
		d.rows = append(d.rows, r)
	}
	if len(d.Next) > 0 {
		d.y += 20
	}
	d.topRow = d.y
}

func (d *desk) find(id string) (port, bool) {
	for i, v := range d.Vessels {
		if id != "" && v.ID == id {
			return d.ports[i], true
		}
	}
	return port{}, false
}

// route is the way from a port's tip to a line of the arrows.
func (p port) route(y float64) []point {
	way := []point{p.tip}
	if !p.first {
		way = append(way, p.via...)
	}
	return append(way, point{way[len(way)-1].x, y})
}

func (d *desk) arrow(m Movement, r moveRow) {
	from, hasFrom := d.find(m.From)
	to, hasTo := d.find(m.To)
	var way []point
	outside := func(x float64) point { return point{math.Min(x+90, d.width-d.edge), r.line} }
	switch {
	case hasFrom && hasTo:
		way = d.follow(append(from.route(r.line), to.back(r.line)...))
	case hasFrom:
		way = from.route(r.line)
		way = d.follow(append(way, outside(way[len(way)-1].x)))
	case hasTo:
		way = to.back(r.line)
		way = d.follow(append([]point{outside(way[0].x)}, way...))
		d.dot(way[0], 4, goal)
	}
	d.say(r, way)
}

// back is the route from its end.
func (p port) back(y float64) []point {
	way := p.route(y)
	slices.Reverse(way)
	return way
}

func (d *desk) say(r moveRow, way []point) {
	left := d.width
	for _, p := range way {
		if p.y == r.line {
			left = math.Min(left, p.x+12)
		}
	}
	if len(way) == 0 {
		left = d.nozzle
	}
	for _, w := range r.words {
		left = math.Min(left, d.width-d.edge-r.face.width(w))
	}
	left = math.Max(left, d.nozzle)
	for i, w := range r.words {
		above := float64(len(r.words)-1-i)*r.face.size*d.lead + 9
		d.text(r.face, goal, start, point{left, r.line - above}, w)
	}
}

// follow draws an arrow along a way of at least two points.
func (d *desk) follow(way []point) []point {
	pen := stroke{colour: goal, width: 4, on: []colour{paper}}
	head := 3 * pen.width
	last, before := way[len(way)-1], way[len(way)-2]
	d.line(pen, append(append([]point{}, way[:len(way)-1]...), toward(last, before, head*0.8))...)
	d.arrowHead(last, before, head)
	return way
}

// toward is the point at a distance from a on the way to b.
func toward(a, b point, distance float64) point {
	l := math.Hypot(b.x-a.x, b.y-a.y)
	if l == 0 {
		return a
	}
	return point{a.x + (b.x-a.x)*distance/l, a.y + (b.y-a.y)*distance/l}
}

func (d *desk) arrowHead(at, from point, size float64) {
	foot := toward(at, from, size)
	dx, dy := (foot.x-at.x)/2, (foot.y-at.y)/2
	d.area(goal, stroke{colour: none}, []colour{paper}, at, point{foot.x - dy, foot.y + dx}, point{foot.x + dy, foot.y - dx})
}
