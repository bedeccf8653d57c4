package picture

import (
	"math"
	"strconv"

	"vialwright/quantity"
)

// timePlot is a picture under way with a plot against the time since resuspension.
type timePlot struct {
	*canvas
	width, height float64
	// left, top, right and bottom are those of the plot; shift is the room of
	// the mark above everything.
	left, top, right, bottom, shift float64
	// end is where the axis of time ends, mark what is written on top.
	end  quantity.Span
	mark string
}

// newTimePlot begins a picture. The room of a mark comes on top of the height.
func newTimePlot(id, mark string, width, height float64, end quantity.Span) timePlot {
	d := timePlot{canvas: newCanvas(id), width: width, height: height, end: end, mark: clean(mark)}
	if d.mark != "" {
		d.shift = 20
	}
	d.height += d.shift
	return d
}

func (d *timePlot) marked() {
	if d.mark != "" {
		f := face{16, true}.fit(d.mark, d.width-16, 8)
		d.text(f, ink, start, point{8, 18}, f.cut(d.mark, d.width-16))
	}
}

func (d *timePlot) x(t quantity.Span) float64 {
	end := math.Max(sound(float64(d.end), 1e6), 1)
	return d.left + (d.right-d.left)*sound(float64(t), end)/end
}

func (d *timePlot) times(f face, pen stroke) {
	step := 3600.0
	for _, s := range []float64{5, 10, 15, 30, 60, 120, 300, 600, 1800} {
		if float64(d.end)/s <= 6 {
			step = s
			break
		}
	}
	for t := 0.0; t <= sound(float64(d.end), 5*3600)*1.001; t += step {
		at := d.x(quantity.Span(t))
		d.line(pen, point{at, d.bottom}, point{at, d.bottom + 5})
		label := strconv.Itoa(int(t)) + "\u00a0s"
		if step >= 60 {
			label = strconv.Itoa(int(t)/60) + "\u00a0min"
		}
		d.text(f, quiet, middle, point{min(at, d.right-8, d.width-3-f.width(label)/2), d.bottom + 21}, label)
	}
}

// curve draws shares against time; what lies beyond the axis stays out.
func (d *timePlot) curve(list []Share, y func(quantity.Fraction) float64, s stroke) {
	var points []point
	for _, p := range list {
		if p.At >= 0 && p.At <= d.end {
			points = append(points, point{d.x(p.At), y(p.Of)})
		}
	}
	if len(points) > 1 {
		d.line(s, points...)
	}
}

// beside writes a text at a line, on the side where there is room.
func (d *timePlot) beside(f face, c colour, x, y float64, text string) {
	if x+6+f.width(text) <= d.right {
		d.text(f, c, start, point{x + 6, y}, text)
		return
	}
	f = f.fit(text, x-6-d.left, 9)
	d.text(f, c, end, point{x - 6, y}, f.cut(text, x-6-d.left))
}
