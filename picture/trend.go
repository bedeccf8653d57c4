package picture

import (
	"html"
	"html/template"
)

// Trend is a row of readings of one place over time, each as a share of its action level.
type Trend struct {
	// ID tells this picture from the others on a page, Title says what it is of.
	ID, Title string
	Points    []TrendPoint
	// Mark is written above it; empty for none.
	Mark string
}

// TrendPoint is one reading: Share of the level, 1 at it; Hollow where nothing was detected. Says
// is read out.
type TrendPoint struct {
	Share  float64
	Hollow bool
	Says   string
}

// Draw gives the picture as SVG: a line through the readings in their order, and the action
// level as a dashed line. A reading at the level or above is a square.
func (t Trend) Draw() template.HTML {
	const width, height, edge = 240.0, 60.0, 6.0
	top := 1.25
	for _, p := range t.Points {
		top = max(top, p.Share)
	}
	x := func(i int) float64 { return edge + (width-2*edge)*float64(i)/float64(max(1, len(t.Points)-1)) }
	y := func(share float64) float64 { return height - edge - (height-2*edge)*max(0, share)/top }
	c := newCanvas(t.ID)
	c.put(`<svg viewBox="0 -12 240 72" role="img" aria-labelledby="`, html.EscapeString(t.ID), `-title" width="240" height="72">`)
	c.put(`<title id="`, html.EscapeString(t.ID), `-title">`, html.EscapeString(t.Title), `</title>`)
	c.put(`<text x="0" y="-3" font-size="9" font-weight="bold" fill="currentColor">`, html.EscapeString(t.Mark), `</text>`)
	c.put(`<path d="M0,`, num(y(1)), `H240" stroke="currentColor" stroke-width="1" stroke-dasharray="4 3"/><text x="0" y="`, num(y(1)-2), `" font-size="8" fill="currentColor">action level</text>`)
	c.b.WriteString(`<polyline fill="none" stroke="currentColor" stroke-width="1" points="`)
	for i, p := range t.Points {
		c.b.WriteString(num(x(i)) + "," + num(y(p.Share)) + " ")
	}
	c.put(`"/>`)
	for i, p := range t.Points {
		fill := "currentColor"
		if p.Hollow {
			fill = "Canvas"
		}
		c.put(`<g stroke="currentColor" fill="`, fill, `"><title>`, html.EscapeString(p.Says), `</title>`)
		if p.Share >= 1 {
			c.put(`<rect x="`, num(x(i)-3.5), `" y="`, num(y(p.Share)-3.5), `" width="7" height="7"/></g>`)
		} else {
			c.put(`<circle cx="`, num(x(i)), `" cy="`, num(y(p.Share)), `" r="2.5"/></g>`)
		}
	}
	c.put(`</svg>`)
	return template.HTML(c.b.String())
}
