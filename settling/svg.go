package settling

import (
	"fmt"
	"math"
	"strings"

	"vialwright/quantity"
)

// Theme chooses the colours of a picture; each draws its own background.
type Theme int

// Themes.
const (
	Light Theme = iota
	Dark
)

// palette holds one theme's colours. Shade of the suspension runs by lightness
// as well as hue, so that it survives a grey print.
type palette struct {
	paper, ink, quiet, glass string
	water, mixed, bed        [3]float64
	open, band               string // draw window, tolerance
}

var palettes = map[bool]palette{ // by dark
	false: {
		paper: "#faf7f0", ink: "#131c26", quiet: "#4a5561", glass: "#2c3844",
		water: [3]float64{222, 236, 243}, mixed: [3]float64{205, 138, 52}, bed: [3]float64{92, 52, 20},
		open: "#0b6e5f", band: "#c9c2b2",
	},
	true: {
		paper: "#10161d", ink: "#f4f1ea", quiet: "#b9c2cb", glass: "#dfe5ea",
		water: [3]float64{38, 62, 80}, mixed: [3]float64{226, 166, 84}, bed: [3]float64{150, 92, 44},
		open: "#43c7ac", band: "#3a4654",
	},
}

// shade is the colour of a relative concentration: water at 0, mixed at 1,
// bed at 2 and above.
func (p palette) shade(rel float64) string {
	from, to := p.water, p.mixed
	if rel > 1 {
		from, to, rel = p.mixed, p.bed, rel-1
	}
	rel = math.Min(math.Max(rel, 0), 1)
	var c [3]int
	for i := range c {
		c[i] = int(math.Round(from[i] + rel*(to[i]-from[i])))
	}
	return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2])
}

// canvas writes SVG elements in one palette.
type canvas struct {
	strings.Builder
	palette
}

func (c *canvas) put(format string, args ...any) {
	fmt.Fprintf(&c.Builder, format+"\n", args...)
}

// text at x, y; anchor is start, middle or end; weight 400 or 700.
func (c *canvas) text(x, y, size float64, anchor, colour string, weight int, s string) {
	c.put(`<text x="%.1f" y="%.1f" font-size="%.0f" text-anchor="%s" fill="%s" font-weight="%d">%s</text>`,
		x, y, size, anchor, colour, weight, escape(s))
}

func (c *canvas) line(x1, y1, x2, y2, width float64, colour, dash string) {
	c.put(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="%s" stroke-width="%.1f" stroke-dasharray="%s"/>`,
		x1, y1, x2, y2, colour, width, dash)
}

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(s)
}

// clock writes a span as a person says it, cut to whole seconds.
func clock(t quantity.Span) string {
	s := int(math.Floor(float64(t) + 1e-9))
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

// short writes a number without trailing zeros, to three figures.
func short(x float64) string { return fmt.Sprintf("%.3g", x) }
