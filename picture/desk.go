package picture

import "vialwright/quantity"

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

// vesselRoom is that of the column beside an instruction, or of a phone.
var vesselRoom = room{
	width: 360, scale: 3.05, edge: 8, corridor: 10, nozzle: 24, lead: 1.3,
	target: face{32, true}, volume: face{28, true}, label: face{19, true}, plain: face{17, false}, small: face{16, false}, move: face{20, true},
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

func (d *desk) mark() {
	if d.Mark == "" {
		return
	}
	d.y = d.block(d.label, d.small.size, ink, d.edge, d.y, d.width-2*d.edge, d.Mark) + 4
}

// head writes what has to be read first: the id and the volume.
func (d *desk) head(v Vessel, left, y, width float64) float64 {
	y = d.block(d.label, d.small.size, ink, left, y, width, v.ID)
	return d.block(d.volume, 20, ink, left, y, width, v.VolumeText)
}

func (d *desk) rest(v Vessel, left, y, width float64) float64 {
	y = d.block(d.plain, d.plain.size, ink, left, y, width, v.VolumeText)
	y = d.block(face{size: d.plain.size + 2}, d.small.size-1, ink, left, y, width, v.Activity)
	for _, s := range append([]string{v.State}, v.notes()...) {
		f := face{d.plain.size, true}
		y = d.block(f, f.size, ink, left, y, width, s)
	}
	return y
}

// list writes a paragraph about each vessel below the drawing: beside it there is room
// for the id and the volume alone.
func (d *desk) list() {
	width := d.width - 2*d.edge
	if len(d.Vessels) == 0 {
		d.y = d.block(d.label, d.small.size, ink, d.edge, d.y, width, "No vessel yet") + 8
	}
	for _, v := range d.Vessels {
		d.y += 6
		d.line(stroke{colour: quiet, width: 1}, point{d.edge, d.y}, point{d.edge + width, d.y})
		y := d.block(d.label, d.small.size, ink, d.edge, d.y, width, v.ID+" "+v.Kind.String())
		d.y = d.rest(v, d.edge, y, width) + 4
	}
}

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

func (d *desk) outline(v Vessel) stroke {
	s := stroke{colour: glass, width: 2.5, on: []colour{paper}}
	if v.Expected {
		s.dash = "6 4"
	}
	return s
}

func (d *desk) surface() stroke {
	return stroke{colour: ink, width: 3, on: []colour{paper, liquid, water}}
}

func (d *desk) unknown(at point) {
	d.text(d.volume, ink, middle, point{at.x, at.y + d.volume.size*0.36}, "?")
}
