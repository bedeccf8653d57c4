package picture

import (
	"html/template"
	"strings"
)

// Theme is a set of colours.
type Theme int

// Themes.
const (
	Light Theme = iota
	Dark
)

// colour names one entry of the palette.
type colour int

const (
	paper  colour = iota // behind everything
	ink                  // text, marks, now
	quiet                // text that can wait
	glass                // outlines of vessels
	liquid               // suspension
	bed                  // settled spheres
	water                // water above them
	curve                // activity against time
	goal                 // what is wanted
	band                 // tint of the tolerance band
)

// palette is the one table of colours: the custom property's name, its value in
// light and in dark, and the system colour in forced-colours mode.
var palette = [...]struct {
	name        string
	light, dark string
	forced      string
}{
	paper:  {"paper", "#faf7f0", "#10161d", "Canvas"},
	ink:    {"ink", "#131c26", "#f4f1ea", "CanvasText"},
	quiet:  {"quiet", "#4a5561", "#b9c2cb", "CanvasText"},
	glass:  {"glass", "#2c3844", "#dfe5ea", "CanvasText"},
	liquid: {"liquid", "#bf7420", "#ad6a1e", "Highlight"},
	bed:    {"bed", "#744212", "#8c6030", "CanvasText"},
	water:  {"water", "#6e8c9c", "#55758a", "GrayText"},
	curve:  {"curve", "#8f4f08", "#eba84e", "Highlight"},
	goal:   {"goal", "#0b6355", "#43c7ac", "LinkText"},
	band:   {"band", "#dcebe3", "#17332f", "Canvas"},
}

// none is no paint at all.
const none colour = -1

// css is the paint of an attribute: the custom property, and the light colour
// where there is no style sheet.
func (c colour) css() string {
	if c == none {
		return "none"
	}
	return "var(--pic-" + palette[c].name + "," + palette[c].light + ")"
}

// in is the colour in a theme, as #rrggbb.
func (c colour) in(t Theme) string {
	if t == Dark {
		return palette[c].dark
	}
	return palette[c].light
}

// CSS is the style sheet that the pictures need: the palette as custom
// properties --pic-..., light, dark, for print and for forced colours; and
// which of a page's two forms is shown. Dark follows the system unless the
// root element has data-theme="light" or "dark".
func CSS() string {
	forced := func(c colour) string { return palette[c].forced }
	in := func(t Theme) func(colour) string { return func(c colour) string { return c.in(t) } }
	var b strings.Builder
	rule := func(open, selector string, value func(colour) string) {
		b.WriteString(open + selector + "{")
		for c := range palette {
			b.WriteString("--pic-" + palette[c].name + ":" + value(colour(c)) + ";")
		}
		b.WriteString("}" + strings.Repeat("}", strings.Count(open, "{")) + "\n")
	}
	rule("", ":root", in(Light))
	rule("@media (prefers-color-scheme:dark){", `:root:not([data-theme="light"])`, in(Dark))
	rule("", `:root[data-theme="dark"]`, in(Dark))
	rule("@media print{", ":root:root:root", in(Light))
	rule("@media (forced-colors:active){", ":root:root:root", forced)
	b.WriteString(".picture{display:block;width:100%;height:auto}\n" +
		".picture-narrow{display:none}\n" +
		"@media (max-width:44em){.picture-wide{display:none}.picture-narrow{display:block}}\n")
	return b.String()
}

// Fixed gives a picture with the colours of one theme written into it, for
// where there are no custom properties: a file of its own, a renderer that
// does not know them.
func Fixed(svg template.HTML, t Theme) string {
	var pairs []string
	for c := range palette {
		// With its quotes: in a text they are escaped.
		pairs = append(pairs, `"`+colour(c).css()+`"`, `"`+colour(c).in(t)+`"`)
	}
	return strings.NewReplacer(pairs...).Replace(string(svg))
}
