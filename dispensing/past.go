package dispensing

import (
	"vialwright/ledger"
	"vialwright/quantity"
)

// Past is what an order that something was drawn for has come to.
type Past struct {
	Order Order
	// Draws are those for the order, in the order of time; one at least.
	Draws []Draw
	// Planned is the wanted activity at the first draw, and Drawn what that
	// draw carried then by the readings; 0 where they do not determine it.
	Planned, Drawn quantity.Activity
	// Dispensed and Delivered are as in OrderResult.
	Dispensed *Dispensed
	Delivered *Delivered
}

// Past gives what the orders of a case have come to, without findings, plans
// and pictures of where the activity is: many cases are gone through for what
// they teach. Orders that nothing was drawn for are left out. The error is that
// of books which cannot be reconciled.
func (c Case) Past() ([]Past, error) {
	bal, err := ledger.Reconcile(c.Book)
	if err != nil {
		return nil, err
	}
	r := &reckoner{Case: c, out: &Result{}, bal: bal}
	var out []Past
	for _, o := range c.Orders {
		draws := r.drawsFor(o.ID)
		if len(draws) == 0 {
			continue
		}
		p := Past{Order: o, Draws: draws, Planned: o.Wanted(draws[0].At, c.HalfLife.Value)}
		if moved, _, _ := bal.Moved(draws[0].Entry); bal.Assayed(moved) {
			p.Drawn, _ = bal.Activity(moved, draws[0].At)
		}
		res := OrderResult{Order: o}
		if dose, at := r.dose(&res); res.Container != "" {
			r.achieved(&res, dose, at, draws)
		}
		p.Dispensed, p.Delivered = res.Dispensed, res.Delivered
		out = append(out, p)
	}
	return out, nil
}
