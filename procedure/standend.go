package procedure

import (
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
)

// secondCheck: one holds since the last work on the dose.
func (v *view) secondCheck() standing {
	switch {
	case v.differs:
		return blocked("the second check does not confirm the record, so " + bothRead)
	case v.check != nil:
		return by(v.check)
	case len(v.checks(v.lastWork, len(v.records))) > 0:
		return open("it was checked by someone who took part in the work or had seen its figures")
	case len(v.checks(-1, len(v.records))) > 0:
		return open("something was recorded after the second check")
	}
	return open("")
}

// label: a label in force stands on the container.
func (v *view) label() standing {
	why := ""
	for _, l := range v.labels(len(v.records)) {
		if !v.onContainer(l) {
			continue
		}
		if why = l.Void; why != "" {
			why = l.Serial.String() + ": " + why
			continue
		}
		return by(v.last(func(f fact.Fact) bool {
			x, ok := f.(*fact.Label)
			return ok && x.Serial == l.Serial
		}))
	}
	return open(why)
}

// release: a release is in force. While there is none, an order that is not
// signed, and whatever holds the dose, stand in its way.
func (v *view) release() standing {
	switch {
	case v.released != nil:
		return by(v.released)
	case v.signing.Why() != "":
		return blocked(v.signing.Why() + ": " + signNow)
	case len(v.holding) > 0:
		return blocked(v.holding[0].Text)
	}
	if v.last(func(f fact.Fact) bool { x, ok := f.(*fact.Release); return ok && x.For == v.order.ID }) != nil {
		return open("it was released before a valid second check, with a void label, or before the last work")
	}
	return open("")
}

// sinceRelease gives the last entry recorded after the release in force of
// those that are, nil if none is.
func (v *view) sinceRelease(is func(fact.Fact) bool) (out *entry) {
	if v.released == nil {
		return nil
	}
	for _, e := range v.list {
		if e.fact != nil && e.place > v.released.place && is(e.fact) {
			out = &e
		}
	}
	return out
}

// handed is the last hand-over since the release by a label of the container;
// nil if there is none.
func (v *view) handed() *entry {
	labels := v.labels(len(v.records))
	return v.sinceRelease(func(f fact.Fact) bool {
		x, ok := f.(*fact.HandOver)
		return ok && x.For == v.order.ID && slices.ContainsFunc(labels, func(l Printed) bool {
			return l.Serial == x.Serial && (l.Of == v.container || l.Into == v.container)
		})
	})
}

// handOver: handed over since the release, by a label in force.
func (v *view) handOver() standing {
	e := v.handed()
	if e == nil && len(v.holding) > 0 {
		return blocked(v.holding[0].Text)
	}
	return by(e)
}

// timeOut: the last time-out since the release read out what the record holds.
func (v *view) timeOut() standing {
	e := v.sinceRelease(func(f fact.Fact) bool {
		x, ok := f.(*fact.TimeOut)
		return ok && x.For == v.order.ID
	})
	switch {
	case len(v.holding) > 0:
		return blocked(v.holding[0].Text)
	case e == nil:
		return open("")
	}
	x, _ := e.fact.(*fact.TimeOut)
	if all := otherThanExpected(v.expect(nil), x); len(all) > 0 {
		return blocked(all[0].Text())
	}
	if !labelled(x.Activity.Value, v.labels(e.place), v.res, v.r.HalfLife) {
		return blocked("the activity that was read out is not that of the label")
	}
	return by(e)
}

// infusion: the dose was given, or a residual says so.
func (v *view) infusion() standing {
	if v.given == nil {
		return open("")
	}
	out := by(v.numbered(v.given.Entry))
	out.at = v.given.Start
	if v.given.Implied {
		out.why = "no infusion was entered; the residual implies it"
	}
	return out
}

// residual: the residual was read.
func (v *view) residual() standing {
	i := slices.IndexFunc(v.c.Residuals, func(r dispensing.Residual) bool { return r.For == v.order.ID && len(r.After.Rates) > 0 })
	if i < 0 {
		return open("")
	}
	out := by(v.last(func(f fact.Fact) bool {
		x, ok := f.(*fact.Residual)
		return ok && x.For == v.order.ID && x.After != nil
	}))
	out.at = v.c.Residuals[i].After.At
	return out
}

// survey: a place was surveyed after the dose was given.
func (v *view) survey() standing {
	if v.given == nil {
		return open("")
	}
	return by(v.last(func(f fact.Fact) bool {
		x, ok := f.(*fact.Survey)
		return ok && !fold.Later(v.given.Start, x.At)
	}))
}

// closed: the record of the order was closed.
func (v *view) closed() standing {
	if _, _, reopened := v.closings(); reopened != nil {
		return open(whyReopened(reopened))
	}
	return by(v.last(func(f fact.Fact) bool {
		x, ok := f.(*fact.Close)
		return ok && x.For == v.order.ID
	}))
}
