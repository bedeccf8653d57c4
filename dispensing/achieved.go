package dispensing

import (
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// achieved fills in what the order's containers hold and what was delivered.
func (r *reckoner) achieved(out *OrderResult, dose ledger.Amount, at time.Time, draws []Draw) {
	y, u := r.bal.Activity(dose, at)
	if !r.bal.Assayed(dose) {
		out.Rough = &Rough{y, u, at}
		out.Read = r.resolving(dose, out, draws)
		return
	}
	d := decide(out.Order, r.Policy, y, u, at, r.HalfLife)
	d.Budget, d.Basis = r.budget(dose, at), r.basis(out.Container)
	r.clip(&d, out.Order.ID, draws)
	out.Dispensed = &d
	out.Second = r.checkWays(dose, out.Containers, draws)
	r.adjust(out)
	r.delivered(out, dose, at)
}

// clip begins the valid window no earlier than when the dose was there, and ends
// it where a vial it was drawn from expires. Where nothing is left of it the
// dose was valid at no time, and both ends are zero.
func (r *reckoner) clip(d *Dispensed, order string, draws []Draw) {
	inf, _ := r.infusion(order)
	made := r.Book.Crossed(func(id string) bool { return r.Serves[id] == order }, inf.Entry)
	d.ValidFrom = quantity.Later(d.ValidFrom, quantity.FullSecond(made))
	for _, v := range r.Vials {
		for _, x := range draws {
			if x.From == v.ID && !v.Expiry.IsZero() && d.ValidUntil.After(v.Expiry) {
				d.ValidUntil = v.Expiry
			}
		}
	}
	if d.ValidUntil.Before(d.ValidFrom) {
		d.ValidFrom, d.ValidUntil = time.Time{}, time.Time{}
	}
}

// dose finds the amount made ready for an order: what its container held
// just before the infusion, or what its containers hold now.
func (r *reckoner) dose(out *OrderResult) (ledger.Amount, time.Time) {
	o := out.Order
	if inf, ok := r.infusion(o.ID); ok {
		_, before, _ := r.bal.Moved(inf.Entry)
		out.Container, out.Volume = inf.From, r.Book.VolumeBefore(inf.Entry)
		out.Containers = []string{inf.From}
		return before, inf.Start
	}
	var sum ledger.Amount
	// A syringe that still holds some comes first: it is the one to act on.
	for _, kind := range []ledger.Kind{ledger.Syringe, ledger.AdministrationVial} {
		for _, k := range r.Book.Containers() {
			if k.Kind == kind && r.Serves[k.ID] == o.ID && r.Book.Volume(k.ID) > 0 {
				sum = sum.Plus(r.bal.Now(k.ID))
				out.Containers, out.Volume = append(out.Containers, k.ID), out.Volume+r.Book.Volume(k.ID)
			}
		}
	}
	if len(out.Containers) > 0 {
		out.Container = out.Containers[0]
	}
	return sum, o.At
}

// resolving names the container whose reading would determine the dose: a
// vial it was drawn from, or else a container that holds it, or else the first
// vial. Once the dose was given its container holds the residual alone, and a vial never
// read before its draw tells nothing of it: none is named where no reading is left that
// would.
func (r *reckoner) resolving(dose ledger.Amount, out *OrderResult, draws []Draw) string {
	var try []string
	for i := len(draws) - 1; i >= 0; i-- {
		try = append(try, draws[i].From)
	}
	for _, id := range append(try, out.Containers...) {
		if r.bal.Resolves(dose, id) {
			return id
		}
	}
	_, given := r.infusion(out.Order.ID)
	// Nothing alone is enough: begin with a vial not read since its last draw.
	for i := len(draws) - 1; i >= 0; i-- {
		if last, _, _, ok := r.Book.LastReading(draws[i].From); !ok && !given || ok && last.At.Before(draws[i].At) {
			return draws[i].From
		}
	}
	if given {
		return ""
	}
	return out.Container
}

// infusion finds an order's infusion. A residual without one implies that
// the dose was given at the planned time.
func (r *reckoner) infusion(id string) (Infusion, bool) {
	for _, i := range r.Infusions {
		if i.For == id {
			return i, true
		}
	}
	return Infusion{}, false
}

// residual finds an order's residual readings, complete or not.
func (r *reckoner) residual(id string) (x Residual, ok bool) {
	for _, y := range r.Residuals {
		if y.For != id {
			continue
		}
		if len(y.Before.Rates) > 0 {
			x.Before, x.Entry, ok = y.Before, y.Entry, true
		}
		if len(y.After.Rates) > 0 {
			x.After, x.Entry, ok = y.After, y.Entry, true
		}
	}
	return x, ok
}

// delivered takes the residual off: the infusion's own movement, which a
// dose-rate share or a reading of the residual determines.
//
//	f = 1 − m/b,  u(f)² = [u²(m) − 2(m/b)·u(m,b) + (m/b)²·u²(b)]/b²
//
// (JCGM 100:2008, 5.2.2, for the quotient of two that are correlated).
func (r *reckoner) delivered(out *OrderResult, before ledger.Amount, at time.Time) {
	inf, ok := r.infusion(out.Order.ID)
	if !ok {
		return
	}
	moved, _, _ := r.bal.Moved(inf.Entry)
	how := r.bal.Known(inf.Entry)
	if how != ledger.ByDoseRate && !r.bal.Assayed(moved) {
		return
	}
	m, u := r.bal.Activity(moved, at)
	b, _ := r.bal.Activity(before, at)
	if b <= 0 {
		return // nothing was there to deliver: the reading-empty stop says so
	}
	q := float64(m / b)
	v := r.bal.Covariance(moved, at, moved, at) - 2*q*r.bal.Covariance(moved, at, before, at) +
		q*q*r.bal.Covariance(before, at, before, at)
	out.Delivered = &Delivered{
		Activity: m, U: u, At: at, Fraction: 1 - q, FractionU: math.Sqrt(max(0, v)) / float64(b),
		Budget: r.budget(moved, at), Ratio: float64(m / out.Order.Prescribed), Limits: r.Policy.reportable(), How: how,
	}
	if out.Delivered.Read = r.readLeft(inf, moved); how == ledger.ByReading || len(out.Delivered.Read) > 0 {
		out.Delivered.Unread = r.unread(out.Order.ID)
	}
}

// readLeft are the containers of a residual whose readings bear on what was given: those of a
// part alone do where the container that it was given from was read as well.
func (r *reckoner) readLeft(inf Infusion, moved ledger.Amount) (out []string) {
	bears := r.bal.Parts(moved)
	for _, x := range r.Readings {
		left := x.Of == inf.From && x.At.After(inf.Start) || slices.ContainsFunc(r.Parts, func(p Part) bool { return p.Of == x.Of && p.For == inf.For })
		if left && !slices.Contains(out, x.Of) && slices.ContainsFunc(bears, func(p ledger.Part) bool { return p.Entry == x.Entry }) {
			out = append(out, x.Of)
		}
	}
	return out
}

// adjust works out what to add or give back while the dose is in one syringe.
// What cannot be done is not proposed: more than the vial holds, less than a
// graduation, or a return where two vials are in one syringe.
func (r *reckoner) adjust(out *OrderResult) {
	d := out.Dispensed
	if k, ok := r.Book.Container(out.Container); !ok || k.Kind != ledger.Syringe || len(out.Containers) != 1 || d.Standing == Conforms || out.Plan == nil {
		return
	}
	from := out.Plan.From
	if r.Gone(from, r.out.At) {
		return // nothing is added from a vial that left, or returned to it
	}
	missing := float64(out.Order.Target() - d.Activity)
	if missing < 0 {
		v := round(out.Volume*quantity.Volume(-missing/float64(d.Activity)), r.Policy.Graduation)
		for _, x := range r.drawsFor(out.Order.ID) {
			if x.From != from {
				return
			}
		}
		if v > 0 {
			out.Adjust = &Adjust{Volume: v, At: r.out.At}
		}
		return
	}
	y, _ := r.bal.Activity(r.bal.Now(from), r.out.At)
	grow := 1 / nuclide.Factor(r.HalfLife.Value, nuclide.Elapsed(r.out.At, out.Order.At))
	if y <= 0 {
		return
	}
	has := r.Book.Volume(from)
	p := r.expects(from, nil)
	v := round(has*quantity.Volume(missing*grow/(p.Yield.Value*float64(y))), p.Graduation)
	if v > 0 && v <= has {
		out.Adjust = &Adjust{TopUp: true, Volume: v, At: r.out.At}
	}
}

// The least and most a draw can carry of what its volume would have held, for
// an assay to be believed: outside, a reading has slipped (common practice, no
// source).
const leastYield, mostYield = 0.5, 1.5

// yield is what an assayed draw carried of what its volume would have held.
func (r *reckoner) yield(d Draw) (got float64, moved ledger.Amount, ok bool) {
	moved, before, _ := r.bal.Moved(d.Entry)
	had := r.Book.VolumeBefore(d.Entry)
	b, _ := r.bal.Activity(before, d.At)
	if !r.bal.Assayed(moved) || had <= 0 || b <= 0 {
		return 0, moved, false
	}
	y, _ := r.bal.Activity(moved, d.At)
	return float64(y) / (float64(b) * float64(d.Volume/had)), moved, true
}

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
