package picture

import (
	"html"
	"html/template"
	"strconv"
)

// Sketch is the plan of a room with numbered points, as it is typed: corners in
// hundredths of the width and of the depth of the room.
type Sketch struct {
	// ID tells this picture from the others on a page, Title says what it is of.
	ID, Title string
	// Lines are drawn from corner to corner, each corner from 0 to 100.
	Lines  [][][2]float64
	Points []SketchPoint
	// Mark is written above the room; empty for none.
	Mark string
}

// SketchPoint is a point, X from the left and Y from the top in hundredths, with its
// Number in the list beside; Alarm marks it by its shape too.
type SketchPoint struct {
	X, Y   float64
	Number int
	Name   string
	Alarm  bool
}

// Draw gives the picture as SVG. A point is a circle with its number, or a square where
// it is in alarm, so that nothing is said by a colour alone.
func (s Sketch) Draw() template.HTML {
	c := newCanvas(s.ID)
	c.put(`<svg viewBox="-4 -10 108 114" role="img" aria-labelledby="`, html.EscapeString(s.ID), `-title" width="100%" height="360">`)
	c.put(`<title id="`, html.EscapeString(s.ID), `-title">`, html.EscapeString(s.Title), `</title>`)
	if s.Mark != "" {
		c.put(`<text x="0" y="-4" font-size="4" font-weight="bold" fill="currentColor">`, html.EscapeString(s.Mark), `</text>`)
	}
	for _, line := range s.Lines {
		c.b.WriteString(`<polyline fill="none" stroke="currentColor" stroke-width="0.8" points="`)
		for _, p := range line {
			c.b.WriteString(num(p[0]) + "," + num(p[1]) + " ")
		}
		c.put(`"/>`)
	}
	for _, p := range s.Points {
		x, y := num(p.X), num(p.Y)
		c.put(`<g><title>`, html.EscapeString(p.Name), `</title>`)
		if p.Alarm {
			c.put(`<rect x="`, num(p.X-3.5), `" y="`, num(p.Y-3.5), `" width="7" height="7" fill="Canvas" stroke="currentColor" stroke-width="1.4"/>`)
		} else {
			c.put(`<circle cx="`, x, `" cy="`, y, `" r="3.5" fill="Canvas" stroke="currentColor" stroke-width="0.6"/>`)
		}
		c.put(`<text x="`, x, `" y="`, num(p.Y+1.6), `" font-size="4.5" text-anchor="middle" fill="currentColor">`, strconv.Itoa(p.Number), `</text></g>`)
	}
	c.put(`</svg>`)
	return template.HTML(c.b.String())
}
