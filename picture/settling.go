package picture

import (
	"html/template"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"vialwright/quantity"
	"vialwright/settling"
)

// Settling is a vial that has stood since it was resuspended, with what a draw from
// it would hold: [SettlingPicture] draws it.
type Settling struct {
	// ID makes the ids of the picture; Mark is written on it.
	ID   string
	form Form
	Mark string
	// Title and Desc say in words what is drawn.
	Title, Desc string
	// Bore is the inner diameter, Cone the height of a pointed floor, Level
	// that of the surface, Tip that of the needle tip; Clear and Bed are the
	// clear line and the top of the bed now. All are in mm above the lowest
	// point.
	Bore, Cone, Level, Tip, Clear, Bed quantity.Length
	// Now is the time since the vial was resuspended, Until how long a draw may be
	// begun, in s; Until is 0 where there is no such time. The axis reaches
	// from 0 to End.
	Now, Until, End quantity.Span
	NowText         string
	UntilText       string
	// Tolerance is the half width of the band round the mixed concentration.
	Tolerance quantity.Fraction
	// AtTip is the concentration at the needle tip, Drawn the mean of a draw
	// begun then, over the mixed one.
	AtTip, Drawn []Share
}

// Share is a concentration over the mixed one, at a time since resuspension in s.
type Share struct {
	At quantity.Span
	Of quantity.Fraction
}

// SettlingAt gives what the model says of a vial at a time since it was resuspended, in
// s. The texts are for the caller to fill in.
func SettlingAt(k settling.Clock, now quantity.Span) Settling {
	r, p := k.Result, k.Result.At(now)
	out := Settling{
		Level: r.Level, Tip: r.Case.Tip, Clear: p.Clear, Bed: p.Bed, Tolerance: r.Case.Tolerance,
		Now: now, Until: k.Trusted(), End: min(r.Case.Span, max(60, 2.5*k.Trusted(), 1.2*now)),
	}
	sections := r.Case.Vessel.Sections
	out.Bore = sections[len(sections)-1].Top
	if len(sections) > 1 {
		out.Cone = sections[0].Height
	}
	for _, t := range r.Track {
		out.AtTip = append(out.AtTip, Share{At: t.At, Of: t.Tip})
	}
	for _, m := range k.Means {
		out.Drawn = append(out.Drawn, Share{At: m.Start, Of: m.Mean})
	}
	return out
}

// SettlingPicture draws in both forms the vial with its clear line, its bed and the needle,
// and beside it (below it, in a narrow one) concentration against time with
// now marked. Wide it is 600 by 236 units, narrow 360 by 382, and 20 more with a mark.
func SettlingPicture(s Settling) template.HTML {
	return bothForms(func(f Form) template.HTML { s.form = f; return drawSettling(s).svg })
}

// plainRunes is clean for a text that may be long; without one another stands
// there.
func plainRunes(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return strings.Map(func(r rune) rune {
		if !shown(r) {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(s, string(utf8.RuneError)))
}

// settler is one picture under way.
type settler struct {
	timePlot
	Settling
	f face
}

// mostShare is the top of the scale: a bed holds two to three times as much as
// the mixed vial, and how much more is no matter.
const mostShare = 1.5

func drawSettling(s Settling) drawn {
	d := &settler{timePlot: newTimePlot(name(s.ID, s.form), s.Mark, s.form.pick(600, 360), s.form.pick(236, 382), s.End), Settling: s, f: face{size: 17}}
	d.left, d.right = s.form.pick(256, 58), s.form.pick(582, 340)
	d.top, d.bottom = d.shift+s.form.pick(36, 204), d.shift+s.form.pick(158, 308)
	d.vessel()
	d.plot()
	d.marked()
	return drawn{d.finish(s.form.class(), d.width, d.height, plainRunes(s.Title, "A vial after it was resuspended"), plainRunes(s.Desc, "Its layers, and what a draw would hold."), true), d.used}
}

// sound is a length that can be drawn.
func sound(x, most float64) float64 {
	if !(x > 0) { // nor what is no number
		return 0
	}
	return math.Min(x, most)
}

func (d *settler) vessel() {
	const mid, floor, tallest, widest = 96.0, 212.0, 158.0, 96.0
	foot := d.shift + d.form.pick(floor, 158)
	level, bore := math.Max(sound(float64(d.Level), 1e4), 0.1), math.Max(sound(float64(d.Bore), 1e4), 0.1)
	brim := level * 1.25
	scale := math.Min(d.form.pick(tallest, 118)/brim, widest/bore)
	cone := sound(float64(d.Cone), level)
	f := frame{mid, foot, scale}
	half := func(z float64) float64 {
		if z < cone {
			return bore / 2 * z / cone
		}
		return bore / 2
	}
	clear, top := sound(float64(d.Clear), level), sound(float64(d.Bed), level)
	d.slab(f, half, cone, 0, top, bed, "dense")
	d.slab(f, half, cone, top, math.Max(top, clear), liquid, "loose")
	d.slab(f, half, cone, math.Max(top, clear), level, water, "")
	wall := stroke{colour: glass, width: 3, on: []colour{paper}}
	d.line(wall, f.at(-bore/2, brim), f.at(-bore/2, cone), f.at(-half(0), 0), f.at(half(0), 0), f.at(bore/2, cone), f.at(bore/2, brim))
	tip := f.at(0, sound(float64(d.Tip), brim))
	d.area(ink, stroke{colour: paper, width: 1.5}, []colour{paper},
		point{tip.x - 4, foot - brim*scale - 12}, point{tip.x + 4, foot - brim*scale - 12}, point{tip.x + 4, tip.y - 8}, point{tip.x, tip.y}, point{tip.x - 4, tip.y - 8})
	edge := mid - bore/2*scale
	d.line(stroke{colour: ink, width: 2, on: []colour{paper}}, point{edge - 10, tip.y}, point{edge - 2, tip.y})
	d.text(d.f, ink, end, point{edge - 13, tip.y + 6}, "tip")
	d.words(f, mid+bore/2*scale+8, level, clear, top)
}

func (d *settler) slab(f frame, half func(float64) float64, cone, from, to float64, fill colour, texture string) {
	if (to-from)*f.scale < 0.5 {
		return
	}
	right := []point{f.at(half(from), from)}
	if from < cone && cone < to {
		right = append(right, f.at(half(cone), cone))
	}
	points := f.mirror(append(right, f.at(half(to), to)))
	d.area(fill, stroke{colour: none}, []colour{paper}, points...)
	if texture != "" {
		d.texture(texture, points...)
	}
}

// words names the layers at the right of the vial, each at its middle and
// none on another.
func (d *settler) words(f frame, x, level, clear, top float64) {
	type layer struct {
		from, to float64
		word     string
	}
	mixed := "mixed"
	if clear < 0.97*level || top > 0.03*level {
		mixed = "settling"
	}
	const apart = 19.0
	var at []float64
	var said []string
	last := math.Inf(-1)
	for _, l := range []layer{{math.Max(clear, top), level, "clear"}, {top, math.Max(clear, top), mixed}, {0, top, "bed"}} {
		if l.to-l.from < 0.03*level {
			continue
		}
		last = math.Max(f.at(0, (l.from+l.to)/2).y+6, last+apart)
		at, said = append(at, last), append(said, l.word)
	}
	low := f.at(0, 0).y + 6 // the words of a flat vial stand above its floor
	for i := len(at) - 1; i >= 0; i-- {
		low = math.Min(low, at[i])
		d.text(d.f, ink, start, point{x, low}, said[i])
		low -= apart
	}
}

func (d *settler) y(of quantity.Fraction) float64 {
	return d.bottom - (d.bottom-d.top)*sound(float64(of), mostShare)/mostShare
}

func (d *settler) plot() {
	tol := quantity.Fraction(sound(float64(d.Tolerance), 0.5))
	d.area(band, stroke{colour: none}, nil, box(d.left, d.y(1+tol), d.right-d.left, d.y(1-tol)-d.y(1+tol))...)
	small := face{size: 15}
	pen := stroke{colour: quiet, width: 2, on: []colour{paper}}
	d.line(pen, point{d.left, d.top}, point{d.left, d.bottom}, point{d.right, d.bottom})
	for _, of := range []quantity.Fraction{0, 0.5, 1, 1.5} {
		d.line(pen, point{d.left - 5, d.y(of)}, point{d.left, d.y(of)})
		d.text(small, quiet, end, point{d.left - 8, d.y(of) + 5}, strconv.Itoa(int(100*of))+"%")
	}
	d.times(small, pen)
	on := []colour{paper, band}
	if d.Until > 0 && d.Until < d.end {
		d.line(stroke{colour: goal, width: 3, dash: "7 5", on: on}, point{d.x(d.Until), d.top}, point{d.x(d.Until), d.bottom})
		d.beside(small, goal, d.x(d.Until), d.bottom-8, clean(d.UntilText))
	}
	d.curve(d.AtTip, d.y, stroke{colour: curve, width: 3.5, on: on})
	d.curve(d.Drawn, d.y, stroke{colour: ink, width: 2.5, dash: "3 5", on: on})
	d.now()
	d.legend(small)
}

// now marks the time of the picture, at the edge where it lies beyond.
func (d *settler) now() {
	at := d.x(d.Now)
	d.line(stroke{colour: ink, width: 3, on: []colour{paper, band}}, point{at, d.top - 8}, point{at, d.bottom})
	mean := quantity.Fraction(1)
	for _, p := range d.Drawn {
		if p.At <= d.Now {
			mean = p.Of
		}
	}
	if len(d.Drawn) > 0 {
		d.dot(point{at, d.y(mean)}, 6, ink)
	}
	text, f := clean(d.NowText), face{17, true}
	f = f.fit(text, d.right-d.left, 12)
	text = f.cut(text, d.right-d.left)
	half := f.width(text) / 2
	d.text(f, ink, middle, point{math.Min(math.Max(at, d.left+half), d.right-half), d.top - 14}, text)
}

func (d *settler) legend(f face) {
	one, two := "at the needle tip", "mean of a draw begun then"
	y := d.bottom + 44
	x := d.left - 40
	d.line(stroke{colour: curve, width: 3.5, on: []colour{paper}}, point{x, y - 5}, point{x + 26, y - 5})
	d.text(f, ink, start, point{x + 32, y}, one)
	x, y = d.left-40, y+22
	d.line(stroke{colour: ink, width: 2.5, dash: "3 5", on: []colour{paper}}, point{x, y - 5}, point{x + 26, y - 5})
	d.text(f, ink, start, point{x + 32, y}, two)
}
