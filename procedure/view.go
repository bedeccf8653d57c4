package procedure

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/identity"
	"vialwright/journal"
	"vialwright/ledger"
)

// view is a case seen from one order.
type view struct {
	records     []journal.Record
	elsewhere   []journal.Record // orders of the same patients
	list        []entry
	corrections []change
	policy      fact.Policy
	signing     Signature
	c           dispensing.Case
	r           dispensing.Result
	now         time.Time
	instruments Instruments // nil for none
	order       dispensing.Order
	// res is what was reckoned for the order; only the order itself where
	// nothing could be reckoned.
	res dispensing.OrderResult
	// sources are the vials the dose was drawn from, draws its draws.
	sources []string
	draws   []dispensing.Draw
	// container holds the dose, of a kind, with a volume; empty before the
	// first draw.
	container string
	kind      ledger.Kind
	given     *dispensing.Infusion
	// events are the work on the dose, lastWork the place of the last.
	events   []event
	lastWork int
	released *entry
	check    *entry
	differs  bool
	holding  []Hold
	passed   map[string]bool
}

// seen is a case before it is seen from one of its orders.
func seen(records, elsewhere []journal.Record, c dispensing.Case, r dispensing.Result, now time.Time, book Instruments) view {
	v := view{records: records, elsewhere: elsewhere, c: c, r: r, now: now, instruments: book}
	v.list, v.corrections = inForce(records)
	for _, x := range records {
		if p, ok := x.Fact.(*fact.Policy); ok && !p.From.After(now) {
			v.policy = *p // what the site decided about the work itself, and holds by now
		}
	}
	return v
}

// of is the preparation of an order.
func (v view) of(o dispensing.Order) Preparation {
	v.order, v.res = o, dispensing.OrderResult{Order: o}
	v.look()
	v.gather(v.corrections)
	v.signing = v.signature()
	v.check, v.differs = v.agreed(len(v.records))
	v.holding = v.holds()
	return v.preparation()
}

// look finds what belongs to the order.
func (v *view) look() {
	for _, x := range v.r.Orders {
		if x.Order.ID == v.order.ID {
			v.res = x
		}
	}
	for i := range v.c.Infusions {
		if v.c.Infusions[i].For == v.order.ID {
			v.given = &v.c.Infusions[i]
		}
	}
	for _, d := range v.c.Draws {
		if d.For != v.order.ID {
			continue
		}
		v.draws = append(v.draws, d)
		if v.c.Serves[d.From] == "" && !slices.Contains(v.sources, d.From) {
			v.sources = append(v.sources, d.From)
		}
	}
	slices.SortStableFunc(v.draws, func(a, b dispensing.Draw) int { return a.At.Compare(b.At) })
	v.container = v.res.Container
	if v.given != nil {
		v.container = v.given.From
	}
	if k, ok := v.book(v.container); ok {
		v.kind = k.Kind
	}
}

// book gives a container of the books.
func (v *view) book(id string) (ledger.Container, bool) {
	if v.c.Book == nil || id == "" {
		return ledger.Container{}, false
	}
	return v.c.Book.Container(id)
}

// held are the order's syringes and administration vials with a volume in them.
func (v *view) held() (out []string) {
	if v.c.Book == nil {
		return nil
	}
	for _, k := range v.c.Book.Containers() {
		if v.isOwn(k.ID) && (k.Kind == ledger.Syringe || k.Kind == ledger.AdministrationVial) && float64(v.c.Book.Volume(k.ID)) > tiny {
			out = append(out, k.ID)
		}
	}
	return out
}

// untold are the containers of the order with something in them of which nobody said that
// it is kept as stock or has left. What is in the waste is told.
func (v *view) untold() (out []string) {
	for _, k := range v.r.Containers {
		id, kind := k.Container.ID, k.Container.Kind
		holds := k.Activity >= ledger.Empty || k.Withheld != ""
		if id != v.container && (kind == ledger.Syringe || kind == ledger.AdministrationVial) {
			holds = float64(v.c.Book.Volume(id)) > tiny // only what was given holds a residual without a volume
		}
		if !k.Here || !holds || !v.isOwn(id) || kind == ledger.Territory || kind == ledger.WasteItem {
			continue
		}
		kept := latest(v, func(x *fact.KeepStock) bool { return x.Of == id })
		left := latest(v, func(x *fact.LeftSite) bool { return x.Of == id })
		if kept == nil && left == nil {
			out = append(out, id)
		}
	}
	return out
}

// tiny absorbs the rounding of added volumes, as the books do: 1e-6 mL.
const tiny = 1e-6

// drawn tells that there is a dose: in a container, or given.
func (v *view) drawn() bool { return v.given != nil || len(v.held()) > 0 }

// preparation puts the steps in their states.
func (v *view) preparation() Preparation {
	p := Preparation{
		Order: v.order.ID, Now: -1, Container: v.container, Labels: v.labels(len(v.records)), Holds: v.holding,
		Checks: v.standing(), slips: v.slips(), Given: v.given != nil, Deeds: v.deeds(), mismatch: v.differs,
		Signature: v.signing, Untaken: v.untaken(), takeOver: v.policy.TakeOver != fact.NotRequired,
		contested:   v.contested(),
		transferred: v.kind == ledger.AdministrationVial && v.drawn(),
	}
	if d := v.res.Dispensed; d != nil {
		p.ValidFrom = d.ValidFrom
		conforming := d.Standing == dispensing.Conforms || d.Standing == dispensing.Unsure
		p.early = conforming && v.given == nil && v.now.Before(d.ValidFrom) && !v.lifted(OutsideWindow, v.order.Entry) && !v.labelHolds()
	}
	p.After = v.aftercare()
	v.endings(&p)
	v.steps(&p)
	p.Passed = v.passed
	p.Expect, p.Identifiers = v.expect(p.Labels), v.identifiers()
	p.After.Confirmed = p.Step(TimeOut).State == Done || v.confirmed()
	return p
}

// endings finds what ends a preparation, and what has to be explained.
func (v *view) endings(p *Preparation) {
	for _, f := range mine[fact.Fact](v) {
		switch x := f.(type) {
		case *fact.Cancel:
			p.Cancelled = x.Reason
		case *fact.Close:
			p.Closed = true
		case *fact.Deviation:
			p.deviated = true
		}
	}
	if _, _, reopened := v.closings(); reopened != nil {
		p.Closed, p.Reopened = false, reopened.n
	}
	p.Covers, p.Untold = v.covers(), v.untold()
	if in := v.held(); p.Cancelled != "" && len(in) > 0 {
		p.StillIn = strings.Join(in, " and ")
		p.owes = "the dose of the cancelled preparation is still in " + p.StillIn + ": add it to waste"
	}
	if left := v.residual(); left.state == Skipped {
		p.owes = left.why
	}
	for _, f := range v.r.Findings {
		delivered := f.Code == dispensing.DeliveredReportable || f.Code == dispensing.DeliveredOutside
		if (f.Code == dispensing.TreatedElsewhere || delivered && (v.given == nil || !v.given.ForPatient())) && v.r.Concerns(f, v.order.ID) {
			p.owes = f.Text
			return
		}
	}
}

// steps goes down the table. The first step that is neither done nor skipped
// is the one to do. What was done before the dose was given, or the record was
// closed, stays done when an entry is corrected after that.
func (v *view) steps(p *Preparation) {
	before, was := v.before(v.fixed())
	for i, r := range table() {
		st := r.stands(v)
		switch {
		case st.state == Done || st.state == Skipped:
		case was && r.key != Close && (before.Steps[i].State == Done || before.Steps[i].State == Skipped):
			old := before.Steps[i]
			st = standing{state: old.State, by: old.By, at: old.At, why: old.Why}
		case p.Cancelled != "" && r.key != Close:
			st = standing{state: Skipped, why: "the preparation was cancelled"}
		case p.Given && (r.before || r.key == HandOver):
			st = standing{state: Skipped, why: "the dose was given without it"}
			if p.owes == "" {
				p.owes = "the dose of order " + p.Order + " was given without the step " + string(r.key)
			}
		case p.Now < 0:
			p.Now = i
		default:
			st.state = Later
		}
		p.Steps = append(p.Steps, Step{
			Key: r.key, Words: cmp.Or(st.words, r.Words), State: st.state, By: st.by, At: st.at, Records: r.records, Why: st.why,
		})
	}
}

// expect is what the record expects to meet at a hand-over.
func (v *view) expect(labels []Printed) identity.Item {
	order := v.prescription()
	out := identity.Item{
		Patient: order.Patient, Second: order.SecondID, Order: v.order.ID, Version: v.order.Version, Territory: v.order.Territory,
		Vial: strings.Join(v.sources, " "),
	}
	for _, l := range labels {
		if l.Void == "" && v.onContainer(l) {
			out.Label = l.Serial
		}
	}
	return out
}

// prescription is the order as it was written.
func (v *view) prescription() *fact.Order {
	for _, x := range mine[*fact.Order](v) {
		return x
	}
	return &fact.Order{}
}
