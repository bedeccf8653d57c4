package picture

import (
	"html"
	"html/template"
	"strconv"
	"strings"
)

// point is a place in the picture, in units from its top left corner.
type point struct{ x, y float64 }

// pair is a colour on the one behind it, and the contrast they need.
type pair struct {
	on, behind colour
	least      float64
}

// What WCAG 2.2 asks at level AA: 1.4.3 of text, large text held to the same,
// and 1.4.11 of graphics.
const (
	forText    = 4.5
	forGraphic = 3.0
)

// canvas collects the elements of a picture.
type canvas struct {
	b    strings.Builder
	id   string
	used map[pair]bool
}

func newCanvas(id string) *canvas { return &canvas{id: id, used: map[pair]bool{}} }

// num writes a coordinate with two decimals, never as -0.00.
func num(x float64) string {
	s := strconv.FormatFloat(x, 'f', 2, 64)
	if s == "-0.00" {
		return "0.00"
	}
	return s
}

func (c *canvas) put(parts ...string) {
	for _, p := range parts {
		c.b.WriteString(p)
	}
	c.b.WriteByte('\n')
}

// meet notes that a colour lies on others.
func (c *canvas) meet(on colour, least float64, behind []colour) {
	for _, b := range behind {
		c.used[pair{on, b, least}] = true
	}
}

// stroke is how a line is drawn. Its colour meets those of on; a line that
// says nothing by itself has none.
type stroke struct {
	colour colour
	width  float64
	dash   string
	on     []colour
}

func (s stroke) attributes() string {
	if s.width == 0 {
		return ""
	}
	a := ` stroke="` + s.colour.css() + `" stroke-width="` + num(s.width) + `"`
	if s.dash != "" {
		a += ` stroke-dasharray="` + s.dash + `"`
	}
	return a
}

func (c *canvas) line(s stroke, points ...point) {
	c.meet(s.colour, forGraphic, s.on)
	c.put(`<polyline fill="none" stroke-linejoin="round"`, s.attributes(), ` points="`, join(points), `"/>`)
}

func (c *canvas) area(fill colour, s stroke, on []colour, points ...point) {
	c.meet(fill, forGraphic, on)
	c.meet(s.colour, forGraphic, s.on)
	c.put(`<polygon stroke-linejoin="round" fill="`, fill.css(), `"`, s.attributes(), ` points="`, join(points), `"/>`)
}

// texture covers a polygon with dots of paper colour: decoration.
func (c *canvas) texture(name string, points ...point) {
	c.put(`<polygon fill="url(#`, c.id, "-", name, `)" points="`, join(points), `"/>`)
}

func join(points []point) string {
	parts := make([]string, len(points))
	for i, p := range points {
		parts[i] = num(p.x) + "," + num(p.y)
	}
	return strings.Join(parts, " ")
}

func box(left, top, width, height float64) []point {
	return []point{{left, top}, {left + width, top}, {left + width, top + height}, {left, top + height}}
}

// dot is a disc with a ring of paper round it, which parts it from whatever
// lies below.
func (c *canvas) dot(at point, r float64, fill colour) {
	c.meet(fill, forGraphic, []colour{paper})
	c.put(`<circle cx="`, num(at.x), `" cy="`, num(at.y), `" r="`, num(r), `" fill="`, fill.css(),
		`" stroke="`, paper.css(), `" stroke-width="2.00"/>`)
}

// anchor says which end of a text is at its place.
type anchor string

const (
	start  anchor = "start"
	middle anchor = "middle"
	end    anchor = "end"
)

// text writes one line with its baseline at a place. A halo of paper colour
// parts it from whatever lies below, so it meets paper alone.
func (c *canvas) text(f face, col colour, a anchor, at point, s string) {
	c.meet(col, forText, []colour{paper})
	weight := ""
	if f.bold {
		weight = ` font-weight="700"`
	}
	c.put(`<text x="`, num(at.x), `" y="`, num(at.y), `" font-size="`, num(f.size), `"`, weight, ` text-anchor="`, string(a),
		`" fill="`, col.css(), `" stroke="`, paper.css(), `" stroke-width="5.00" stroke-linejoin="round" paint-order="stroke">`,
		html.EscapeString(s), `</text>`)
}

// finish puts the root element round the picture. The textures are needed only
// where vessels are drawn.
func (c *canvas) finish(class string, width, height float64, title, desc string, textures bool) template.HTML {
	var out canvas
	title, desc = plainSpace(title), plainSpace(desc)
	out.put(`<svg xmlns="http://www.w3.org/2000/svg" class="picture picture-`, class, `" viewBox="0 0 `, num(width), ` `, num(height),
		`" role="img" aria-labelledby="`, c.id, `-title `, c.id, `-desc" font-family="`, fonts, `">`)
	out.put(`<title id="`, c.id, `-title">`, html.EscapeString(title), `</title>`)
	out.put(`<desc id="`, c.id, `-desc">`, html.EscapeString(desc), `</desc>`)
	if textures {
		out.put(`<defs>`)
		out.pattern(c.id+"-loose", 12, 1.6)
		out.pattern(c.id+"-dense", 7, 2.4)
		out.put(`</defs>`)
	}
	out.put(`<rect width="`, num(width), `" height="`, num(height), `" fill="`, paper.css(), `"/>`)
	out.put(strings.TrimSuffix(c.b.String(), "\n"))
	out.put(`</svg>`)
	return template.HTML(out.b.String()) // every text in it went through EscapeString
}

func plainSpace(s string) string { return strings.ReplaceAll(s, string(nbsp), " ") }

func (c *canvas) pattern(id string, step, r float64) {
	dot := func(x, y float64) string {
		return `<circle cx="` + num(x) + `" cy="` + num(y) + `" r="` + num(r) + `" fill="` + paper.css() + `"/>`
	}
	c.put(`<pattern id="`, id, `" width="`, num(2*step), `" height="`, num(2*step), `" patternUnits="userSpaceOnUse">`,
		dot(step/2, step/2), dot(3*step/2, 3*step/2), `</pattern>`)
}

// name makes the start of the ids of a picture from what the caller gave, with
// the form, so that a page can hold several.
func name(id string, f Form) string {
	safe := strings.Map(func(r rune) rune {
		if 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, clean(id))
	return "pic-" + safe + "-" + f.class()
}

// Form is the room a picture is laid out for.
type Form int

// Forms; any other is taken for Wide. A page holds both, and its style sheet shows one of them ([CSS]).
const (
	// Wide is for a bench screen: a strip is 1240 units wide.
	Wide Form = iota
	// Narrow is for a phone or for large text: 360 units wide.
	Narrow
)

func bothForms(draw func(Form) template.HTML) template.HTML { return draw(Wide) + draw(Narrow) }

// settled is one of the two.
func (f Form) settled() Form {
	if f == Narrow {
		return Narrow
	}
	return Wide
}

func (f Form) class() string {
	if f == Narrow {
		return "narrow"
	}
	return "wide"
}

func (f Form) pick(wide, narrow float64) float64 {
	if f == Narrow {
		return narrow
	}
	return wide
}
