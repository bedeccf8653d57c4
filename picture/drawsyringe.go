package picture

import (
	"math"
	"strconv"

	"vialwright/quantity"
)

// syringes draws them one below the other, each with its mark above and its
// numbers below.
func (d *desk) syringes() {
	d.ports = make([]port, len(d.Vessels))
	for i, v := range d.Vessels {
		if v.Kind == Syringe {
			d.syringe(i, v)
		}
	}
}

func (d *desk) syringe(i int, v Vessel) {
	s := d.scale
	half := (bore/2 + barrelWall) * s
	zero := d.nozzle + nozzleLength*s
	d.y += 8
	if v.Target != nil {
		d.y += d.target.size * 1.1
	} else {
		d.y += flangeRadius*s - half
	}
	mid := d.y + (flangeRadius-bore/2-barrelWall)*s/2 + half
	d.barrel(v, zero, mid)
	d.graduate(v, zero, mid)
	d.flag(v, zero, mid)
	d.ports[i] = port{tip: point{d.nozzle - 4, mid}, via: []point{{d.corridor, mid}}}
	d.y = mid + half + d.label.size*1.15
	d.syringeFacts(v)
}

// barrel draws liquid, plunger and walls, zero the x of the scale's beginning,
// mid the y of the axis.
func (d *desk) barrel(v Vessel, zero, mid float64) {
	s, r := d.scale, bore/2*d.scale
	x := zero + along(volumeOf(v.Volume))*s
	bar := func(fromMM, toMM, radius float64) []point {
		return box(zero+fromMM*s, mid-radius*s, (toMM-fromMM)*s, 2*radius*s)
	}
	if x > zero {
		contents := box(zero, mid-r, x-zero, 2*r)
		d.area(liquid, stroke{colour: none}, []colour{paper}, contents...)
		d.texture("loose", contents...)
	}
	pen := d.outline(v)
	front := (x - zero) / s
	switch {
	case !known(v.Volume):
		d.unknown(point{zero + (along(nominal)+flangeAt)/2*s, mid})
	case !v.Expected:
		d.area(glass, stroke{colour: none}, []colour{paper, liquid}, bar(front, front+stopper, bore/2)...)
		d.line(d.surface(), point{x, mid - r}, point{x, mid + r})
	}
	if known(v.Volume) {
		d.area(none, pen, nil, bar(front+stopper, front+stopper+rodLength, rodRadius)...)
		d.area(none, pen, nil, bar(front+stopper+rodLength, front+stopper+rodLength+restWidth, restRadius)...)
	}
	d.area(none, pen, nil, bar(0, flangeAt, bore/2+barrelWall)...)
	d.area(paper, pen, nil, bar(flangeAt, flangeAt+flangeWidth, flangeRadius)...)
	d.area(paper, pen, nil, bar(-nozzleLength, 0, nozzleRadius)...)
}

// leastGap is how close marks are drawn: closer ones run together.
const leastGap = 3.6

// step is the division drawn, in marks of the graduation: the first of 1, 2,
// 5, 10 ... that leaves them apart; 0 without a graduation.
func (d *desk) step() int {
	g := float64(d.Graduation)
	if !(g > 0) || math.IsInf(g, 1) {
		return 0
	}
	for n := 1; n <= 1e6; n *= 10 {
		for _, m := range []int{n, 2 * n, 5 * n} {
			if along(g*float64(m))*d.scale >= leastGap {
				return m
			}
		}
	}
	return 0
}

// graduate draws the marks: long and numbered at whole millilitres, middling
// at halves, short in between.
func (d *desk) graduate(in Vessel, zero, mid float64) {
	s, top, foot := d.scale, mid-bore/2*d.scale, mid+(bore/2+barrelWall)*d.scale
	front := along(volumeOf(in.Volume))
	tick := func(v, length, width float64) {
		if at := along(v); known(in.Volume) && !in.Expected && at > front && at < front+stopper {
			return // behind the stopper
		}
		x := zero + along(v)*s
		d.line(stroke{colour: ink, width: width, on: []colour{paper, liquid}}, point{x, top}, point{x, top + length*s})
	}
	if n := d.step(); n > 0 {
		g := float64(d.Graduation) * float64(n)
		for k := 1; float64(k)*g < nominal+1e-9; k++ {
			v := float64(k) * g
			switch {
			case whole(v):
			case whole(2 * v):
				tick(v, 5, 1.6)
			default:
				tick(v, 3.2, 1.1)
			}
		}
	}
	for k := range int(nominal) + 1 {
		tick(float64(k), 7, 2.2)
		x := zero + along(float64(k))*s
		d.line(stroke{colour: ink, width: 2.2, on: []colour{paper}}, point{x, foot}, point{x, foot + 6})
		d.text(d.label, ink, middle, point{x, foot + 6 + d.label.size*0.85}, strconv.Itoa(k))
	}
}

// whole tells a whole number, but for what floating point leaves.
func whole(x float64) bool { return math.Abs(x-math.Round(x)) < 1e-6 }

// marksInWords says what one mark is, and when the drawing has fewer than the
// syringe.
func (d *desk) marksInWords() string {
	n := d.step()
	if n == 0 {
		return "marks drawn every 1 mL"
	}
	printed := quantity.FormatDigits(d.Graduation, 3, "mL")
	if n == 1 {
		return "syringe marks every " + printed
	}
	return "marks drawn every " + quantity.FormatDigits(d.Graduation*quantity.Volume(n), 3, "mL") + ", on the syringe every " + printed
}

// flag draws the mark to draw to: a line through the barrel in a casing of
// paper, up to its number.
func (d *desk) flag(v Vessel, zero, mid float64) {
	if v.Target == nil {
		return
	}
	half := (bore/2 + barrelWall) * d.scale
	x := zero + along(volumeOf(v.Target.Volume))*d.scale
	if float64(v.Target.Volume) > nominal {
		x = zero + along(nominal)*d.scale
	}
	top := d.y - d.target.size*0.95
	foot := mid + half + 3
	const wide = 4.0
	if known(v.Target.Volume) && v.Target.Volume <= nominal {
		d.line(stroke{colour: paper, width: wide + 6}, point{x, mid - half + 2}, point{x, foot})
		d.line(stroke{colour: goal, width: wide, on: []colour{paper}}, point{x, top}, point{x, foot})
		d.area(goal, stroke{colour: none}, []colour{paper}, point{x - 3*wide, mid - half - 3*wide - 2}, point{x + 3*wide, mid - half - 3*wide - 2}, point{x, mid - half - 2})
	}
	left := x + 3*wide + 6
	room := d.width - d.edge - left
	words := face{d.target.size * 0.6, false}.fit(v.Target.Words, room/2.2, 16)
	said := words.cut(v.Target.Words, room/2.2)
	at := d.y - d.target.size*0.22
	d.text(words, goal, start, point{left, at}, said)
	if said != "" {
		left += words.width(said) + 8
	}
	number := d.target.fit(v.Target.Text, d.width-d.edge-left, 20)
	d.text(number, goal, start, point{left, at}, number.cut(v.Target.Text, d.width-d.edge-left))
}

// syringeFacts writes below the scale what has to be read first.
func (d *desk) syringeFacts(v Vessel) {
	left, half := d.nozzle+8, (d.width-d.edge-d.nozzle-8)/2
	y := d.block(d.volume, 20, ink, left, d.y, half, v.VolumeText)
	d.block(d.label, d.small.size, ink, left+half+8, d.y+d.volume.size-d.label.size, half-8, v.ID)
	d.y = y + 8
}
