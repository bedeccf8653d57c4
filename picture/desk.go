package picture

import (
	"strings"

	"vialwright/quantity"
)

// desk lays out the picture of the vessels from the top down.
type desk struct {
	*canvas
	Bench
	room
	y      float64 // the next free line
	ports  []port  // of the vessels, in their order
	rows   []moveRow
	topRow float64 // top of the first row of vials
}

// room is the measures of a form, in units; scale in units per mm.
type room struct {
	width, scale        float64
	edge                float64 // free space at the left and right
	corridor, nozzle    float64 // where arrows to a syringe run; the nozzle's tip
	target, volume      face    // the key numbers
	label, plain, small face
	move                face
	lead                float64 // of plain text, baseline to baseline, per unit of size
}

func roomFor(f Form) room {
	if f == Narrow {
		return room{
			width: 360, scale: 3.05, edge: 8, corridor: 10, nozzle: 24, lead: 1.3,
			target: face{32, true}, volume: face{28, true}, label: face{19, true}, plain: face{17, false}, small: face{16, false}, move: face{20, true},
		}
	}
	return room{
		width: 600, scale: 4.9, edge: 12, corridor: 14, nozzle: 34, lead: 1.22,
		target: face{44, true}, volume: face{34, true}, label: face{24, true}, plain: face{20, false}, small: face{18, false}, move: face{26, true},
	}
}

// block writes lines below each other and gives the baseline of the last.
// Fonts shrink to least before a text is broken.
func (d *desk) block(f face, least float64, col colour, left, y, width float64, s string) float64 {
	f = f.fit(s, width, least)
	for _, l := range f.wrap(s, width) {
		y += f.size * d.lead
		d.text(f, col, start, point{left, y}, l)
	}
	return y
}

// mark writes what the whole picture is marked with.
func (d *desk) mark() {
	if d.Mark == "" {
		return
	}
	d.y = d.block(d.label, d.small.size, ink, d.edge, d.y, d.room.width-2*d.edge, d.Mark) + 4
}

// facts writes all about a vessel in a column.
func (d *desk) facts(v Vessel, left, y, width float64) float64 {
	y = d.head(v, left, y, width)
	return d.rest(v, left, y, width)
}

// head writes what has to be read first: the id, the kind, the volume.
func (d *desk) head(v Vessel, left, y, width float64) float64 {
	y = d.block(d.label, d.small.size, ink, left, y, width, v.ID)
	switch used, kind := d.label.width(v.ID)+8, d.plain.width(v.Kind.String()); {
	case d.Form == Narrow: // stands below, in the list
	case used+kind <= width:
		d.text(d.plain, quiet, start, point{left + used, y}, v.Kind.String())
	default:
		y = d.block(d.plain, 17, quiet, left, y, width, v.Kind.String())
	}
	return d.block(d.volume, d.Form.pick(28, 20), ink, left, y, width, v.VolumeText)
}

// rest writes what comes after it.
func (d *desk) rest(v Vessel, left, y, width float64) float64 {
	words, activity := v.VolumeWords, v.Activity
	if d.Form == Narrow {
		words = strings.TrimSpace(v.VolumeText + " " + words)
		activity = []string{strings.Join(activity, ", ")}
	}
	y = d.block(d.plain, d.plain.size, ink, left, y, width, words)
	f := face{size: d.plain.size + 2}
	for _, a := range activity { // one size for all units
		f = f.fit(a, width, d.small.size-1)
	}
	for _, a := range activity {
		y = d.block(f, f.size, ink, left, y, width, a)
	}
	f = face{d.plain.size, true}
	for _, s := range append([]string{v.State}, v.notes()...) {
		y = d.block(f, f.size, ink, left, y, width, s)
	}
	return y
}

// list writes, in the narrow form, a paragraph about each vessel below the
// drawing: beside it there is room for the id and the volume alone.
func (d *desk) list() {
	if len(d.Vessels) == 0 {
		d.y = d.block(d.label, d.small.size, ink, d.edge, d.y, d.room.width-2*d.edge, "No vessel yet") + 8
	}
	if d.Form != Narrow {
		return
	}
	for _, v := range d.Vessels {
		width := d.room.width - 2*d.edge
		d.y += 6
		d.line(stroke{colour: quiet, width: 1}, point{d.edge, d.y}, point{d.edge + width, d.y})
		y := d.block(d.label, d.small.size, ink, d.edge, d.y, width, v.ID+" "+v.Kind.String())
		d.y = d.rest(v, d.edge, y, width) + 4
	}
}

// scaleBar shows how long 10 mm are.
func (d *desk) scaleBar() {
	length, y := 10*d.scale, d.y+d.small.size+6
	pen := stroke{colour: quiet, width: 2, on: []colour{paper}}
	left, right := point{d.edge, y - 5}, point{d.edge + length, y - 5}
	d.line(pen, left, right)
	d.line(pen, point{left.x, left.y - 6}, point{left.x, left.y + 6})
	d.line(pen, point{right.x, right.y - 6}, point{right.x, right.y + 6})
	words := "10 mm, one scale for all"
	if d.hasSyringe() {
		words += "; " + d.marksInWords()
	}
	d.y = d.block(d.small, d.small.size, quiet, right.x+10, y-d.small.size*d.lead, d.width-d.edge-right.x-10, words) + 8
}

// volumeOf is a volume as it is drawn: nothing for what is not known.
func volumeOf(v quantity.Volume) float64 {
	if !known(v) {
		return 0
	}
	return float64(v)
}

// outline is the pen for the walls of a vessel.
func (d *desk) outline(v Vessel) stroke {
	s := stroke{colour: glass, width: d.Form.pick(3.5, 2.5), on: []colour{paper}}
	if v.Expected {
		s.dash = d.Form.pickText("9 6", "6 4")
	}
	return s
}

// surface is the pen for the top of a liquid.
func (d *desk) surface() stroke {
	return stroke{colour: ink, width: d.Form.pick(4, 3), on: []colour{paper, liquid, water}}
}

// unknown marks the inside of a vessel whose level nobody knows.
func (d *desk) unknown(at point) {
	d.text(d.volume, ink, middle, point{at.x, at.y + d.volume.size*0.36}, "?")
}
