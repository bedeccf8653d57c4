package procedure

import (
	"slices"
	"sync"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/meterbook"
	"vialwright/people"
	"vialwright/rules"
)

// Reckoned is what records come to at a moment: the case they fold to, the
// figures that follow from it, and where each preparation stands, which is worked
// out when it is asked: of many open orders a page is of one, or of none.
type Reckoned struct {
	Case   dispensing.Case
	Result dispensing.Result
	seen   func() view
	mu     sync.Mutex
	known  map[string]Preparation // by the order
}

// Instruments is the meter book of the site; nil for none.
type Instruments = *meterbook.Book

// Reckon works records out, with the orders of the same patients elsewhere ([fold.Beside]), as of a moment, a draw still to be made planned as
// that of drawer; empty for nobody in particular. book is nil where there is no meter
// book, profile where the site has named no rule profile. It fails where the facts
// cannot stand together.
func Reckon(records, elsewhere []journal.Record, zones fact.Zones, now time.Time, drawer string, book Instruments, profile *rules.Profile) (*Reckoned, error) {
	c, err := fold.Beside(records, elsewhere, zones)
	if err != nil {
		return nil, err
	}
	c = c.AsOf(now)
	c.Drawer, c.Profile = drawer, profile
	r := dispensing.Reckon(c, now)
	if book != nil {
		r.Add(book.Against(c)...)
	}
	see := sync.OnceValue(func() view { return seen(records, elsewhere, c, r, now, book) })
	return &Reckoned{Case: c, Result: waiting(r, see), known: map[string]Preparation{}, seen: see}, nil
}

// Waiting is a result without what it says to draw, add or return by a revision of an order
// that nobody signed: what such an order asks for next is its signature.
func Waiting(records []journal.Record, c dispensing.Case, r dispensing.Result) dispensing.Result {
	return waiting(r, func() view { return seen(records, nil, c, r, r.At, nil) })
}

func waiting(r dispensing.Result, see func() view) dispensing.Result {
	moves := []dispensing.Act{dispensing.AssayVial, dispensing.NotEnough, dispensing.ConfirmTime, dispensing.DrawDose, dispensing.AdjustDose}
	r.Orders = slices.Clone(r.Orders) // the view keeps those that were reckoned
	for i := range r.Orders {
		o := &r.Orders[i]
		if o.Adjust == nil && !slices.Contains(moves, o.Next) {
			continue
		}
		v := see()
		if v.order = o.Order; v.signature().Waits() == "" {
			continue
		}
		o.Plan, o.Adjust = nil, nil
		if slices.Contains(moves, o.Next) {
			o.Next = dispensing.AwaitSignature
		}
	}
	return r
}

// Order is the place of an order in the case; -1 for none.
func (k *Reckoned) Order(id string) int {
	return slices.IndexFunc(k.Case.Orders, func(o dispensing.Order) bool { return o.ID == id })
}

// Preparation is the one of an order; of no order of the case it has no steps.
func (k *Reckoned) Preparation(order string) Preparation {
	i := k.Order(order)
	if i < 0 {
		return Preparation{Order: order, Now: -1}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	p, known := k.known[order]
	if !known {
		p = k.seen().of(k.Case.Orders[i])
		k.known[order] = p
	}
	return p
}

// Preparations are those of all orders, in the order of the case.
func (k *Reckoned) Preparations() []Preparation {
	out := make([]Preparation, len(k.Case.Orders))
	for i, o := range k.Case.Orders {
		out[i] = k.Preparation(o.ID)
	}
	return out
}

// Over tells that the preparation goes on no more: its record is closed, or it
// was cancelled.
func (p Preparation) Over() bool { return p.Closed || p.Cancelled != "" }

// OrdersOver tells that there are orders, and that nothing more is done for any.
func (k *Reckoned) OrdersOver() bool {
	return len(k.Case.Orders) > 0 && !slices.ContainsFunc(k.Preparations(), func(p Preparation) bool { return !p.Over() })
}

// Emptied tells that nothing is left in a container.
func (k *Reckoned) Emptied(id string) bool { return k.Case.Book.Volume(id) <= tiny }

// Over tells that the work is over: nothing more is done for any order, and what
// is left of the activity is in the waste.
func (k *Reckoned) Over() bool {
	if len(k.Case.Orders) > 0 && !k.OrdersOver() {
		return false
	}
	for _, c := range k.Case.Book.Containers() {
		if c.Kind != ledger.WasteItem && c.Kind != ledger.Territory && !k.Emptied(c.ID) {
			return false
		}
	}
	return len(k.Case.Orders)+len(k.Case.Vials) > 0
}

// ClosedWith are the orders whose closed record an entry belongs to.
func (k *Reckoned) ClosedWith(entry int) (out []string) {
	for _, p := range k.Preparations() {
		if p.Closed && slices.Contains(p.Covers, entry) {
			out = append(out, p.Order)
		}
	}
	return out
}

// Confirmed tells that a second check of the dose holds.
func (p Preparation) Confirmed() bool { return p.Step(SecondCheck).State == Done }

// Blind tells that a person may still do the second check, so that nothing shows
// them a figure of the dose: from the draw on, until the check is made, anyone who
// had no hand in the work. Who would rather see them than check says so, and
// that is recorded.
func (p Preparation) Blind(who people.Person) bool {
	step, ok := p.Current()
	due := ok && step.Key == SecondCheck
	early := p.Container != "" && p.Step(SecondCheck).State == Later
	return (due || early) && people.MayCheck(who, p.Deeds) == nil
}

// Blind tells that a person may still do the second check of one of the orders.
func (k *Reckoned) Blind(who people.Person) bool {
	return slices.ContainsFunc(k.Preparations(), func(p Preparation) bool { return p.Blind(who) })
}

// WarnOfSets adds what infusions of orders elsewhere have against the lots of delivery
// sets that the orders of the case named within a week; most name none, and nothing is
// looked for. infusions gives those that a delivery set may have ended, with corrections
// of infusions, of gives the records of an order.
func (k *Reckoned) WarnOfSets(now time.Time, zones fact.Zones, infusions func() []journal.Record, of func(order string) []journal.Record) {
	if !slices.ContainsFunc(k.Case.SetUses, func(u dispensing.SetUse) bool { return u.Lot != "" && now.Sub(u.At) <= dispensing.SameWeek }) {
		return
	}
	asked := map[string]bool{}
	for _, o := range k.Case.Orders {
		asked[o.ID] = true
	}
	var failed []dispensing.SetFailure
	for _, r := range infusions() {
		f := r.Fact
		if c, ok := f.(*fact.Correct); ok {
			f = c.With
		}
		x, ok := f.(*fact.Infuse)
		if !ok || asked[x.For] || now.Sub(x.Start) > 2*dispensing.SameWeek {
			continue
		}
		asked[x.For] = true
		if other, err := fold.Records(of(x.For), zones); err == nil { // what cannot be worked out is said at its own bench
			failed = append(failed, other.SetFailures()...)
		}
	}
	k.Result.Add(k.Case.AgainstSets(failed)...)
}
