package web

import (
	"time"

	"vialwright/dispensing"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/quantity"
)

// orderView is one order as the person who asks may see it: what its page is made
// from, where its preparation stands and what it comes to.
type orderView struct {
	*state
	asker *request
	order dispensing.Order
	out   dispensing.OrderResult
	prep  procedure.Preparation
}

// orderView finds an order; false for one that is not there.
func (q *request) orderView(st *state, id string) (*orderView, bool) {
	i := st.Order(id)
	if i < 0 {
		return nil, false
	}
	b := &orderView{state: st, asker: q, order: st.Case.Orders[i], prep: st.Preparation(id)}
	if i < len(st.Result.Orders) {
		b.out = st.Result.Orders[i]
	}
	return b, true
}

// blind tells that the person sees no figure of the order.
func (b *orderView) blind() bool { return b.prep.Blind(b.asker.who.Person) }

func (b *orderView) href() string { return benchHref(b.order.ID) }

// mayStep asks whether the person may do a step, or enter it from paper.
func (b *orderView) mayStep(key procedure.Key) error {
	writer := ""
	if s := b.asker.sheet(); s != nil {
		writer = s.writer
	}
	return procedure.MayStep(b.asker.who.Person, key, b.prep, writer)
}

// onDay is a time of day, with the day where that is not today.
func (b *orderView) onDay(t time.Time) string { return b.zone.wall(t, b.asker.now) }

// track is what the strip shows of an order; to who may still check it when it
// is given, and nothing of the dose nor of the prescription.
func (b *orderView) track() picture.Track {
	if b.blind() {
		return picture.Track{Infusion: b.order.At}
	}
	o, t := b.order, b.order.Target()
	tol := quantity.Activity(b.Case.RulesOf(b.order).Tolerance)
	level := func(a quantity.Activity) picture.Level {
		return picture.Level{Activity: a, Text: quantity.Show(a, 0).String()}
	}
	track := picture.Track{Lower: level(t * (1 - tol)), Target: level(t), Upper: level(t * (1 + tol)), Infusion: o.At}
	curve := func(a, u quantity.Activity, at time.Time, words string) picture.Curve {
		return picture.Curve{Activity: a, At: at, Words: words, Text: quantity.Both(a, u)}
	}
	if b.out.Withheld != "" {
		return track
	}
	if d := b.out.Dispensed; d != nil {
		track.Dose = curve(d.Activity, d.U, d.At, "dose "+b.out.Container)
		track.ValidFrom, track.ValidUntil = d.ValidFrom, d.ValidUntil
	} else if plan := b.out.Plan; plan != nil {
		track.Planned = curve(plan.Expect, plan.ExpectU, o.At, "planned")
	}
	for _, r := range b.Case.Readings {
		if r.Of == b.out.Container && !r.At.IsZero() {
			track.Readings = append(track.Readings, picture.Reading{At: r.At, Activity: r.Gross - r.Background, Text: r.Of})
		}
	}
	return track
}

// prescribed is the activity of the order as the physician wrote it, with its
// digits and its unit, and in the other unit of the trade.
func (b *orderView) prescribed() string {
	if b.blind() {
		return "Not shown before your second check"
	}
	return b.order.PrescribedText()
}
