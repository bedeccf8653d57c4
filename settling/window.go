package settling

import (
	"math"

	"vialwright/quantity"
)

// WindowState says how a draw window ends.
type WindowState int

// States of a Window.
const (
	Closes    WindowState = iota + 1 // the drawn concentration leaves the tolerance at Until
	StaysOpen                        // it stays within tolerance over all of Case.Span
	NeverOpen                        // a draw begun at once is outside, or 20 ms later
)

// Exit says what ends a draw window.
type Exit int

// Exits.
const (
	NoExit   Exit = iota
	TooThin       // the mean drawn concentration falls below tolerance
	TooRich       // it rises above
	BedAtTip      // the packed bed reaches the needle tip before the draw is over
)

// String names the state in a word or two.
func (s WindowState) String() string {
	return [...]string{"unknown", "closes", "stays open", "never open"}[s]
}

// String names what ends a window.
func (e Exit) String() string {
	return [...]string{"nothing", "too thin", "too rich", "bed at the tip"}[e]
}

// Window is the draw window: in a draw begun at any time from agitation to
// Until, the mean activity concentration lies within Case.Tolerance of nominal
// and the needle tip stays above the packed bed. The second is asked because
// the model says nothing about drawing out of a bed; without it a draw of half
// bed, half clear liquid could pass as nominal.
type Window struct {
	State WindowState
	Until quantity.Span // 0 for NeverOpen, Case.Span for StaysOpen
	Exit  Exit
	Drawn []DrawnPoint // mean drawn concentration by start, to a little past Until
}

// DrawnPoint is the mean activity concentration over nominal in a draw that
// begins at Start.
type DrawnPoint struct {
	Start quantity.Span
	Mean  quantity.Fraction
}

// drawn gives the mean of a draw begun now; c is left as it is.
func (m *model) drawn(c *column, cells int) float64 {
	volume := float64(m.Draw.Volume) / float64(m.Volume) * float64(cells)
	return m.relative(c.clone().draw(int(math.Round(m.tip*float64(cells))), volume, float64(m.Draw.Span)))
}

// trial is one draw: when it begins, what it gives and how far that lies
// beyond tolerance.
type trial struct{ start, mean, miss float64 }

// try makes a draw from c, which stands at start.
func (m *model) try(c *column, cells int, start float64) trial {
	mean := m.drawn(c, cells)
	return trial{start, mean, math.Abs(mean-1) - float64(m.Tolerance)}
}

func (t trial) exit() Exit {
	if t.mean > 1 {
		return TooRich
	}
	return TooThin
}

func (t trial) point() DrawnPoint {
	return DrawnPoint{quantity.Span(t.start), quantity.Fraction(t.mean)}
}

// buried gives the time at which the packed bed reaches the needle tip, or
// infinity. Drawing does not hasten it: what lies below the tip stays.
func (m *model) buried(cells int) float64 {
	if m.solids < m.tip*float64(m.Packing) {
		return math.Inf(1)
	}
	cells = m.aligned(cells)
	c := m.column(cells)
	const stride = 0.25
	tip := m.tip * float64(cells)
	before := c.bed(m.solids)
	for at := 0.0; at < float64(m.Span+m.Draw.Span) && c.rate > 0; at += stride {
		c.advance(stride)
		now := c.bed(m.solids)
		if now >= tip {
			return at + stride*math.Max(0, tip-before)/(now-before)
		}
		before = now
	}
	return math.Inf(1)
}

// window finds the first start at which a draw is out of tolerance or meets
// the bed. A search forward on a coarse grid (a quarter of the cells) cannot
// step over the first exit by more than its stride; the exit is then found on
// the fine grid between 10 % below and above, or by a forward search there if
// it is not in between.
func (m *model) window(cells int) Window {
	end, last := float64(m.Span), StaysOpen
	if bed := m.buried(cells) - float64(m.Draw.Span); bed < end {
		end, last = bed, Closes
	}
	if end <= 0 {
		return Window{State: NeverOpen, Exit: BedAtTip}
	}
	w := m.search(max(cells/4, 40), 0, end)
	fine := Window{}
	if at := float64(w.Until); w.State == Closes {
		fine = m.search(cells, 0.9*at, math.Min(1.1*at, end))
	}
	if fine.State == Closes {
		fine.Drawn = w.Drawn
		w = fine
	} else {
		w = m.search(cells, 0, end)
	}
	if w.State == StaysOpen && last == Closes {
		w.State, w.Exit = Closes, BedAtTip
	}
	return w
}

// search looks forward from start to end for the first exit.
func (m *model) search(cells int, start, end float64) Window {
	cells = m.aligned(cells)
	c := m.column(cells)
	c.advance(start)
	last := m.try(c, cells, start)
	w := Window{State: NeverOpen, Exit: last.exit(), Drawn: []DrawnPoint{last.point()}}
	if last.miss > 0 {
		return w
	}
	for last.start < end {
		next := math.Min(end, last.start+math.Max(1, 0.04*last.start))
		ahead := c.clone()
		ahead.advance(next - last.start)
		t := m.try(ahead, cells, next)
		w.Drawn = append(w.Drawn, t.point())
		if t.miss > 0 {
			w.Exit = t.exit()
			if w.Until = quantity.Span(m.narrow(c, cells, last, t)); w.Until > 0 {
				w.State = Closes
			}
			return w
		}
		c, last = ahead, t
	}
	w.State, w.Until, w.Exit = StaysOpen, quantity.Span(end), NoExit
	return w
}

// narrow brings lo..hi, between which the miss turns positive, to 20 ms by the
// Illinois form of false position; c stands at lo.
func (m *model) narrow(c *column, cells int, lo, hi trial) float64 {
	base := lo.start
	for range 40 {
		if hi.start-lo.start < 0.02 {
			break
		}
		at := hi.start - hi.miss*(hi.start-lo.start)/(hi.miss-lo.miss)
		at = math.Min(math.Max(at, lo.start+0.008), hi.start-0.008)
		d := c.clone()
		d.advance(at - base)
		if t := m.try(d, cells, at); t.miss > 0 {
			hi = t
			lo.miss /= 2
		} else {
			lo = t
			hi.miss /= 2
		}
	}
	return lo.start
}

// Check says whether a case can be run, without running it. An input that is
// wrong is an *Error that names the field.
func Check(c Case) error {
	_, err := c.prepare()
	return err
}

// Below is the volume of the vessel under a height, no more than the liquid.
func (r Result) Below(z quantity.Length) quantity.Volume {
	return min(r.Case.Volume, r.Case.Vessel.Below(max(0, z)))
}

// Means gives the mean activity concentration over nominal of the draw of c
// begun at 0, step, 2 step and so on to Case.Span. The suspension is let settle
// once for all of them, so a hundred take little more than the last alone;
// each equals what Drawn gives for its start to the rounding of a time step.
// step is 0.1 s to Case.Span.
func Means(c Case, step quantity.Span) ([]DrawnPoint, error) {
	m, err := c.prepare()
	if err != nil {
		return nil, err
	}
	if !inside(float64(step), 0.1, float64(c.Span)) {
		return nil, domain("step", float64(step), 0.1, float64(c.Span), "s", "a few seconds are usual")
	}
	cells := m.aligned(c.Cells)
	col := m.column(cells)
	var out []DrawnPoint
	for k := 0; float64(k)*float64(step) <= float64(c.Span)*(1+1e-12); k++ {
		if k > 0 {
			col.advance(float64(step))
		}
		out = append(out, DrawnPoint{quantity.Span(k) * step, quantity.Fraction(m.drawn(col, cells))})
	}
	return out, nil
}
