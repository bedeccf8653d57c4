package dispensing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/ledger"
	"vialwright/quantity"
)

// checkOrder looks at what became of one order.
func (r *reckoner) checkOrder(o OrderResult, draws []Draw) {
	r.checkExpiry(o, draws)
	var from []string
	for _, d := range draws {
		r.checkSource(d)
		r.checkYield(d)
		if !slices.Contains(from, d.From) {
			from = append(from, d.From)
		}
	}
	for _, vial := range from { // once, however many draws of it there are
		r.checkTogether(draws, vial)
	}
	switch last := len(draws) - 1; {
	case o.Rough != nil && o.Read == "":
		r.find(DrawNotAssayed, Stop, draws[last].Entry,
			"the dose of order %s was given unread, and no reading can tell it now; by volume it was about %s: report a deviation", o.Order.ID, show(o.Rough.Activity))
	case o.Rough != nil:
		r.find(DrawNotAssayed, Stop, draws[last].Entry,
			"the draw for order %s is not assayed yet; by volume it would be about %s%s: read %s", o.Order.ID, show(o.Rough.Activity), r.farFromWanted(o), o.Read)
	}
	if o.Dispensed != nil {
		r.checkDispensed(o)
		r.checkMargin(o)
		r.checkLabel(o)
		r.checkHeldUp(o)
		r.checkJar(o)
		r.checkGiving(o)
	}
	if o.Delivered != nil {
		r.checkDelivered(o)
	}
}

// farFromWanted says how far a dose that nobody read is from what is wanted, where its volume
// already puts it outside tolerance beyond twice its uncertainty.
func (r *reckoner) farFromWanted(o OrderResult) string {
	target := o.Order.Target()
	if off := math.Abs(float64(o.Rough.Activity - target)); off <= 2*float64(o.Rough.U)+float64(r.Policy.Tolerance)*float64(target) {
		return ""
	}
	return fmt.Sprintf(", %s times the wanted %s", digits(float64(o.Rough.Activity/target), 2), show(target))
}

// checkExpiry compares a vial's expiry with the latest of the planned time,
// the moment asked for a draw still to be made, and the start of the infusion.
func (r *reckoner) checkExpiry(o OrderResult, draws []Draw) {
	use, entry := o.Order.At, o.Order.Entry
	from := map[string]bool{}
	if inf, ok := r.infusion(o.Order.ID); ok {
		use = quantity.Later(use, inf.Start)
	} else if len(draws) == 0 {
		use = quantity.Later(use, r.out.At)
	}
	for _, d := range draws {
		from[d.From], entry = true, d.Entry
	}
	if len(draws) == 0 && o.Plan != nil {
		from[o.Plan.From] = true
	}
	for _, v := range r.Vials {
		if from[v.ID] && !v.Expiry.IsZero() && use.After(v.Expiry) {
			r.find(VialExpired, Stop, entry, "%s expires at %s, before order %s is infused: use another vial, or ask the physician for an earlier time", v.ID, quantity.ShowTime(v.Expiry.In(r.zone())), o.Order.ID)
		}
	}
}

func (r *reckoner) zone() *time.Location { return cmp.Or(r.Zone, time.UTC) }

// twoScales is what published assays found (package quantity, Basis).
const twoScales = "the two scales differ by 19 to 26 %% for resin spheres"

// checkPlan looks at the plan of an order that nothing was drawn for, and withholds one that
// cannot be made: a volume beside the stop would be drawn.
func (r *reckoner) checkPlan(o *OrderResult) {
	p, id, entry := *o.Plan, o.Order.ID, o.Order.Entry
	have := r.Book.Volume(p.From)
	switch other := p.Basis != r.Policy.Basis; {
	case other && p.Assayed:
		r.find(BasisMismatch, Stop, entry, "no draw can be planned: %s was read on the %s basis and order %s is prescribed on the %s basis, and "+twoScales+": read it with a factor on that basis, and strike out the reading on the other", p.From, p.Basis, id, r.Policy.Basis)
		o.Plan = nil
		r.hidePlan(o, BasisMismatch)
		return
	case other:
		r.find(BasisMismatch, Warn, entry, "the planned volume is by the label of %s, on the %s basis, and order %s is prescribed on the %s basis: read the vial with a factor on that basis first, since "+twoScales, p.From, p.Basis, id, r.Policy.Basis)
	}
	if p.Exact > have {
		r.find(VialInsufficient, Stop, entry, "order %s needs %s from %s, which holds %s: receive another vial, or ask for a revised order", id, mL(p.Exact), p.From, mL(have))
		return
	}
	if s := standing(o.Order, r.Policy, Dispensed{Activity: p.Expect, Ratio: float64(p.Expect / o.Order.Target()), Conformance: 1}); s != Conforms {
		outer, _ := r.Policy.Rules.Outer(o.Order)
		r.find(PlanMisses, Stop, entry, "the planned draw does not suit order %s: check the residual allowed for, the graduation and the vial. %s would give %s at infusion time, %s from what is wanted and %s from what is prescribed",
			id, mL(p.Draw), show(p.Expect), departure(float64(p.Expect/o.Order.Target())-1, r.Policy.Tolerance), departure(float64(p.Expect/o.Order.Prescribed)-1, outer.Share))
	}
	if p.Draw > r.Policy.MakeUpMax {
		r.find(DrawTooLarge, Warn, entry, "order %s needs %s, more than the %s the syringe may hold after make-up: check the order and the vial, or use a vial with more activity in a mL", id, mL(p.Exact), mL(r.Policy.MakeUpMax))
	}
	if r.out.At.After(o.Order.At) {
		r.find(DrawLate, Stop, entry, "the infusion time of order %s has passed: a new time from the physician is needed before drawing", id)
	}
	if p.Assayed && p.Readings == 0 {
		r.find(ReadingsCannotReach, Warn, entry,
			"even %d readings would not bring order %s to %s confidence: the rounding of the draw or the common factors prevent it", MostReadings, id, wanted(r.Policy.Confidence))
	}
}

// checkYield compares an assayed draw with what its volume would have given:
// more than three standard uncertainties apart is unusual (3 honest draws of
// 1000, normal distribution; no source for the choice). The readings stand:
// one reading alone against the volume was met before ([reckoner.checkLone]).
func (r *reckoner) checkYield(d Draw) {
	got, moved, ok := r.yield(d)
	if !ok || r.whole(d.From) || r.found(DrawYieldUnusual, d.Entry) {
		return
	}
	switch {
	case got < leastYield || got > mostYield:
		r.find(DrawYieldUnusual, Warn, d.Entry,
			"by readings that agree with each other the draw took %.0f %% of the activity of its volume, far from any usual draw%s; the readings are kept%s", 100*got, thumb, r.says[d.Entry])
	case r.unusual(d, got, moved):
		r.find(DrawYieldUnusual, Warn, d.Entry,
			"the draw took %.0f %% of the activity of its volume (expected %.0f %%): the vial had settled or was badly mixed, or a reading slipped%s", 100*got, 100*r.drawYield(d).Value, r.says[d.Entry])
	}
}

// checkTogether compares the draws out of a vial that no reading parts, of which
// readings tell the sum alone, with what their volumes together would have given:
// each its share of what those before it left.
func (r *reckoner) checkTogether(draws []Draw, from string) {
	var run together
	for _, d := range draws {
		moved, before, _ := r.bal.Moved(d.Entry)
		had := r.Book.VolumeBefore(d.Entry)
		if d.From != from || had <= 0 {
			continue
		}
		begins := r.bal.Assayed(before) // readings part it from those before
		if begins {
			r.checkRun(run, from)
			b, _ := r.bal.Activity(before, d.At)
			run = together{left: float64(b)}
		}
		if r.bal.Assayed(moved) || !begins && len(run.draws) == 0 {
			continue
		}
		q, share := r.drawYield(d), float64(d.Volume/had)*run.left
		run.left, run.want, run.u = run.left-q.Value*share, run.want+q.Value*share, math.Hypot(run.u, q.U*share)
		run.sum, run.draws = run.sum.Plus(moved), append(run.draws, d)
	}
	r.checkRun(run, from)
}

// together are draws that no reading parts: what they carried, what their volumes would
// have given with its uncertainty, and what that leaves, all at the time of the first.
type together struct {
	draws         []Draw
	sum           ledger.Amount
	left, want, u float64
}

func (r *reckoner) checkRun(x together, from string) {
	if len(x.draws) < 2 || x.want <= 0 || !r.bal.Assayed(x.sum) || r.whole(from) {
		return
	}
	last := x.draws[len(x.draws)-1].Entry
	if r.found(DrawYieldUnusual, last) {
		return
	}
	y, uy := r.bal.Activity(x.sum, x.draws[0].At)
	if got := float64(y) / x.want; math.Abs(got-1) > 3*math.Hypot(x.u, float64(uy))/x.want {
		r.find(DrawYieldUnusual, Warn, last,
			"the draws from %s since the reading before took together %.0f %% of the activity expected of their volumes: one was entered twice, the vial had settled or was badly mixed, or a reading or a volume slipped", from, 100*got)
	}
}

// drawYield is the yield that a draw was to have.
func (r *reckoner) drawYield(d Draw) ledger.Share {
	if d.Yield.Value == 0 {
		return r.Policy.Yield
	}
	return d.Yield
}

// follows tells that an entry comes after another; entries of one moment go by their numbers.
func follows(at time.Time, entry int, other time.Time, first int) bool {
	return at.After(other) || at.Equal(other) && entry > first
}

// precedes tells that a reading was made after a draw.
func (d Draw) precedes(x ledger.Reading) bool { return follows(x.At, x.Entry, d.At, d.Entry) }

// unusual tells that what a draw carried of its volume is more than three standard
// uncertainties from what was expected.
func (r *reckoner) unusual(d Draw, got float64, moved ledger.Amount) bool {
	y, u := r.bal.Activity(moved, d.At)
	q := r.drawYield(d)
	return math.Abs(got-q.Value) > 3*math.Hypot(q.U, got*float64(u/y))
}

func (r *reckoner) checkDispensed(o OrderResult) {
	d, id, entry := *o.Dispensed, o.Order.ID, o.Order.Entry
	if d.Basis != r.Policy.Basis {
		r.find(BasisMismatch, Stop, entry, "two scales: order %s is dispensed on the %s basis and prescribed on the %s basis, and "+twoScales, id, d.Basis, r.Policy.Basis)
	}
	if k, ok := r.Book.Container(o.Container); ok && k.Kind == ledger.Syringe && o.Volume > r.Policy.MakeUpMax {
		r.find(MakeUpVolume, Warn, entry, "the dose of order %s fills %s; the syringe may hold %s: check the volumes that were entered", id, mL(o.Volume), mL(r.Policy.MakeUpMax))
	}
	has := fmt.Sprintf("order %s has %s at infusion time, ", id, show(d.Activity))
	said := has + d.FromWanted() + " from the wanted " + show(o.Order.Target())
	switch d.Standing {
	case Beyond:
		past := r.Policy.Rules.beyond(o.Order, d.Activity)
		names, remark := make([]string, len(past)), ""
		for i, l := range past {
			names[i] = l.Name
			if l.note != "" {
				remark = "; " + l.note
			}
		}
		r.find(BeyondLimit, Stop, entry, "beyond %s: %s%s from the prescribed %s%s", strings.Join(names, " and "), has,
			departure(float64(d.Activity/o.Order.Prescribed)-1, past[0].Share), o.Order.PrescribedText(), remark)
	case Outside:
		r.find(OutsideTolerance, Stop, entry, "outside the tolerance of %s: %s%s", percent(r.Policy.Tolerance), said, r.notUsed(o))
	case Unsure:
		r.find(ConfidenceLow, Warn, entry, "the probability within tolerance%s is %s, below %s: a release needs a reason and a permitted person; %s",
			r.Policy.Rules.andLimit(o.Order), d.Chance(), wanted(r.Policy.Confidence), said)
	}
}

// checkGiving looks at the time from the dose to its infusion and residual.
func (r *reckoner) checkGiving(o OrderResult) {
	d, id, entry := *o.Dispensed, o.Order.ID, o.Order.Entry
	res, _ := r.residual(id)
	inf, given := r.infusion(id)
	if !given {
		switch {
		case d.ValidUntil.IsZero() && (d.Standing == Conforms || d.Standing == Unsure):
			r.find(WindowClosed, Stop, entry, "the dose of order %s is never valid: its window was over when it was made, or its vial had expired; do not give it without the word of the physician", id)
		case r.out.At.After(d.ValidUntil) && !d.ValidUntil.IsZero():
			r.find(WindowClosed, Stop, entry, "the dose of order %s was valid until %s and has decayed below tolerance since; do not give it without the word of the physician", id, quantity.ShowTime(d.ValidUntil.In(r.zone())))
		case r.out.At.After(o.Order.At) && !d.ValidUntil.IsZero():
			r.find(DrawLate, Warn, entry, "the planned infusion time of order %s has passed: confirm the time; the dose is valid until %s", id, quantity.ShowTime(d.ValidUntil.In(r.zone())))
		}
	}
	if k, _ := r.Book.Container(o.Container); len(res.Before.Rates) == 0 && (given || k.Kind == ledger.AdministrationVial) {
		r.find(BaselineMissing, Warn, entry, "no dose rate of %s before the infusion is recorded; without it the residual cannot be told by dose rate, only by readings of its parts", o.Container)
	}
	if net, _ := res.Before.Mean(); len(res.Before.Rates) > 0 && net <= 0 {
		r.find(BaselineMissing, Warn, res.Entry, "the dose rate of %s before the infusion is not above its background, as of an empty vial; without it the residual cannot be told by dose rate, only by readings of its parts", o.Container)
	}
	for i, x := range []DoseReading{res.Before, res.After} {
		if len(x.Rates) > 1 && slices.Max(x.Rates) > 2*slices.Min(x.Rates) {
			r.find(DirectionsDiffer, Warn, res.Entry, "the dose rates of order %s %s its infusion differ from direction to direction by more than a factor of two%s: a slipped digit, or the vial was not in the middle; check what was entered",
				id, []string{"before", "after"}[i], thumb)
		}
	}
	switch {
	case len(res.Before.Rates) > 0 && len(res.After.Rates) > 0 && res.Before.Family != res.After.Family:
		r.find(ResidualTimes, Stop, res.Entry, "the dose rates of order %s before and after its infusion are in %s and %s, and one does not turn into the other: correct the one that is in the wrong unit, until then they do not show the residual", id, quantity.Shown(res.Before.Family), quantity.Shown(res.After.Family))
	case given && !inf.Implied:
		r.checkResidualTimes(o, inf, res)
	}
}

// checkResidualTimes: the reading before belongs to the full dose in its
// vial, the one after to the residual.
func (r *reckoner) checkResidualTimes(o OrderResult, inf Infusion, res Residual) {
	end := quantity.Later(inf.Start, inf.Stop)
	arrived := r.bal.Arrived(inf.From)
	switch {
	case len(res.Before.Rates) > 0 && res.Before.At.After(inf.Start):
		r.find(ResidualTimes, Stop, res.Entry, "the baseline dose rate was read after the infusion of order %s began: it does not show the whole dose; correct its time if that is a slip", o.Order.ID)
	case len(res.Before.Rates) > 0 && res.Before.At.Before(arrived):
		r.find(ResidualTimes, Stop, res.Entry, "the baseline dose rate was read before the dose of order %s was in %s", o.Order.ID, inf.From)
	case len(res.After.Rates) > 0 && res.After.At.Before(end):
		r.find(ResidualTimes, Stop, res.Entry, "the dose rate after was read before the infusion of order %s ended: it does not show the residual", o.Order.ID)
	}
}

// checkHeldUp looks for activity left in a syringe that was emptied into the
// administration vial, if it was read: more than 2 % of the dose (common practice,
// no source).
func (r *reckoner) checkHeldUp(o OrderResult) {
	for _, k := range r.Book.Containers() {
		if k.Kind != ledger.Syringe || r.Serves[k.ID] != o.Order.ID || r.Book.Volume(k.ID) > 0 {
			continue
		}
		left := r.bal.Now(k.ID)
		if y, _ := r.bal.Activity(left, o.Dispensed.At); r.bal.Assayed(left) && y > o.Dispensed.Activity/50 {
			r.find(HeldUp, Warn, o.Order.Entry, "%s still holds %s after the transfer, more than a fiftieth of the dose%s", k.ID, show(y), thumb)
		}
	}
}

// FromWanted says how far the dose is from what is wanted: +10.004 %.
func (d Dispensed) FromWanted() string { return departure(d.Ratio-1, d.Limits[0]) }

// departure writes a relative departure: +3.2 %.
func departure(x float64, limits ...quantity.Fraction) string {
	return quantity.Signed(quantity.Fraction(x), 1, limits...)
}

// wanted is a confidence as it was set: 99.99999 % is not 100 %.
func wanted(f quantity.Fraction) string { return quantity.FormatDigits(f, 12, "%") }

func percent(f quantity.Fraction) string { return quantity.Show(f, 0).String() }
