package picture

import "math"

// frame puts a vial's own lengths, from the middle of the inside floor, into
// the picture.
type frame struct{ x, floor, scale float64 }

func (f frame) at(r, z float64) point { return point{f.x + r*f.scale, f.floor - z*f.scale} }

// mirror gives a closed outline from the points of its right side, bottom to
// top.
func (f frame) mirror(right []point) []point {
	out := append([]point{}, right...)
	for i := len(right) - 1; i >= 0; i-- {
		out = append(out, point{2*f.x - right[i].x, right[i].y})
	}
	return out
}

// vials draws them two in a row below the line of the arrows. Both columns of
// text in a row are as wide.
func (d *desk) vials() {
	d.moveRows()
	row := []int{}
	for i, v := range d.Vessels {
		if v.Kind != Syringe {
			row = append(row, i)
		}
		if len(row) == 2 {
			d.vialRow(row)
			row = row[:0]
		}
	}
	if len(row) > 0 {
		d.vialRow(row)
	}
	if d.y > d.topRow {
		d.y -= rowGap - 8
	}
}

// beside is the free space left of a vial, between it and its text, and right
// of that.
const beside, gap = 12.0, 9.0

// rowGap is between two rows of vials, where their arrows run.
const rowGap = 26.0

func (d *desk) vialRow(row []int) {
	column := d.width - 2*(beside+gap) - 4
	for i := range 2 {
		column -= 2 * d.Vessels[row[min(i, len(row)-1)]].glass().outer * d.scale
	}
	left, foot := 0.0, d.y
	for _, i := range row {
		foot = math.Max(foot, d.vial(i, left, column/2))
		left += beside + 2*d.Vessels[i].glass().outer*d.scale + gap + column/2
	}
	d.y = foot + rowGap
}

func (d *desk) vial(i int, left, column float64) float64 {
	v := d.Vessels[i]
	g, s := v.glass(), d.scale
	f := frame{left + beside + g.outer*s, d.y + g.top*s + 4, s}
	d.contents(v, g, f)
	d.walls(v, g, f)
	top := f.at(0, g.top)
	d.ports[i] = port{tip: point{top.x, top.y - 6}, via: []point{{top.x, d.y - 10}, {left + 5, d.y - 10}}, first: d.y == d.topRow}
	y := d.head(v, f.x+g.outer*s+gap, d.y+6, column)
	return math.Max(y, d.y+vialHeight*s)
}

func (d *desk) contents(v Vessel, g vial, f frame) {
	if !known(v.Volume) {
		d.unknown(f.at(0, g.shoulder/2))
	}
	top := math.Min(volumeOf(v.Volume), v.capacity())
	if top <= 0 {
		return
	}
	bedTop := math.Min(volumeOf(v.Bed), top)
	clearFoot := math.Max(bedTop, top-volumeOf(v.Clear))
	d.layer(g, f, 0, bedTop, bed, "dense")
	d.layer(g, f, bedTop, clearFoot, liquid, "loose")
	d.layer(g, f, clearFoot, top, water, "")
	parting := stroke{colour: paper, width: 2.5, dash: "7 4", on: []colour{liquid, water, bed}}
	for _, v := range []float64{bedTop, clearFoot} {
		if v > 0 && v < top {
			z := g.level(v)
			d.line(parting, f.at(-g.radius(z), z), f.at(g.radius(z), z))
		}
	}
	z := g.level(top)
	d.line(d.surface(), f.at(-g.radius(z), z), f.at(g.radius(z), z))
}

func (d *desk) layer(g vial, f frame, from, to float64, fill colour, texture string) {
	if to <= from {
		return
	}
	low, high := g.level(from), g.level(to)
	right := []point{f.at(g.radius(low), low)}
	z := 0.0
	for _, c := range g.inside.Sections {
		if z += float64(c.Height); z > low && z < high {
			right = append(right, f.at(g.radius(z), z))
		}
	}
	points := f.mirror(append(right, f.at(g.radius(high), high)))
	d.area(fill, stroke{colour: none}, []colour{paper}, points...)
	if texture != "" {
		d.texture(texture, points...)
	}
}

func (d *desk) walls(v Vessel, g vial, f frame) {
	pen := d.outline(v)
	d.area(none, pen, nil, f.mirror([]point{
		f.at(g.outer, -g.foot), f.at(g.outer, g.shoulder), f.at(g.throat, g.neck), f.at(g.throat, g.lip),
	})...)
	if v.Kind == AdministrationVial { // the pointed floor shows
		top, floor := float64(g.inside.Sections[0].Height), g.radius(0)
		rim := top + g.outer - g.radius(top)
		d.line(pen, f.at(-g.outer, rim), f.at(-floor, 0), f.at(floor, 0), f.at(g.outer, rim))
	}
	d.area(paper, pen, nil, f.mirror([]point{f.at(g.cap, g.lip), f.at(g.cap, g.top)})...)
	d.line(pen, f.at(-g.cap, g.top-1.8), f.at(g.cap, g.top-1.8))
	if v.Expected {
		return
	}
	throat := g.radius(g.lip)
	d.area(glass, stroke{colour: none}, []colour{paper}, f.mirror([]point{f.at(throat, g.brim), f.at(throat, g.lip)})...)
}
