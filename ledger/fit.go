package ledger

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"vialwright/quantity"
)

// Consistency is how well the readings, the factors' priors and any shares
// agree: chi-square at the fit, its degrees of freedom and the probability
// of a larger one. With DOF 0 nothing can disagree and P is 1.
type Consistency struct {
	// Chi2 is chi-square, 0 or more; P the probability, 0 to 1, of a larger one.
	Chi2, P float64
	// DOF is its degrees of freedom.
	DOF int
}

// Consistency of the whole book.
func (b *Balances) Consistency() Consistency {
	var c Consistency
	for i, id := range b.params {
		f := b.book.factors[id]
		d := (f.Value - b.f[i]) / f.U
		c.Chi2 += d * d
	}
	for k, comp := range b.comps {
		for i := range comp.rows {
			r := &comp.rows[i]
			h, sigma, _ := r.fitted(b.x[k], b)
			d := r.residual(h, sigma)
			c.Chi2 += d * d
		}
		c.DOF += len(comp.rows) - len(comp.unknowns)
	}
	c.P = 1
	if c.DOF > 0 {
		// The upper tail of chi-square is the regularised incomplete gamma
		// function Q(ν/2, χ²/2) (DLMF 8.2.4).
		c.P = mathext.GammaIncRegComp(float64(c.DOF)/2, c.Chi2/2)
	}
	return c
}

// Misfit is how far one reading lies from what all the others say of it.
type Misfit struct {
	// Entry is the caller's number of the reading.
	Entry int
	// Normalised is the residual over its own standard deviation; it is a
	// standard normal deviate when all is well (Baarda's data snooping).
	Normalised float64
	Net        quantity.Activity
	// Expected is the net reading that the other data predict.
	Expected quantity.Activity
}

// uncheckable is the redundancy below which no other datum checks a reading.
const uncheckable = 1e-6

// Misfits gives one for each reading that the others check, in book order
// within each component. A reading that nothing else checks has none.
func (b *Balances) Misfits() []Misfit {
	var out []Misfit
	for k, c := range b.comps {
		var row matrix
		for i := range c.rows {
			r := &c.rows[i]
			if r.read < 0 {
				continue
			}
			h, sigma, sum := r.fitted(b.x[k], b)
			row.reset(1, len(c.unknowns)+len(c.params))
			r.jacobian(&row, 0, c, b, sigma, sum)
			free := 1 - b.leverage(c, row.a)
			if free < uncheckable {
				continue
			}
			d := r.residual(h, sigma)
			out = append(out, Misfit{
				Entry: b.book.readings[r.read].Entry, Normalised: d / math.Sqrt(free),
				Net: quantity.Activity(r.value), Expected: quantity.Activity(r.value - sigma*d/free),
			})
		}
	}
	return out
}

// leverage is the row's diagonal element of the hat matrix: the squared
// length of the row in the orthonormal directions of the fit.
func (b *Balances) leverage(c *component, row []float64) float64 {
	n := len(c.unknowns)
	z := append([]float64(nil), row[:n]...)
	w := make([]float64, len(b.params))
	for j, g := range c.params {
		w[g] = row[n+j]
	}
	c.project(z, w)
	forward(b.g, len(b.params)+1, len(b.params), w)
	nz, nw := norm(z), norm(w)
	return nz*nz + nw*nw
}

// Aside is a reading left out because it is on another basis than the rest
// of its component.
type Aside struct {
	// Entry is the caller's number of the reading.
	Entry int
	// Is is the reading's basis, Others that of the component.
	Is, Others Basis
}

// SetAside lists the readings left out, in book order within each component.
func (b *Balances) SetAside() []Aside {
	var out []Aside
	for _, c := range b.comps {
		for _, i := range c.aside {
			r := b.book.readings[i]
			out = append(out, Aside{Entry: r.Entry, Is: r.Basis, Others: c.basis})
		}
	}
	return out
}

// FactorValue is the fitted value of a common factor and its standard
// uncertainty; a constant has none.
func (b *Balances) FactorValue(id FactorID) (value, u float64) {
	p := b.param[id]
	if p < 0 {
		return b.book.factors[id].Value, 0
	}
	w := make([]float64, len(b.params))
	w[p] = 1
	forward(b.g, len(b.params)+1, len(b.params), w)
	return b.f[p], norm(w)
}
