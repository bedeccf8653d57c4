package ledger

import (
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/quantity"
)

// Part is what one datum brings into an amount. With the common factors at
// their fitted values the fit is a weighted mean, so an amount carried to an
// instant t is a sum that a person can work out again:
//
//	A(t) = Σ weight·net/factor·exp(-λ(t - t_read))
//
// and its random variance is Σ (weight·u/factor·exp(-λ(t - t_read)))² (JCGM
// 100:2008, 5.1.2). A share,
// which ties what was moved to what was there, brings 0 and its uncertainty.
type Part struct {
	// By is how the datum is known: a reading, a label, or a share.
	By Estimate
	// Entry is the caller's number of the reading, the receipt or the movement.
	Entry int
	// At is when it was read, or what the label is stated for.
	At time.Time
	// Net is the net reading, or the labelled activity, 0 for a share; U its
	// standard uncertainty without that of the common factors. Both in Bq.
	Net, U quantity.Activity
	// Factor is the fitted calibration times geometry; 1 but for a reading.
	Factor float64
	// Weight is -1 for a reading that is taken off, 1 for one that counts
	// alone, 1/2 for one of two equal ones.
	Weight float64
}

// slight is the weight below which a datum is nothing but rounding.
const slight = 1e-9

// Parts gives what each datum brings into an amount, in the order of the
// entries; those that bring nothing are left out.
func (b *Balances) Parts(a Amount) []Part {
	var out []Part
	for k, z := range b.gradientOf(a).x {
		if z == nil {
			continue
		}
		c := b.comps[k]
		// x = (AᵀA)⁻¹Aᵀy with AᵀA = RᵀR, so a·x = Σ (A·v)_i·y_i, v = R⁻¹R⁻ᵀa.
		n := len(c.unknowns)
		width := n + len(c.params) + 1
		forward(c.r, width, n, z)
		backward(c.r, width, n, z)
		for i := range c.rows {
			if p := b.part(c, i, k, z); math.Abs(p.Weight) > slight {
				out = append(out, p)
			}
		}
	}
	slices.SortFunc(out, func(x, y Part) int { return x.Entry - y.Entry })
	return out
}

// part is what row i of a component brings, v solving RᵀR·v = a.
func (b *Balances) part(c *component, i, k int, v []float64) Part {
	r := &c.rows[i]
	_, sigma, sum := r.fitted(b.x[k], b)
	var m matrix
	m.reset(1, len(c.unknowns)+len(c.params)+1)
	r.jacobian(&m, 0, c, b, sigma, sum)
	weight := 0.0
	for j, x := range v {
		weight += m.a[j] * x
	}
	weight /= sigma
	if r.read < 0 {
		u := c.unknowns[r.own]
		move := &b.book.moves[b.lay.unknowns[u].move]
		if r.share {
			return Part{By: b.how[u], Entry: move.Entry, At: b.book.epoch, U: quantity.Activity(sigma), Factor: 1, Weight: weight}
		}
		return Part{By: ByLabel, Entry: move.Entry, At: move.Reference, Net: move.Label, U: move.LabelU, Factor: 1, Weight: weight}
	}
	// So far the weight is of the net reading; h = ks·decay·X makes it that of X.
	ks := b.factor(r.gain, r.gainID) * b.factor(r.geom, r.geomID)
	return Part{
		Entry: b.book.readings[r.read].Entry, At: b.book.readings[r.read].At, Net: quantity.Activity(r.value), U: quantity.Activity(sigma),
		Factor: ks, Weight: weight * ks * r.decay,
	}
}

// KnownBy says in words how an amount with these estimates is known.
func KnownBy(all []Estimate) string {
	if len(all) == 0 {
		return ByReading.Words()
	}
	var words []string
	for _, e := range all {
		words = append(words, e.Words())
	}
	return strings.Join(words, " and ")
}

// Estimates says how an amount is known where readings do not determine it:
// by dose rate, by volume, by label, by an expected share, in this order; none
// where readings do.
func (b *Balances) Estimates(a Amount) []Estimate {
	if b.Assayed(a) {
		return nil
	}
	known := map[Estimate]bool{}
	var mark func(form)
	mark = func(f form) {
		for _, t := range f {
			if how := b.how[t.u]; how != ByReading {
				known[how] = true
				mark(b.lay.unknowns[t.u].src) // a share of what is itself estimated
			}
		}
	}
	mark(a.f)
	if len(known) == 0 { // readings and estimates determine it only together
		for _, t := range a.f {
			for _, u := range b.comps[b.owner[t.u]].unknowns {
				known[b.how[u]] = true
			}
		}
	}
	var out []Estimate
	for _, e := range []Estimate{ByDoseRate, ByVolume, ByLabel, BySetting} {
		if known[e] {
			out = append(out, e)
		}
	}
	return out
}
