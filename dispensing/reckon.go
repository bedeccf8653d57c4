package dispensing

import (
	"math"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// reckoner holds a case and its balances while a result is put together.
type reckoner struct {
	Case
	bal *ledger.Balances
	out *Result
}

// Reckon works a case out. at is the moment asked; the zero time asks for
// the latest entry's. It never fails: what is wrong becomes a finding.
func Reckon(c Case, at time.Time) Result {
	if at.IsZero() {
		at = c.Last
	}
	out := Result{HalfLife: c.HalfLife.Value, HalfLifeSource: c.HalfLife.Source, At: at, Assumed: c.Assumed}
	r := &reckoner{Case: c, out: &out}
	r.checkFacts()
	bal, err := ledger.Reconcile(c.Book)
	if err != nil {
		r.find(NotReconciled, Stop, 0, "%v", err)
		sortFindings(out.Findings)
		return out
	}
	r.bal = bal
	for _, v := range c.Vials {
		out.Vials = append(out.Vials, r.vial(v))
	}
	for _, k := range c.Book.Containers() {
		out.Containers = append(out.Containers, r.container(k))
	}
	for _, o := range c.Orders {
		out.Orders = append(out.Orders, r.order(o))
	}
	out.Consistency = bal.Consistency()
	r.checkReadings()
	r.checkTotals()
	sortFindings(out.Findings)
	return out
}

// carry takes an amount to a moment, adding the half-life's own uncertainty
// for the time since the last reading that anchors it.
func (r *reckoner) carry(a ledger.Amount, id string, at time.Time) (y, u quantity.Activity) {
	y, u = r.bal.Activity(a, at)
	anchor, ok := r.bal.LastRead(id)
	if !ok {
		return y, u
	}
	return y, carried(y, u, r.HalfLife, anchor, at)
}

func (r *reckoner) vial(v Vial) VialResult {
	received, _, _ := r.bal.Moved(v.Entry)
	left := r.bal.Now(v.ID)
	out := VialResult{Vial: v, Assayed: r.bal.Assayed(received), Basis: r.basis(v.ID), RemainingVolume: r.Book.Volume(v.ID)}
	out.Measured, out.U = r.carry(received, v.ID, v.Reference)
	out.Remaining, out.RemainingU = r.carry(left, v.ID, v.Reference)
	if out.Assayed && out.Basis == ledger.Label {
		out.LabelRatio = float64(out.Measured / v.Labelled)
	}
	r.checkVial(out)
	return out
}

// basis is the scale a container's activity is on; unread, it is the label's.
func (r *reckoner) basis(id string) ledger.Basis {
	if b := r.bal.Basis(id); b != "" {
		return b
	}
	return ledger.Label
}

func (r *reckoner) container(k ledger.Container) ContainerResult {
	held := r.bal.Held(k.ID, r.out.At)
	out := ContainerResult{
		Container: k, At: r.out.At, Volume: r.Book.VolumeAt(k.ID, r.out.At),
		Assayed: r.bal.Assayed(held), Basis: r.basis(k.ID),
	}
	out.Activity, out.U = r.carry(held, k.ID, r.out.At)
	return out
}

// order reckons one order from the draw to what was delivered.
func (r *reckoner) order(o Order) OrderResult {
	out := OrderResult{Order: o, WantedAt: r.out.At}
	draws := r.drawsFor(o.ID)
	if len(draws) > 0 {
		out.WantedAt = draws[0].At
	}
	out.Wanted = o.Wanted(out.WantedAt, r.HalfLife.Value)
	r.plan(&out, draws)
	if len(draws) > 0 {
		r.achieved(&out)
	}
	out.Next = r.next(out, draws)
	r.checkOrder(out, draws)
	return out
}

func (r *reckoner) drawsFor(id string) []Draw {
	var out []Draw
	for _, d := range r.Draws {
		if d.For == id {
			out = append(out, d)
		}
	}
	return out
}

// plan fills in the plan: of the first draw for an order already drawn,
// reckoned with everything known now; otherwise of a draw at the moment asked.
func (r *reckoner) plan(out *OrderResult, draws []Draw) {
	s, ok := r.choose(out.Order)
	if len(draws) > 0 {
		d := draws[0]
		_, before, _ := r.bal.Moved(d.Entry)
		s, ok = r.source(d.From, before, d.At, r.Book.VolumeBefore(d.Entry)), true
	}
	if !ok {
		return
	}
	if p, ok := plan(out.Order, s, r.Policy, r.HalfLife.Value); ok {
		out.Plan = &p
	}
}

// choose takes the first vial that has enough for the order and is in date
// at infusion time, or else the one that holds most.
func (r *reckoner) choose(o Order) (best source, ok bool) {
	for _, v := range r.Vials {
		s := r.source(v.ID, r.bal.Now(v.ID), r.out.At, r.Book.Volume(v.ID))
		enough := float64(s.activity)*r.Policy.Yield.Value >= float64(o.Wanted(r.out.At, r.HalfLife.Value))
		if enough && s.volume > 0 && (v.Expiry.IsZero() || !o.At.After(v.Expiry)) {
			return s, true
		}
		if !ok || s.activity > best.activity {
			best, ok = s, true
		}
	}
	return best, ok
}

func (r *reckoner) source(id string, a ledger.Amount, at time.Time, v quantity.Volume) source {
	s := source{id: id, at: at, volume: v, assayed: r.bal.Assayed(a), basis: r.basis(id)}
	s.activity, s.u = r.carry(a, id, at)
	if last, gain, geometry, ok := r.Book.LastReading(id); ok {
		s.repeat = last.Relative
		s.common = math.Hypot(gain.U/gain.Value, geometry.U/geometry.Value)
	}
	return s
}

// achieved fills in what the order's container holds and what was delivered.
func (r *reckoner) achieved(out *OrderResult) {
	dose, at := r.dose(out)
	y, u := r.carry(dose, out.Container, at)
	if !r.bal.Assayed(dose) {
		out.Rough = &Rough{y, u, at}
		return
	}
	d := decide(out.Order, r.Policy, y, u, at, r.HalfLife)
	d.Common, d.Basis = r.bal.Common(dose, at), r.basis(out.Container)
	out.Dispensed = &d
	r.adjust(out)
	r.delivered(out, dose, at)
}

// dose finds the amount made ready for an order: what its container held
// just before the infusion, or what its containers hold now.
func (r *reckoner) dose(out *OrderResult) (ledger.Amount, time.Time) {
	o := out.Order
	if inf, ok := r.infusion(o.ID); ok {
		_, before, _ := r.bal.Moved(inf.Entry)
		out.Container, out.Volume = inf.From, r.Book.VolumeBefore(inf.Entry)
		return before, inf.Start
	}
	var sum ledger.Amount
	for _, kind := range []ledger.Kind{ledger.AdministrationVial, ledger.Syringe} {
		for _, k := range r.Book.Containers() {
			if k.Kind == kind && r.Serves[k.ID] == o.ID {
				sum = sum.Plus(r.bal.Now(k.ID))
				out.Container, out.Volume = k.ID, out.Volume+r.Book.Volume(k.ID)
			}
		}
		if out.Container != "" {
			break
		}
	}
	return sum, o.At
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

func (r *reckoner) residual(id string) (Residual, bool) {
	for _, x := range r.Residuals {
		if x.For == id && len(x.Before.Rates) > 0 && len(x.After.Rates) > 0 {
			return x, true
		}
	}
	return Residual{}, false
}

// delivered takes the residual off: the infusion's own movement, which a
// dose-rate share or a reading of what stayed behind determines.
//
//	f = 1 − m/b,  u(f)² = [u²(m) − 2(m/b)·u(m,b) + (m/b)²·u²(b)]/b²
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
	m, u := r.carry(moved, inf.From, at)
	b, _ := r.bal.Activity(before, at)
	q := float64(m / b)
	v := r.bal.Covariance(moved, at, moved, at) - 2*q*r.bal.Covariance(moved, at, before, at) +
		q*q*r.bal.Covariance(before, at, before, at)
	out.Delivered = &Delivered{
		Activity: m, U: u, At: at, Fraction: 1 - q, FractionU: math.Sqrt(max(0, v)) / float64(b),
		Ratio: float64(m / out.Order.Prescribed), How: how,
	}
}

// adjust works out what to add or give back while the dose is in the syringe.
func (r *reckoner) adjust(out *OrderResult) {
	d := out.Dispensed
	if k, ok := r.Book.Container(out.Container); !ok || k.Kind != ledger.Syringe || d.Standing == Conforms {
		return
	}
	missing := float64(out.Order.Target() - d.Activity)
	if missing < 0 {
		share := -missing / float64(d.Activity)
		out.Adjust = &Adjust{Volume: round(out.Volume*quantity.Volume(share), r.Policy.Graduation), At: r.out.At}
		return
	}
	from := out.Plan.From
	y, _ := r.bal.Activity(r.bal.Now(from), r.out.At)
	grow := 1 / nuclide.Factor(r.HalfLife.Value, nuclide.Elapsed(r.out.At, out.Order.At))
	if y <= 0 {
		return
	}
	v := r.Book.Volume(from) * quantity.Volume(missing*grow/(r.Policy.Yield.Value*float64(y)))
	out.Adjust = &Adjust{TopUp: true, Volume: round(v, r.Policy.Graduation), At: r.out.At}
}

// next is what the order asks for.
func (r *reckoner) next(out OrderResult, draws []Draw) Act {
	switch {
	case len(r.Vials) == 0:
		return ReceiveVial
	case len(draws) == 0 && (out.Plan == nil || !out.Plan.Assayed):
		return AssayVial
	case len(draws) == 0:
		return DrawDose
	case out.Dispensed == nil:
		return AssayRemainder
	}
	if _, ok := r.infusion(out.Order.ID); ok {
		if out.Delivered == nil {
			return ReadResidual
		}
		return Complete
	}
	k, _ := r.Book.Container(out.Container)
	switch {
	case k.Kind != ledger.Syringe:
		return Infuse
	case out.Dispensed.Standing == Outside || out.Dispensed.Standing == Beyond:
		return AdjustDose
	case out.Volume < r.Policy.MakeupMin:
		return MakeUp
	default:
		return TransferDose
	}
}
