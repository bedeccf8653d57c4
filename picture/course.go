package picture

import (
	"html/template"
	"math"
	"strconv"

	"vialwright/quantity"
)

// Course is how the reading of a vial changes while it settles: the readings
// with their uncertainties, and the curve fitted to them. [ReadingCourse] draws
// it. All shares are of the fresh reading, above or below it.
type Course struct {
	// ID makes the ids of the picture; Mark is written on it.
	ID   string
	form Form
	Mark string
	// Title and Desc say in words what is drawn.
	Title, Desc string
	Readings    []CourseReading
	// Fitted are points of the curve, in the order of time.
	Fitted []Share
	// End is where the axis of time ends, in s since resuspension.
	End quantity.Span
	// Within is the half width of the band round the fresh reading, and
	// WithinText what it is.
	Within     quantity.Fraction
	WithinText string
	// Until is when the curve leaves the band, in s; 0 where it does not.
	Until     quantity.Span
	UntilText string
}

// CourseReading is a reading, U its standard uncertainty.
type CourseReading struct {
	At    quantity.Span
	Of, U quantity.Fraction
}

// ReadingCourse draws the readings in both forms, as dots with bars of one standard
// uncertainty, and the fitted curve through them. Wide it is 600 by 330 units,
// narrow 360 by 330, and 20 more with a mark.
func ReadingCourse(c Course) template.HTML {
	return bothForms(func(f Form) template.HTML { c.form = f; return drawCourse(c).svg })
}

// coursePlot is one picture under way.
type coursePlot struct {
	timePlot
	Course
	low, high float64 // of the scale of shares
}

func drawCourse(c Course) drawn {
	d := &coursePlot{timePlot: newTimePlot(name("course-"+c.ID, c.form), c.Mark, c.form.pick(600, 360), 330, c.End), Course: c}
	d.left, d.right, d.top, d.bottom = 66, d.width-18, d.shift+36, d.shift+230
	d.scale()
	d.axes()
	d.band()
	d.curve(d.Fitted, d.level, stroke{colour: curve, width: 3.5, on: []colour{paper, band}})
	for _, r := range d.Readings {
		if r.At >= 0 && r.At <= d.end { // one beyond the axis stays out
			d.barred(d.x(r.At), d.level(r.Of), d.level(r.Of+r.U), d.level(r.Of-r.U))
		}
	}
	d.key()
	d.marked()
	return drawn{d.finish(c.form.class(), d.width, d.height, plainRunes(c.Title, "Readings while a vial settles"), plainRunes(c.Desc, "Readings, and the curve fitted to them."), false), d.used}
}

// withinScale keeps a share that can be drawn; what is no number is 0.
func withinScale(x quantity.Fraction) float64 {
	const most = 10
	if math.IsNaN(float64(x)) {
		return 0
	}
	return math.Max(-most, math.Min(most, float64(x)))
}

func (d *coursePlot) scale() {
	take := func(x float64) { d.low, d.high = math.Min(d.low, x), math.Max(d.high, x) }
	take(-withinScale(d.Within))
	take(withinScale(d.Within))
	for _, r := range d.Readings {
		take(withinScale(r.Of - r.U))
		take(withinScale(r.Of + r.U))
	}
	for _, p := range d.Fitted {
		take(withinScale(p.Of))
	}
	room := math.Max(0.06*(d.high-d.low), 0.0005)
	d.low, d.high = d.low-room, d.high+room
}

func (d *coursePlot) level(of quantity.Fraction) float64 {
	share := (withinScale(of) - d.low) / (d.high - d.low)
	return d.bottom - (d.bottom-d.top)*math.Max(0, math.Min(1, share))
}

func (d *coursePlot) axes() {
	small := face{size: 15}
	pen := stroke{colour: quiet, width: 2, on: []colour{paper}}
	d.text(small, quiet, start, point{8, d.top - 14}, "off the fresh reading")
	d.line(pen, point{d.left, d.top}, point{d.left, d.bottom}, point{d.right, d.bottom})
	step, digits := 500.0, 0
	for _, s := range []float64{0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200} {
		if 100*(d.high-d.low)/s <= 7 {
			step = s
			break
		}
	}
	if step < 1 {
		digits = 1
	}
	if step < 0.1 {
		digits = 2
	}
	for k := math.Ceil(100 * d.low / step); k*step <= 100*d.high; k++ {
		y := d.level(quantity.Fraction(k * step / 100))
		label := strconv.FormatFloat(k*step, 'f', digits, 64) + "\u00a0%"
		switch {
		case k == 0:
			label = "0\u00a0%"
		case k > 0:
			label = "+" + label
		default:
			label = "\u2212" + label[1:]
		}
		d.line(pen, point{d.left - 5, y}, point{d.left, y})
		d.text(small.fit(label, d.left-12, 9), quiet, end, point{d.left - 8, y + 5}, label)
	}
	d.times(small, pen)
}

// band is where a reading can be taken as it stands, with the time at which the
// curve leaves it.
func (d *coursePlot) band() {
	tol := quantity.Fraction(math.Max(0, withinScale(d.Within)))
	d.area(band, stroke{colour: none}, nil, box(d.left, d.level(tol), d.right-d.left, d.level(-tol)-d.level(tol))...)
	on := []colour{paper, band}
	d.line(stroke{colour: quiet, width: 1.5, dash: "2 4", on: on}, point{d.left, d.level(0)}, point{d.right, d.level(0)})
	if d.Until > 0 && d.Until < d.end {
		x := d.x(d.Until)
		d.line(stroke{colour: goal, width: 3, dash: "7 5", on: on}, point{x, d.top}, point{x, d.bottom})
		d.beside(face{15, true}, goal, x, d.top+12, clean(d.UntilText))
	}
}

func (d *coursePlot) barred(x, y, top, bottom float64) {
	const cap = 5
	pen := stroke{colour: ink, width: 2, on: []colour{paper, band}}
	d.line(pen, point{x, top}, point{x, bottom})
	d.line(pen, point{x - cap, top}, point{x + cap, top})
	d.line(pen, point{x - cap, bottom}, point{x + cap, bottom})
	d.dot(point{x, y}, 5, ink)
}

func (d *coursePlot) key() {
	small := face{size: 15}
	x, y := 20.0, d.bottom+46
	d.barred(x+13, y-5, y-13, y+3)
	d.text(small, ink, start, point{x + 34, y}, "reading ± standard uncertainty")
	y += 22
	d.line(stroke{colour: curve, width: 3.5, on: []colour{paper}}, point{x, y - 5}, point{x + 26, y - 5})
	d.text(small, ink, start, point{x + 34, y}, "curve fitted to the readings")
	text := clean(d.WithinText)
	if text == "" {
		return
	}
	y += 22
	d.area(band, stroke{colour: goal, width: 1.5, on: []colour{paper}}, nil, box(x, y-13, 26, 14)...)
	f := small.fit(text, d.width-x-44, 9)
	d.text(f, ink, start, point{x + 34, y}, f.cut(text, d.width-x-44))
}
