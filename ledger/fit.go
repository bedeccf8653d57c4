package ledger

import (
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

// Aside is a reading left out because it is on another basis than the rest
// of its component.
type Aside struct {
	// Entry is the caller's number of the reading.
	Entry int
	// Is is the reading's basis, Others that of the component.
	Is, Others quantity.Basis
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
