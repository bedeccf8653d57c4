package procedure

import (
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
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
		return by(latest(v, func(x *fact.Label) bool { return x.Serial == l.Serial }))
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
	if latest(v, func(x *fact.Release) bool { return x.For == v.order.ID }) != nil {
		return open("it was released before a valid second check, with a void label, or before the last work")
	}
	return open("")
}

// sinceRelease gives the last entry of a kind that was recorded of the order after the
// release in force, of those that are; nil if none is.
func sinceRelease[F fact.Fact](v *view, is func(F) bool) (out *entry) {
	for e, x := range mine[F](v) {
		if v.released != nil && e.place > v.released.place && is(x) {
			out = e
		}
	}
	return out
}

// handed is the last hand-over since the release by a label of the container;
// nil if there is none.
func (v *view) handed() *entry {
	labels := v.labels(len(v.records))
	return sinceRelease(v, func(x *fact.HandOver) bool {
		return slices.ContainsFunc(labels, func(l Printed) bool {
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
	e := sinceRelease(v, func(*fact.TimeOut) bool { return true })
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

// residual: the residual was read, by dose rate beside a baseline. Without one that tells
// nothing: it was read in the activity meter, or is in the waste unread.
func (v *view) residual() standing {
	if v.given != nil && !v.c.HasBaseline(v.order.ID) {
		end, from := quantity.Later(v.given.Start, v.given.Stop), v.given.From
		if e := latest(v, func(x *fact.Read) bool { return x.Of == from && !fold.Later(end, x.At) }); e != nil {
			return by(e)
		}
		const none = "no dose rate before the infusion can be compared with one after it"
		if latest(v, func(x *fact.Discard) bool { return x.From == from && !fold.Later(end, x.At) }) != nil {
			return skipped(none + ", and " + from + " went into waste unread: the residual cannot be told")
		}
		out := open(none + ": read " + from + " in the activity meter, or, if it cannot be read, add it to waste and write a deviation")
		out.words = find(Residual).Words
		out.words.Do, out.words.Needs = "Read {dose} with the residual in the activity meter", "vial with the residual, the activity meter, a background; then line, catheter and swabs"
		return out
	}
	i := slices.IndexFunc(v.c.Residuals, func(r dispensing.Residual) bool { return r.For == v.order.ID && len(r.After.Rates) > 0 })
	if i < 0 {
		return open("")
	}
	out := by(latest(v, func(x *fact.Residual) bool { return x.For == v.order.ID && x.After != nil }))
	out.at = v.c.Residuals[i].After.At
	return out
}

// survey: a place was surveyed after the dose was given.
func (v *view) survey() standing {
	if v.given == nil {
		return open("")
	}
	return by(latest(v, func(x *fact.Survey) bool { return !fold.Later(v.given.Start, x.At) }))
}

// closed: the record of the order was closed.
func (v *view) closed() standing {
	if _, _, reopened := v.closings(); reopened != nil {
		return open(whyReopened(reopened))
	}
	return by(latest(v, func(x *fact.Close) bool { return x.For == v.order.ID }))
}
