// Package books is what several rooms say of the books of the site: one order as
// the person who looks may see it, findings and settings in words, the forms that
// are asked in more than one place, near misses, and documents.
package books

import (
	"cmp"
	"net/http"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Bench is one order as the person who asks may see it: what its page is made
// from, where its preparation stands and what it comes to.
type Bench struct {
	*kit.State
	Q     *kit.Request
	Order dispensing.Order
	Out   dispensing.OrderResult
	Prep  procedure.Preparation
	event *decided // by the rule profile; nil while nobody asked
}

// BenchOf finds an order; false for one that is not there.
func BenchOf(q *kit.Request, st *kit.State, id string) (*Bench, bool) {
	i := st.Order(id)
	if i < 0 {
		return nil, false
	}
	b := &Bench{State: st, Q: q, Order: st.Case.Orders[i], Prep: st.Preparation(id)}
	if i < len(st.Result.Orders) {
		b.Out = st.Result.Orders[i]
	}
	return b, true
}

// Here finds the order that the address names.
func Here(q *kit.Request) (*Bench, error) {
	st, err := q.CaseState()
	if err != nil {
		return nil, err
	}
	b, ok := BenchOf(q, st, q.R.PathValue("order"))
	if !ok {
		return nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such order", Text: "no order has this id", Hint: "go to the board", Back: "/"}
	}
	return b, nil
}

// Blind tells that the person sees no figure of the order.
func (b *Bench) Blind() bool { return b.Q.Blind(b.State, b.Order.ID) }

// Elsewhere are the other orders that the person may still check, and whose dose
// follows from figures of this one, which they may not check; none where they may
// check this one themselves.
func (b *Bench) Elsewhere() []string {
	if b.Prep.Blind(b.Q.Who.Person) {
		return nil
	}
	return b.Q.GivesAway(b.State, b.Order.ID)
}

// Finished tells of a shipping vial that is empty and that this order was not drawn
// from: nothing is done with it here any more.
func (b *Bench) Finished(vial string) bool {
	drawn := func(d dispensing.Draw) bool { return d.For == b.Order.ID && d.From == vial }
	empty := func(k dispensing.ContainerResult) bool {
		return k.Container.ID == vial && k.Container.Kind == ledger.ShippingVial && k.Here && k.Withheld == "" && k.VolumeHeld == ""
	}
	return b.Emptied(vial) && slices.ContainsFunc(b.Result.Containers, empty) && !slices.ContainsFunc(b.Case.Draws, drawn)
}

// Href is the address of the bench of the order.
func (b *Bench) Href() string { return kit.OrderHref(b.Order.ID) }

// MayStep asks whether the person may do a step, or enter it from paper.
func (b *Bench) MayStep(key procedure.Key) error {
	writer := ""
	if s := b.Q.Sheet(); s != nil {
		writer = s.Writer
	}
	return procedure.MayStep(b.Q.Who.Person, key, b.Prep, writer)
}

// OnDay is a time of day, with the day where that is not today.
func (b *Bench) OnDay(t time.Time) string { return b.Zone.Wall(t, b.Q.Now) }

// Track is what the strip shows of an order; to who may still check it when it
// is given, and nothing of the dose nor of the prescription.
func (b *Bench) Track() picture.Track {
	if b.Blind() {
		return picture.Track{Infusion: b.Order.At}
	}
	o, t := b.Order, b.Order.Target()
	by := b.Case.RulesOf(b.Order)
	tol := quantity.Activity(by.Tolerance)
	level := func(a quantity.Activity) picture.Level {
		return picture.Level{Activity: a, Text: quantity.Show(a, 0).String()}
	}
	track := picture.Track{Lower: level(t * (1 - tol)), Target: level(t), Upper: level(t * (1 + tol)), Infusion: o.At}
	if limit, _ := by.Outer(o); limit.Share > 0 {
		track.LimitLow, track.LimitHigh = level(o.Prescribed*quantity.Activity(1-limit.Share)), level(o.Prescribed*quantity.Activity(1+limit.Share))
	}
	curve := func(a, u quantity.Activity, at time.Time, words string) picture.Curve {
		return picture.Curve{Activity: a, At: at, Words: words, Text: quantity.Both(a, u)}
	}
	if b.Out.Withheld != "" {
		return track
	}
	if d := b.Out.Dispensed; d != nil {
		track.Dose = curve(d.Activity, d.U, d.At, "dose "+b.Out.Container)
		track.ValidFrom, track.ValidUntil = d.ValidFrom, d.ValidUntil
	} else if plan := b.Out.Plan; plan != nil {
		track.Planned = curve(plan.Expect, plan.ExpectU, o.At, "planned")
	}
	for _, r := range b.Case.Readings {
		if r.Of == b.Out.Container && !r.At.IsZero() {
			track.Readings = append(track.Readings, picture.Reading{At: r.At, Activity: r.Gross - r.Background, Text: r.Of})
		}
	}
	return track
}

// Prescribed is the activity of the order as the physician wrote it, with its
// digits and its unit, and in the other unit of the trade.
func (b *Bench) Prescribed() string {
	if b.Blind() {
		return "Not shown before your second check"
	}
	return b.Order.PrescribedText()
}

// Patient is the identifier of the patient.
func (b *Bench) Patient() string { return cmp.Or(b.Prep.Expect.Patient, "not stated") }

// OrderFacts are those of the order in full.
func (b *Bench) OrderFacts() []view.Pair {
	o := b.Order
	return []view.Pair{
		{Name: "Prescribed", Value: b.Prescribed()},
		{Name: "Infusion planned", Value: b.OnDay(o.At)},
		{Name: "Treatment site", Value: cmp.Or(o.Site, "not stated")},
		{Name: "Territory", Value: cmp.Or(o.Territory, "not stated")},
		{Name: "Version", Value: cmp.Or(o.Version, "not stated")},
		{Name: "Patient", Value: b.Patient()},
		{Name: "Second identifier", Value: cmp.Or(b.Prep.Expect.Second, "not stated")},
	}
}

// Followed is how the prescribed activity follows from an absorbed dose; nothing
// where the order states the activity.
func (b *Bench) Followed() []view.Pair {
	d := b.Out.Dose
	if b.Order.FromDose == "" || d == nil || b.Blind() {
		return nil
	}
	out := []view.Pair{{Name: "Absorbed dose ordered", Value: b.Order.FromDose}}
	for i, s := range d.Working() {
		out = append(out, view.Pair{Name: []string{"Formula", "With", "Result"}[i], Value: s})
	}
	return append(out, view.Pair{Name: "Activity that follows", Value: b.Prescribed() + ", to three figures; the signature stands under it"})
}
