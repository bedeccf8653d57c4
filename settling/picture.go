package settling

import (
	"fmt"
	"math"
	"strings"

	"vialwright/quantity"
)

// PictureOptions are what Picture can be asked besides the result.
type PictureOptions struct {
	Theme Theme
	// U is the standard uncertainty of the draw window, from Budgeted; 0
	// leaves it out.
	U quantity.Span
	// Safe is the time within which a draw is within tolerance with 95 %
	// probability, from MonteCarlo. Where given, it is the one in the headline.
	Safe quantity.Span
	// Times are up to four times at which the vessel is drawn. Without them:
	// agitation, the end of the draw window, twice that, and all settled.
	Times []quantity.Span
}

// Caution stands under every picture and belongs beside every figure taken
// from this package.
const Caution = "A model, not a measurement: your vial, needle and batch differ. The activity meter decides."

// Size of the picture and places in it, in user units.
const (
	pictureWidth, pictureHeight = 1280.0, 1000.0
	vesselTop, vesselHeight     = 250.0, 250.0
	plotLeft, plotRight         = 110.0, 1240.0
	plotTop, plotBottom         = 640.0, 830.0
	plotMost                    = 2.0 // highest relative concentration shown
)

// Picture draws a result as a self-contained SVG of 1280 by 1000: how long one
// may draw, the vessel at up to four times with the falling clear line, the
// growing bed and the needle tip, and the concentration at the tip against
// time with the draw window marked.
func Picture(r Result, o PictureOptions) string {
	c := &canvas{palette: palettes[o.Theme == Dark]}
	if r.Window.State != Closes || o.Safe > r.Window.Until {
		o.Safe = 0
	}
	c.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" role="img" font-family="Liberation Sans, Arial, Helvetica, sans-serif">`,
		pictureWidth, pictureHeight)
	head, why := words(r, o.Safe)
	c.put(`<title>%s</title>`, escape(head))
	c.put(`<desc>%s %s %s</desc>`, escape(asked(r.Case)), escape(why), escape(Caution))
	c.put(`<defs><pattern id="bed" width="9" height="9" patternUnits="userSpaceOnUse"><circle cx="4.5" cy="4.5" r="3.2" fill="none" stroke="%s" stroke-width="1"/></pattern></defs>`, c.paper)
	c.put(`<rect width="%.0f" height="%.0f" fill="%s"/>`, pictureWidth, pictureHeight, c.paper)
	colour := c.open
	if r.Window.State == NeverOpen {
		colour = c.ink
	}
	c.text(40, 88, 72, "start", colour, 700, head)
	c.text(40, 138, 30, "start", c.ink, 400, asked(r.Case))
	if o.U > 0 && o.Safe == 0 && r.Window.State == Closes {
		why += fmt.Sprintf(" Standard uncertainty %s.", clock(quantity.Span(math.Ceil(float64(o.U)))))
	}
	c.text(40, 180, 30, "start", c.ink, 400, why)
	for i, t := range times(r, o) {
		c.vessel(r, t, 40+292*float64(i), i == 0)
	}
	c.plot(r, o.Safe)
	c.text(40, 950, 24, "start", c.quiet, 400, Caution)
	for _, n := range r.Notes {
		if n.Code == NoteNarrowing {
			c.text(40, 982, 24, "start", c.quiet, 400, n.Text)
		}
	}
	c.put(`</svg>`)
	return c.String()
}

// words gives the headline and the sentence that says what ends the window.
func words(r Result, safe quantity.Span) (head, why string) {
	switch r.Window.State {
	case NeverOpen:
		return "Do not let it stand", map[Exit]string{
			TooThin:  "Even a draw begun at once is too thin.",
			TooRich:  "Even a draw begun at once is too rich.",
			BedAtTip: "The packed bed reaches the tip before any draw is over.",
		}[r.Window.Exit]
	case StaysOpen:
		return "Draw at any time to " + clock(r.Window.Until), "No longer time was worked out."
	}
	if safe > 0 {
		return "Begin the draw within " + clock(safe),
			"With 95 % probability; " + clock(r.Window.Until) + " if all inputs are as given."
	}
	return "Begin the draw within " + clock(r.Window.Until), map[Exit]string{
		TooThin:  "After that a draw is too thin.",
		TooRich:  "After that a draw is too rich.",
		BedAtTip: "After that the packed bed reaches the tip.",
	}[r.Window.Exit]
}

// asked says in one line what was asked.
func asked(c Case) string {
	what := fmt.Sprintf("%s mL in %s", short(float64(c.Draw.Volume)), clock(c.Draw.Span))
	if c.Draw.Volume == 0 {
		what = "At the tip"
	}
	where := fmt.Sprintf("tip %s mm up", short(float64(c.Tip)))
	switch c.Vessel.Orientation {
	case NeedleUp:
		where = "syringe, needle up"
	case NeedleDown:
		where = "syringe, needle down"
	case Horizontal:
		where = fmt.Sprintf("syringe lying, nozzle %s mm up", short(float64(c.Tip)))
	}
	return fmt.Sprintf("%s, %s, within %s %% of evenly mixed, %s °C.", what, where,
		short(100*float64(c.Tolerance)), short(float64(c.Temperature)))
}

// times are the moments at which the vessel is drawn.
func times(r Result, o PictureOptions) []quantity.Span {
	if len(o.Times) > 0 {
		return o.Times[:min(len(o.Times), 4)]
	}
	if r.Window.State != Closes {
		return []quantity.Span{0, r.Case.Span / 8, r.Case.Span / 4, r.Case.Span}
	}
	w := r.Window.Until
	return []quantity.Span{0, w, min(2*w, r.Case.Span), r.Case.Span}
}

// vessel draws the vessel at one time in a column that begins at left.
func (c *canvas) vessel(r Result, t quantity.Span, left float64, first bool) {
	p, s := r.At(t), r.Case.Vessel.fill(r.Case.Volume)
	mid, half := left+120, 0.0
	for k := range Layers + 1 {
		half = math.Max(half, s.halfWidth(s.level*float64(k)/Layers))
	}
	tall, wide := vesselHeight, 65.0 // not to scale across
	if s.radius > 0 {                // a lying barrel is round
		tall, wide = 150, 75
	}
	foot := vesselTop + (vesselHeight+tall)/2
	y := func(z quantity.Length) float64 { return foot - tall*float64(z)/s.level }
	x := func(z float64) float64 { return math.Max(1.5, wide/half*s.halfWidth(z)) }
	c.layers(p, func(k int) (float64, float64) {
		z := s.level * float64(k) / Layers
		return y(quantity.Length(z)), x(z)
	}, mid)
	c.outline(r.Case, s, y, x, mid)
	c.tip(r.Case, y, x(float64(r.Case.Tip)), mid, first)
	c.regions(r, p, y, mid, wide)
	label := clock(t)
	if t == 0 {
		label = "mixed, 0 s"
	}
	c.text(mid, vesselTop+vesselHeight+44, 32, "middle", c.ink, 700, label)
}

// halfWidth is half the width seen from the side, in mm.
func (s *shape) halfWidth(z float64) float64 {
	if s.radius > 0 {
		return math.Sqrt(math.Max(0, z*(2*s.radius-z)))
	}
	return math.Sqrt(s.area(z) / math.Pi)
}

// layers fills the vessel; at gives height on paper and half width of a layer
// limit. Neighbours of one shade are drawn as one.
func (c *canvas) layers(p Point, at func(k int) (y, x float64), mid float64) {
	for k := 0; k < Layers; {
		shade := c.shade(math.Round(p.Layers[k]*25) / 25)
		end := k + 1
		for end < Layers && c.shade(math.Round(p.Layers[end]*25)/25) == shade {
			end++
		}
		right, wrong := []string{}, []string{}
		for i := k; i <= end; i++ {
			y, x := at(i)
			right = append(right, fmt.Sprintf("%.1f,%.1f", mid+x, y))
			wrong = append([]string{fmt.Sprintf("%.1f,%.1f", mid-x, y)}, wrong...)
		}
		points := strings.Join(append(right, wrong...), " ")
		c.put(`<polygon points="%s" fill="%s" stroke="%s" stroke-width="0.8"/>`, points, shade, shade) // the stroke hides seams
		if p.Layers[k] > 1.9 {
			c.put(`<polygon points="%s" fill="url(#bed)"/>`, points)
		}
		k = end
	}
}

// outline draws the glass, and the clear line right across.
func (c *canvas) outline(k Case, s shape, y func(quantity.Length) float64, x func(float64) float64, mid float64) {
	const steps = Layers
	var left, right []string
	for i := 0; i <= steps; i++ {
		z := s.level * float64(i) / steps
		left = append([]string{fmt.Sprintf("%.1f,%.1f", mid-x(z), y(quantity.Length(z)))}, left...)
		right = append(right, fmt.Sprintf("%.1f,%.1f", mid+x(z), y(quantity.Length(z))))
	}
	if k.Vessel.Orientation == Upright { // glass stands above the liquid
		top := fmt.Sprintf("%.1f", vesselTop-24)
		left = append([]string{fmt.Sprintf("%.1f,%s", mid-x(s.level), top)}, left...)
		right = append(right, fmt.Sprintf("%.1f,%s", mid+x(s.level), top))
	}
	c.put(`<polyline points="%s" fill="none" stroke="%s" stroke-width="4" stroke-linejoin="round"/>`,
		strings.Join(append(left, right...), " "), c.glass)
}

// tip draws needle and tip mark, or the outlet of a syringe.
func (c *canvas) tip(k Case, y func(quantity.Length) float64, half, mid float64, named bool) {
	switch k.Vessel.Orientation {
	case NeedleUp:
		c.line(mid-half, vesselTop, mid+half, vesselTop, 4, c.glass, "")
		c.put(`<rect x="%.1f" y="%.1f" width="16" height="30" fill="%s"/>`, mid-8, vesselTop-30, c.glass)
		return
	case NeedleDown:
		c.put(`<rect x="%.1f" y="%.1f" width="16" height="16" fill="%s"/>`, mid-8, vesselTop+vesselHeight, c.glass)
		return
	case Upright:
		c.put(`<path d="M%.1f %.1f V%.1f L%.1f %.1f V%.1f Z" fill="%s" stroke="%s" stroke-width="1.5"/>`,
			mid-5, vesselTop-50, y(k.Tip)-10, mid+5, y(k.Tip), vesselTop-50, c.ink, c.paper)
	case Horizontal:
		c.put(`<circle cx="%.1f" cy="%.1f" r="8" fill="%s" stroke="%s" stroke-width="3"/>`, mid, y(k.Tip), c.paper, c.ink)
		if !named {
			return
		}
	}
	c.line(mid-half-22, y(k.Tip), mid-8, y(k.Tip), 3, c.ink, "")
	if named {
		c.text(mid-half-28, y(k.Tip)+9, 28, "end", c.ink, 700, "tip")
	}
}

// regions writes beside the vessel what each part is, and marks the clear line
// and the top of the bed.
func (c *canvas) regions(r Result, p Point, y func(quantity.Length) float64, mid, half float64) {
	type region struct {
		lo, hi quantity.Length
		word   string
	}
	regions := []region{{p.Clear, r.Level, "clear"}, {p.Bed, p.Clear, suspension(r, p)}, {0, p.Bed, "bed"}}
	if p.Clear <= p.Bed+0.02*r.Level { // nothing is left between them
		regions = []region{{p.Bed, r.Level, "clear"}, {0, p.Bed, "bed"}}
	}
	last := 0.0
	for _, g := range regions {
		if g.hi-g.lo < 0.03*r.Level {
			continue
		}
		at := math.Max((y(g.lo)+y(g.hi))/2+10, last+30)
		c.text(mid+half+11, at, 28, "start", c.ink, 400, g.word)
		last = at
		if g.lo > 0.03*r.Level {
			c.line(mid-half, y(g.lo), mid+half+7, y(g.lo), 3, c.ink, "9 5")
		}
	}
}

// suspension is the word for what hangs between bed and clear line.
func suspension(r Result, p Point) string {
	sum, n := 0.0, 0.0
	for k, rel := range p.Layers {
		if z := (float64(k) + 0.5) / Layers * float64(r.Level); z > float64(p.Bed) && z < float64(p.Clear) {
			sum, n = sum+rel, n+1
		}
	}
	switch mean := sum / math.Max(n, 1); {
	case mean > 1.05:
		return "denser"
	case mean < 0.95:
		return "thinner"
	}
	return "as mixed"
}
