package ledger

import (
	"math"
	"time"

	"vialwright/quantity"
)

// Second is an amount found a second time, by a reading that is not in the
// books, beside the amount that the books give. Activities are in Bq at the instant asked.
type Second struct {
	// Shared are the entries of the readings of the books that the second
	// figure rests on too; none where the own reading says it all.
	Shared []int
	// Value is the second figure by the priors of the factors, First that of
	// the books, and Difference the second less the first; each with its
	// standard uncertainty.
	Value, First, Difference    quantity.Activity
	ValueU, FirstU, DifferenceU quantity.Activity
}

// ByRemainder gives the entries of the readings of a vessel from which, with
// one reading of it at an instant, an amount follows: those of the time when
// the vessel held that amount more. Readings on a basis that is not that of
// the books are left out. None where there is no such reading.
func (b *Balances) ByRemainder(a Amount, id string, at time.Time) (entries []int) {
	for _, i := range b.remainder(a, id, at) {
		entries = append(entries, b.book.readings[i].Entry)
	}
	return entries
}

// remainder gives the places of the readings of ByRemainder.
func (b *Balances) remainder(a Amount, id string, at time.Time) []int {
	v, ok := b.book.byID[id]
	if !ok || len(a.f) == 0 {
		return nil
	}
	with := a.Plus(b.Held(id, at))
	var out []int
	for i := range b.lay.read {
		r := &b.book.readings[i]
		if r.of == v && r.Basis == b.Basis(id) && len(with.f.plus(-1, b.lay.read[i])) == 0 {
			out = append(out, i)
		}
	}
	return out
}

// IsHeld tells whether an amount is what a vessel held at an instant.
func (b *Balances) IsHeld(a Amount, id string, at time.Time) bool {
	return len(a.f) > 0 && len(a.Minus(b.Held(id, at)).f) == 0
}

// Second finds an amount, carried to an instant, by an own reading that is not in the books: that of
// the vessel which holds it, or that of the vessel which held it before, with
// the readings of the books from then (see the package comment). It is false
// where the amount does not follow from the own reading, and where that is on
// another basis.
//
// An amount found so is of one set, as the vessel that is read is, and so are
// the factors of the own reading. An error that sets share, whose factors are
// fitted set by set ([Factor.Same]), is then one prior of one factor, and has
// no other to go with: it needs no term here, as it does in a sum over sets.
func (b *Balances) Second(a Amount, own Reading, at time.Time) (Second, bool) {
	if basis := b.Basis(own.Of); basis != "" && basis != own.Basis {
		return Second{}, false
	}
	var shared []int
	sign := 1.0
	if !b.IsHeld(a, own.Of, own.At) {
		if shared = b.remainder(a, own.Of, own.At); len(shared) == 0 {
			return Second{}, false
		}
		sign = -1
	}
	d := b.newSecond(a)
	d.add(own, b.Held(own.Of, own.At).f, sign, false)
	var out Second
	for _, i := range shared {
		r := b.book.readings[i].Reading
		d.add(r, b.lay.read[i], 1/float64(len(shared)), true)
		out.Shared = append(out.Shared, r.Entry)
	}
	d.finish(&out, at)
	return out, true
}

// second sums up a second figure, its variance by the data it rests on, and
// its covariance with the amount of the books.
type second struct {
	b     *Balances
	a     Amount
	value float64
	// later is the derivative of value by λ.
	later float64
	// own is the variance that the readings of the figure bring, without the
	// factors; slope the derivatives of the figure by each factor's prior.
	own   float64
	slope []float64
	// with is the gradient, by all that the books fit, of what the figure
	// takes from the books' data.
	with gradient
}

func (b *Balances) newSecond(a Amount) *second {
	return &second{b: b, a: a, slope: make([]float64, len(b.params)), with: b.newGradient()}
}

// add takes a reading of a vessel with a weight into the figure: w·y/(k·s·D)
// with k and s at their priors.
func (d *second) add(r Reading, held form, w float64, inBooks bool) {
	b := d.b
	since := b.book.since(r.At)
	decay := b.book.decay(since)
	k, s := b.book.factors[r.Gain].Value, b.book.factors[r.Geometry].Value
	weight := w / (k * s * decay)
	part := weight * float64(r.Net)
	d.value += part
	d.later += part * float64(since)
	gain, geometry := b.param[r.Gain], b.param[r.Geometry]
	kf, sf := b.factor(gain, r.Gain), b.factor(geometry, r.Geometry)
	x := b.sum(held, b.x)
	h := kf * sf * decay * x
	sigma := deviation(&row{rel: r.Relative, floor: float64(r.Floor), bg: float64(r.Background)}, h)
	d.own += weight * weight * sigma * sigma
	if inBooks {
		d.with.add(b, held, weight*kf*sf*decay)
	}
	for _, f := range []struct {
		param        int
		prior, model float64
	}{{gain, k, sf * decay * x}, {geometry, s, kf * decay * x}} {
		if f.param < 0 {
			continue
		}
		d.slope[f.param] -= part / f.prior
		if inBooks {
			d.with.p[f.param] += weight * f.model
		}
	}
}

// finish works the variances out:
//
//	u²(second) = Σ w²σ² + Σ_f (∂second/∂f)²·u_f²
//	cov = gᵀ·C·Jᵀ·w     over the data that both rest on
//	u²(difference) = u²(second) + u²(first) − 2·cov
//
// and to each the square of what the half-life brings.
func (d *second) finish(out *Second, at time.Time) {
	b := d.b
	variance := d.own
	for p, slope := range d.slope {
		u := b.book.factors[b.params[p]].U
		variance += slope * slope * u * u
		d.with.p[p] += slope // a prior is a datum of the books, of the derivative 1
	}
	first := b.gradientOf(d.a)
	both := b.product(first, d.with)
	firstV := b.product(first, first)
	value, later := b.sum(d.a.f, b.x), b.sum(d.a.f, b.later)
	decay := b.book.decay(b.book.since(at))
	carried := func(value, later, variance float64) (y, u quantity.Activity) {
		h := float64(b.longer(value, later, at))
		return quantity.Activity(value * decay), quantity.Activity(math.Sqrt(max(0, variance)*decay*decay + h*h))
	}
	out.Value, out.ValueU = carried(d.value, d.later, variance)
	out.First, out.FirstU = carried(value, later, firstV)
	out.Difference, out.DifferenceU = carried(d.value-value, d.later-later, variance+firstV-2*both)
}
