package dispensing

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
	"vialwright/slip"
)

// reckoner holds a case and its balances while a result is put together.
type reckoner struct {
	Case
	bal *ledger.Balances
	out *Result
	// holds are on the containers of the sets whose entries contradict one
	// another; says is what else may have happened with an entry.
	holds map[string]hold
	// typed is what was written in each entry.
	typed map[int]slip.Typed
	// unfit says why not all readings could be fitted; nil where they could.
	unfit error
	says  map[int]string
	// reserved is what the orders planned so far will take from each vial.
	reserved map[string]quantity.Volume
}

// Reckon works a case out. at is the moment asked; the zero time asks for
// the latest entry's, or, where nothing has happened, for the first infusion's.
// It never fails: what is wrong becomes a finding.
func Reckon(c Case, at time.Time) Result {
	if at.IsZero() {
		at = c.moment()
	}
	c = c.AsOf(at)
	out := Result{HalfLife: c.HalfLife.Value, HalfLifeSource: c.HalfLife.Source, At: at}
	r := &reckoner{Case: c, out: &out, reserved: map[string]quantity.Volume{}}
	out.Assumed = r.assumed()
	r.checkFacts()
	books := c.typed()
	r.typed = books.Typed
	sets := slip.Find(books)
	bal, err := ledger.Reconcile(c.Book)
	if r.unfit = err; err != nil { // a slip that no fit survives: the other sets keep theirs
		bal, err = ledger.Reconcile(c.Book.WithoutReadings(contradicted(sets)))
	}
	if err != nil {
		r.find(NotReconciled, Stop, 0, "%s", capital(err.Error()))
		sortFindings(out.Findings)
		return out
	}
	r.bal = bal
	out.Consistency = bal.Consistency()
	r.checkReadings()
	r.checkSlips(sets)
	r.checkAgreement()
	for _, v := range c.Vials {
		out.Vials = append(out.Vials, r.vial(v))
	}
	for _, k := range c.Book.Containers() {
		out.Containers = append(out.Containers, r.container(k))
	}
	for _, o := range c.Orders {
		out.Orders = append(out.Orders, r.order(o))
	}
	for _, x := range c.Checks {
		out.Checks = append(out.Checks, r.check(x))
	}
	r.checkTransferred()
	r.checkTotals()
	r.checkParts()
	out.Findings = append(out.Findings, c.AgainstSets(c.SetFailures())...)
	sortFindings(out.Findings)
	return out
}

// moment is the time a case speaks of if no other is asked.
func (c Case) moment() time.Time {
	t := c.Last
	for _, o := range c.Orders {
		if c.Last.IsZero() && (t.IsZero() || o.At.Before(t)) {
			t = o.At
		}
	}
	for _, v := range c.Vials {
		if t.IsZero() {
			t = v.Reference
		}
	}
	return t
}

// budget is what an amount at a moment is reckoned from.
func (r *reckoner) budget(a ledger.Amount, at time.Time) Budget {
	h := r.bal.ByHalfLife(a, at)
	return Budget{Parts: r.bal.Parts(a), Common: r.bal.Common(a, at), HalfLife: max(h, -h)}
}

func (r *reckoner) vial(v Vial) VialResult {
	if h, ok := r.holds[v.ID]; ok && h.whole {
		r.withhold(h.code, "vials["+v.ID+"]", "measured_MBq", "u_MBq", "label_ratio", "remaining_MBq", "remaining_mL")
		return VialResult{Vial: v, Basis: r.basis(v.ID), RemainingVolume: r.Book.Volume(v.ID), Withheld: h.code}
	}
	held := r.holds[v.ID].code
	if held != "" {
		r.withhold(held, "vials["+v.ID+"]", "remaining_mL")
	}
	received, _, _ := r.bal.Moved(v.Entry)
	left := r.bal.Now(v.ID)
	out := VialResult{Vial: v, VolumeHeld: held, Assayed: r.bal.Assayed(received), Basis: r.basis(v.ID), RemainingVolume: r.Book.Volume(v.ID)}
	out.Measured, out.U = r.bal.Activity(received, v.Reference)
	out.Budget = r.budget(received, v.Reference)
	out.Remaining, out.RemainingU = r.bal.Activity(left, v.Reference)
	if out.Assayed && out.Basis == quantity.LabelBasis {
		tol := r.labelTolerance(v)
		out.LabelRatio, out.LabelLimits = float64(out.Measured/v.Labelled), []quantity.Fraction{tol, 2 * tol}
	}
	r.checkVial(out)
	return out
}

// basis is the scale a container's activity is on; unread, it is the label's.
func (r *reckoner) basis(id string) quantity.Basis {
	return cmp.Or(r.bal.Basis(id), quantity.LabelBasis)
}

func (r *reckoner) container(k ledger.Container) ContainerResult {
	held := r.bal.Held(k.ID, r.out.At)
	came := r.bal.Came(k.ID)
	out := ContainerResult{
		Container: k, At: r.out.At, Volume: r.Book.VolumeAt(k.ID, r.out.At),
		Assayed: r.bal.Assayed(held), Known: r.bal.Estimates(held), Basis: r.basis(k.ID), Here: !came.IsZero() && !came.After(r.out.At),
	}
	if out.Assayed && k.Kind == ledger.WasteItem {
		out.Basis = r.bal.Basis(k.ID) // what is of several bases is on none
	}
	if h, ok := r.holds[k.ID]; ok && h.whole {
		r.withhold(h.code, "containers["+k.ID+"]", "activity_MBq", "u_MBq", "volume_mL")
		out.Assayed, out.Withheld = false, h.code
		return out
	} else if ok {
		r.withhold(h.code, "containers["+k.ID+"]", "volume_mL")
		out.VolumeHeld = h.code
	}
	out.Activity, out.U = r.bal.Activity(held, r.out.At)
	out.Stopped = out.Activity > 0 && slices.ContainsFunc(r.Infusions, func(i Infusion) bool {
		return i.From == k.ID && i.Stopped() && !i.Start.After(r.out.At)
	})
	return out
}

// order reckons one order from the draw to what was delivered.
func (r *reckoner) order(o Order) OrderResult {
	defer r.under(o)()
	out := OrderResult{Order: o, WantedAt: r.out.At}
	draws := r.drawsFor(o.ID)
	dose, at := r.dose(&out)
	for _, d := range draws {
		if r.Serves[d.From] == "" && !slices.Contains(out.Sources, d.From) {
			out.Sources = append(out.Sources, d.From)
		}
	}
	if out.Container == "" {
		draws = nil // what was drawn was cancelled: draw again
	}
	if len(draws) > 0 {
		out.WantedAt = draws[0].At
	}
	out.Wanted = o.Wanted(out.WantedAt, r.HalfLife.Value)
	r.prescription(&out)
	if r.orderHeld(&out, draws) {
		r.checkExpiry(out, draws)
		return out
	}
	if !o.Cancelled || len(draws) > 0 {
		r.plan(&out, draws)
	}
	if len(draws) > 0 {
		r.achieved(&out, dose, at, draws)
		out.after()
	}
	if _, given := r.infusion(o.ID); o.Cancelled && !given {
		out.Next = Cancelled
		return out
	}
	out.Next = r.next(out, draws)
	if len(draws) == 0 && out.Plan != nil {
		r.checkPlan(&out)
	}
	r.checkOrder(out, draws)
	return out
}

// hidePlan notes that a plan is withheld.
func (r *reckoner) hidePlan(out *OrderResult, code Code) {
	out.Hidden, out.HiddenBy = []string{"plan"}, code
	r.withhold(code, "orders["+out.Order.ID+"]", out.Hidden...)
}

func (r *reckoner) drawsFor(id string) []Draw {
	return slices.DeleteFunc(slices.Clone(r.Draws), func(d Draw) bool { return d.For != id })
}

// plan fills in the plan: of the first draw for an order already drawn,
// reckoned with everything known now; otherwise of a draw at the moment asked.
func (r *reckoner) plan(out *OrderResult, draws []Draw) {
	s, ok := source{}, false
	var made *Draw
	if len(draws) > 0 {
		d := draws[0]
		made = &d
		_, before, _ := r.bal.Moved(d.Entry)
		s, ok = r.source(d.From, before, d.At, r.Book.VolumeBefore(d.Entry)), true
	} else {
		s, ok = r.choose(out.Order, r.now, r.reserved)
	}
	if h, held := r.holds[s.id]; held || (!ok && len(r.holds) > 0) {
		if !held {
			h = r.anyHold()
		}
		r.hidePlan(out, h.code)
		if len(draws) == 0 {
			out.Withheld, out.Read = h.code, h.read
		}
		return
	}
	if !ok {
		return
	}
	policy := r.expects(s.id, made)
	if p, ok := plan(out.Order, s, policy, r.HalfLife.Value); ok {
		p.Yield, p.YieldFrom = policy.Yield, r.yieldFrom(s.id, made, policy.Yield)
		out.Plan = &p
		if len(draws) == 0 {
			r.reserved[p.From] += p.Draw
		}
	}
}

func (r *reckoner) source(id string, a ledger.Amount, at time.Time, v quantity.Volume) source {
	s := source{id: id, at: at, volume: v, assayed: r.bal.Assayed(a), basis: r.basis(id)}
	if !s.assayed && slices.Contains(r.bal.Estimates(a), ledger.ByLabel) {
		s.basis = quantity.LabelBasis // whatever was read of what was drawn from it
	}
	s.activity, s.u = r.bal.Activity(a, at)
	s.budget = r.budget(a, at)
	s.carried = func(to time.Time) (quantity.Activity, quantity.Activity) { return r.bal.Activity(a, to) }
	if last, gain, geometry, ok := r.Book.LastReading(id); ok {
		s.meter = &MeterU{last.Relative, math.Hypot(gain.U/gain.Value, geometry.U/geometry.Value)}
	} else if m, ok := r.Meters[id]; ok {
		s.meter = &m
	}
	return s
}

// next is what the order asks for.
func (r *reckoner) next(out OrderResult, draws []Draw) Act {
	switch {
	case len(draws) == 0 && !slices.ContainsFunc(r.Vials, func(v Vial) bool { return !r.Gone(v.ID, r.out.At) }):
		return ReceiveVial
	case len(draws) == 0:
		return r.nextDraw(out)
	case out.Dispensed == nil && out.Read != "":
		return AssayRemainder
	}
	if _, ok := r.infusion(out.Order.ID); ok {
		res, _ := r.residual(out.Order.ID)
		switch {
		case out.Delivered != nil || out.Dispensed == nil && len(res.After.Rates) > 0:
			return Complete
		case !r.HasBaseline(out.Order.ID):
			return AssayResidual
		}
		return ReadResidual
	}
	k, _ := r.Book.Container(out.Container)
	switch {
	case k.Kind != ledger.Syringe:
		return Infuse
	case out.Dispensed.Standing == Outside || out.Dispensed.Standing == Beyond:
		return AdjustDose
	case out.Volume < r.Policy.MakeUpMin:
		return MakeUpDose
	default:
		return TransferDose
	}
}

func (r *reckoner) nextDraw(out OrderResult) Act {
	switch p := out.Plan; {
	case p == nil, !p.Assayed, p.Basis != r.Policy.Basis:
		return AssayVial
	case p.Exact > r.Book.Volume(p.From):
		return NotEnough
	case r.out.At.After(out.Order.At):
		return ConfirmTime
	default:
		return DrawDose
	}
}
