package fold

import (
	"cmp"
	"maps"
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/identity"
	"vialwright/people"
	"vialwright/quantity"
)

// enterMark refuses entries that do not stand above it, and a range that runs
// backwards.
func enterMark(f fact.Fact, s *step) *fact.Refusal {
	first, last, _ := fact.Marked(f)
	switch {
	case last >= s.entry:
		return s.refuse("last", "unknown-entry", "count the entries from 1; this stands below those it is about", "there is no entry %d above this one", last)
	case first > last:
		return s.refuse("first", "range-backwards", "write the first one first", "entry %d comes after entry %d", first, last)
	}
	return nil
}

// done is what was said so far, in the order of time, of the doses of a case
// by facts that move no activity.
type done struct {
	labels []*fact.Label
	// released and left are the first release of an order, and its first
	// hand-over or time-out; closed is when its record was closed.
	released, left, closed map[string]*step
	// handed is its first hand-over.
	handed map[string]*step
	// away is when a container left the site.
	away map[string]*step
}

// note keeps the first step of an order in one of the maps of done.
func note(m *map[string]*step, order string, s *step) {
	if *m == nil {
		*m = map[string]*step{}
	}
	if (*m)[order] == nil {
		(*m)[order] = s
	}
}

// knowsMeter asks that there is a meter, with a calibration that held at the
// time of the step.
func (f *folder) knowsMeter(s *step, field, id string) *fact.Refusal {
	if f.meterAt(id, s.at) != nil {
		return nil
	}
	if periods := f.meters[id]; len(periods) > 0 {
		return s.refuse(field, "no-calibration", "check the time, or enter the calibration that held then",
			"the first calibration of meter %s holds from %s", id, f.clock(periods[0].From))
	}
	hint := "enter the meter with its factors"
	if len(f.meters) > 0 {
		hint = fact.Nearest(id, slices.Sorted(maps.Keys(f.meters)))
	}
	return s.refuse(field, "unknown-meter", hint, "no meter is called %s", id)
}

// openOrder asks that there is an order whose record is not closed.
func (f *folder) openOrder(s *step, id string) *fact.Refusal {
	if err := f.knows(s, "for", id); err != nil {
		return err
	}
	if c := f.done.closed[id]; c != nil && !f.reopened(c, s) {
		return s.refuse("at", "after-close", "strike out the closing first, or check both times",
			"the record of order %s was closed with entry %d, at %s", id, c.entry, f.clock(c.at))
	}
	return nil
}

// reopened tells that a correction was recorded after a record was closed and
// before a step: a correction reopens the record. Which orders it is of is for
// package procedure.
func (f *folder) reopened(closed, s *step) bool {
	return slices.ContainsFunc(f.corrections, func(n int) bool { return n > closed.entry && n < s.entry })
}

// enterLeftSite refuses what is not there, and what left before.
func enterLeftSite(x *fact.LeftSite, f *folder, s *step) *fact.Refusal {
	if err := f.here(s, x.Of); err != nil {
		return err
	}
	note(&f.done.away, x.Of, s)
	f.out.Left[x.Of] = s.at
	return nil
}

// here asks that there is a container of an id, and that it had not left the site.
func (f *folder) here(s *step, id string) *fact.Refusal {
	if _, err := f.is(s, "of", id); err != nil {
		return err
	}
	return f.onSite(s, "of", id)
}

// onSite asks that a container had not left the site.
func (f *folder) onSite(s *step, field, id string) *fact.Refusal {
	if gone := f.done.away[id]; gone != nil {
		return s.refuse(field, "left-site", "check the id and the times of both entries", "%s left the site with entry %d, at %s", id, gone.entry, f.clock(gone.at))
	}
	return nil
}

// enterCheck refuses a check of an activity meter that names none, or one that is
// not there.
func enterCheck(c *fact.Check, f *folder, s *step) *fact.Refusal {
	switch {
	case c.What != fact.MeterBackground && c.What != fact.MeterConstancy:
		return nil
	case c.Of == "":
		return s.refuse("of", "meter-missing", "write of: and the meter", "a check of the kind %s names no meter", c.What)
	}
	return f.knowsMeter(s, "of", c.Of)
}

// enterSurvey refuses, in this order: a background of nothing, a dose rate that no
// place has, and a survey with neither a dose rate nor a wipe.
func enterSurvey(v *fact.Survey, f *folder, s *step) *fact.Refusal {
	switch {
	case v.Rate.IsZero() && !v.Background.IsZero():
		return s.refuse("background", "rate-missing", "write rate: too, the reading before the background is taken away", "a background is given without a dose rate")
	case v.Rate.Value > mostRate:
		return s.refuse("rate", "out-of-range", "check the number and its unit", "%s is no dose rate of a place", v.Rate.Text)
	case v.Rate.IsZero() && v.Wipe.IsZero():
		return s.refuse("", "survey-empty", "write rate: or wipe: with what was found", "the survey found neither a dose rate nor a wipe")
	}
	judgeSurvey(v, f, s)
	return nil
}

// enterAgitate refuses the resuspension of what is not there.
func enterAgitate(a *fact.Agitate, f *folder, s *step) *fact.Refusal {
	_, err := f.is(s, "of", a.Of)
	return err
}

// enterSecondCheck refuses, in this order: an order that is not there or closed, a meter
// that is not there, a container that is not there or holds the dose of
// another order, activities of nothing or of no dose, a background that cannot
// be one, and a shared entry that is no reading of the container until then. A
// reading for which the meter has no factor is kept, and can be compared with
// nothing.
func enterSecondCheck(v *fact.SecondCheck, f *folder, s *step) *fact.Refusal {
	if err := cmp.Or(f.openOrder(s, v.For), f.knowsMeter(s, "meter", v.Meter), checkSources(&v.Sources, s)); err != nil {
		return err
	}
	c, err := f.is(s, "of", v.Of)
	if err != nil {
		return err
	}
	if of := f.out.Serves[v.Of]; of != "" && of != v.For {
		return s.refuse("of", "order-mismatch", "check the ids before anything is given", "%s holds the dose of order %s, not of %s", v.Of, of, v.For)
	}
	for _, a := range []struct {
		field string
		quantity.Stated[quantity.Activity]
		least quantity.Activity
	}{{"gross", v.Gross, 0}, {"background", v.Background, 0}, {"activity", v.Activity, leastDose}} {
		if err := s.activity(a.field, a.Stated, a.least); err != nil {
			return err
		}
	}
	if backgroundSlip(&fact.Read{Gross: v.Gross, Background: v.Background}) {
		return s.refuse("background", "background-above-gross", "check the background and its unit; gross is the reading before it is taken away",
			"the background %s is more than twice the reading %s", v.Background.Text, v.Gross.Text)
	}
	isShared := func(r dispensing.Reading) bool { return r.Entry == v.Shared && r.Of == v.Of }
	if v.Shared != 0 && !slices.ContainsFunc(f.out.Readings, isShared) {
		return s.refuse("shared", "not-a-reading", "name the reading before the draw", "entry %d is no reading of %s made by then", v.Shared, v.Of)
	}
	check := dispensing.Check{
		Entry: s.entry, For: v.For, Of: v.Of, Meter: v.Meter, At: s.at, Gross: v.Gross.Value, Background: v.Background.Value, Figure: v.Activity.Value,
		Setting: v.Setting, Insert: v.Insert,
	}
	net, err := f.net(s, &fact.Read{Of: v.Of, Meter: v.Meter, At: v.At, Gross: v.Gross, Background: v.Background}, c)
	if err != nil {
		check.Unread = err.Msg
	} else {
		check.Reading = net
	}
	f.out.Checks = append(f.out.Checks, check)
	return nil
}

func (f *folder) label(serial identity.Serial) *fact.Label {
	for _, l := range f.done.labels {
		if l.Serial == serial {
			return l
		}
	}
	return nil
}

// scanned asks that a label of an open order was printed before it was
// scanned.
func (f *folder) scanned(s *step, order string, serial identity.Serial) *fact.Refusal {
	if err := f.openOrder(s, order); err != nil {
		return err
	}
	switch l := f.label(serial); {
	case l == nil:
		return s.refuse("serial", "unknown-label", "check the time and the characters of the label, or print it first",
			"no label %s was printed by %s", serial, f.clock(s.at))
	case l.For != order:
		return s.refuse("serial", "order-mismatch", "check the label before anything is given", "the label %s is of order %s, not of %s", serial, l.For, order)
	}
	return nil
}

// enterRelease refuses a release by a label that is not there, and one of a dose that
// had already left when it was first released.
func enterRelease(r *fact.Release, f *folder, s *step) *fact.Refusal {
	if err := f.scanned(s, r.For, r.Serial); err != nil {
		return err
	}
	if x := f.done.left[r.For]; x != nil && f.done.released[r.For] == nil {
		return s.refuse("at", "release-late", "check the times of both entries",
			"the dose of order %s had left by entry %d, at %s", r.For, x.entry, f.clock(x.at))
	}
	note(&f.done.released, r.For, s)
	return nil
}

// afterGiven refuses what can be said only of a dose that was given before. It may be
// said after the record was closed: the order is then completed late, or imaging
// comes in.
func (f *folder) afterGiven(s *step, order string) *fact.Refusal {
	if err := f.knows(s, "for", order); err != nil {
		return err
	}
	if o := f.orders[order]; o.infused == nil || Later(o.infused.at, s.at) {
		return s.refuse("at", "not-given", "check the times of both entries, or enter the infusion first", "the dose of order %s was not given by then", order)
	}
	return nil
}

// enterHandOver refuses a hand-over by a label that is not there, and one who
// countersigned and is not named.
func enterHandOver(h *fact.HandOver, f *folder, s *step) *fact.Refusal {
	if err := f.scanned(s, h.For, h.Serial); err != nil {
		return err
	}
	note(&f.done.left, h.For, s)
	note(&f.done.handed, h.For, s)
	return s.countersigned(h.Countersigned, h.To)
}

// enterTimeOut refuses, in this order: an order that is not there or closed, an
// activity of nothing, a dose that was given before, and one who countersigned
// and is not named.
func enterTimeOut(x *fact.TimeOut, f *folder, s *step) *fact.Refusal {
	if err := cmp.Or(f.openOrder(s, x.For), s.activity("activity", x.Activity, leastDose)); err != nil {
		return err
	}
	if o := f.orders[x.For]; o.infused != nil && Later(s.at, o.infused.at) {
		return s.refuse("at", "time-out-late", "check the times of both entries", "the dose of order %s was given before its time-out", x.For)
	}
	note(&f.done.left, x.For, s)
	f.out.SetUses = append(f.out.SetUses, dispensing.SetUse{Entry: s.entry, For: x.For, Lot: x.SetLot, Extra: x.Extra, At: x.At})
	return s.countersigned(x.Countersigned, x.With)
}

// enterCancel refuses an order that is not there or closed, or whose dose was given.
func enterCancel(a *fact.Cancel, f *folder, s *step) *fact.Refusal {
	if err := f.openOrder(s, a.For); err != nil {
		return err
	}
	if o := f.orders[a.For]; o.infused != nil && !o.infused.at.After(s.at) {
		return s.refuse("for", "cancelled-given", "write a deviation instead, or check the times of both entries", "the dose of order %s was given before", a.For)
	}
	f.orders[a.For].Cancelled = true
	return nil
}

func enterClose(c *fact.Close, f *folder, s *step) *fact.Refusal {
	if err := f.openOrder(s, c.For); err != nil {
		return err
	}
	if f.done.closed == nil {
		f.done.closed = map[string]*step{}
	}
	f.done.closed[c.For] = s // the last one: a record that was reopened is closed again
	return nil
}

// enterTakeOver refuses, in this order: an order that is not there or closed, and a
// dose that nobody had handed over by then.
func enterTakeOver(t *fact.TakeOver, f *folder, s *step) *fact.Refusal {
	if err := f.openOrder(s, t.For); err != nil {
		return err
	}
	if f.done.handed[t.For] == nil {
		return s.refuse("for", "not-handed-over", "enter the hand-over first, or check the times of both entries", "the dose of order %s was not handed over before", t.For)
	}
	return nil
}

// countersigned asks that who countersigned is who is named.
func (s *step) countersigned(by, named string) *fact.Refusal {
	if by == "" || by == named {
		return nil
	}
	return s.refuse("countersigned", "countersigned-other", "leave it out, or name who signed", "%s countersigned, and %s is named", by, named)
}

// enterPerson refuses a person that cannot be one. Whether the entry was allowed follows
// from those before it ([people.Directory]); no figure rests on it.
func enterPerson(p *fact.Person, _ *folder, s *step) *fact.Refusal {
	if e, bad := p.Of().Check().(*people.Error); bad {
		return s.refuse(map[string]string{people.CodeName: "name", people.CodeRoles: "roles"}[e.Code], e.Code, e.Hint, "%s", e.Msg)
	}
	return nil
}

// enterClock refuses a clock in a laboratory for patients, one that is put back, and
// a leap that can only be a slip.
func enterClock(c *fact.Clock, f *folder, s *step) *fact.Refusal {
	if err := f.inPractice(s); err != nil {
		return err
	}
	if code, msg, hint := c.Wrong(); code != "" {
		return s.refuse("to", code, hint, "%s", msg)
	}
	return nil
}

// inPractice refuses what only a practice laboratory has.
func (f *folder) inPractice(s *step) *fact.Refusal {
	if f.practice {
		return nil
	}
	return s.refuse("", "practice-only", "use it in a journal for practice", "this laboratory is for patients, and has no practice clock and no drills")
}
