package experience

import (
	"fmt"
	"math"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// The least and most a draw can carry of what its volume would have held, as
// in package dispensing.
const leastYield, mostYield = 0.5, 1.5

// yield gives the yield of a draw and its standard uncertainty by the formulas
// of the package comment; why says what is missing where there is none.
func yield(c dispensing.Case, d dispensing.Draw) (y, u quantity.Fraction, why string) {
	before, after, ok := c.Book.Pair(d.Entry)
	had := c.Book.VolumeBefore(d.Entry)
	switch {
	case c.KindOf(d.From) == "":
		return 0, 0, d.From + " is no shipping vial"
	case !ok || had <= 0 || d.Volume <= 0:
		return 0, 0, "the volume in " + d.From + " before the draw is not known"
	case len(before) == 0:
		return 0, 0, d.From + " was not read between the movement before the draw and the draw"
	case len(after) == 0:
		return 0, 0, d.From + " was not read between the draw and the next movement"
	}
	best := math.Inf(1)
	for _, gain := range gains(before) {
		b, a := mean(c.Book, before, gain, d.At), mean(c.Book, after, gain, d.At)
		if b.n == 0 || a.n == 0 || b.net <= 0 || a.net <= 0 {
			continue
		}
		if v, s := share(c, b, a, d, had); s < best {
			y, u, best = quantity.Fraction(v), quantity.Fraction(s), s
		}
	}
	switch {
	case math.IsInf(best, 1):
		return 0, 0, "no meter read " + d.From + " above its background both before and after the draw"
	case y < leastYield || y > mostYield:
		return 0, 0, fmt.Sprintf("by the readings the draw took %.0f %% of the activity of its volume, which no draw does: a reading has slipped", 100*float64(y))
	}
	return y, u, ""
}

// gains are the meters that have read, in the order of their readings.
func gains(list []ledger.Reading) (out []ledger.FactorID) {
	for _, r := range list {
		if !slices.Contains(out, r.Gain) {
			out = append(out, r.Gain)
		}
	}
	return out
}

// reading is the mean of n readings of one meter in one geometry.
type reading struct {
	n        int
	net, u   float64 // Bq
	at       quantity.Span
	geometry ledger.FactorID
	factor   ledger.Factor
}

// mean takes the readings of a meter together, as many as are in the geometry
// of the last of them; its time counts from the draw.
func mean(b *ledger.Book, list []ledger.Reading, gain ledger.FactorID, draw time.Time) (m reading) {
	for _, r := range slices.Backward(list) {
		if r.Gain != gain || m.n > 0 && r.Geometry != m.geometry {
			continue
		}
		m.geometry = r.Geometry
		m.n++
		m.net += float64(r.Net)
		m.at += nuclide.Elapsed(draw, r.At)
		own := math.Max(r.Relative*float64(r.Net), float64(r.Floor))
		m.u = math.Hypot(m.u, math.Hypot(own, float64(r.Background)))
	}
	if m.n == 0 {
		return m
	}
	n := float64(m.n)
	m.net, m.u, m.at, m.factor = m.net/n, m.u/n, m.at/quantity.Span(n), b.Factor(m.geometry)
	return m
}

// share gives y and u(y) of the package comment.
func share(c dispensing.Case, b, a reading, d dispensing.Draw, had quantity.Volume) (y, u float64) {
	grow := 1 / nuclide.Factor(c.HalfLife.Value, a.at-b.at)
	rho := a.net / b.net * grow
	rel := math.Hypot(a.u/a.net, b.u/b.net)
	if a.geometry != b.geometry {
		rho *= b.factor.Value / a.factor.Value
		rel = math.Hypot(rel, math.Hypot(a.factor.U/a.factor.Value, b.factor.U/b.factor.Value))
	}
	parts := float64(had / d.Volume)
	y = (1 - rho) * parts
	set := y * float64(c.Policy.Graduation/d.Volume) / math.Sqrt(12)
	return y, math.Hypot(parts*rho*rel, set)
}
