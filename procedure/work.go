package procedure

import (
	"math"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/people"
)

// none is the act of what is no work on the dose.
const none people.Act = ""

// work tells which act a fact is on the dose of the order, none if it is not
// work on it, and whether it was done on the vial the dose came from.
func (v *view) work(f fact.Fact) (act people.Act, source bool) {
	switch x := f.(type) {
	case *fact.Read:
		switch {
		case v.ofResidual(x):
		case v.isOwn(x.Of):
			return people.ReadMeter, false
		case v.reckonedWith(x.Of, x.At):
			return people.ReadMeter, true
		}
	case *fact.Draw:
		if v.owner(x.Into, x.For) == v.order.ID {
			return people.Draw, false
		}
	case *fact.Return:
		if v.isOwn(x.From) || v.isOwn(x.Into) {
			return people.Return, false
		}
	case *fact.MakeUp:
		switch {
		case v.isOwn(x.Of):
			return people.MakeUp, false
		case v.reckonedWith(x.Of, x.At):
			return people.MakeUp, true
		}
	case *fact.Transfer:
		if v.owner(x.Into, x.For) == v.order.ID || v.isOwn(x.From) || v.isOwn(x.Into) {
			return people.Transfer, false
		}
	case *fact.Reassign:
		if x.From == v.order.ID || x.To == v.order.ID {
			return people.Reassign, false
		}
	case *fact.Discard:
		// What leaves the dose before it is given changes it as a return does.
		if v.isOwn(x.From) && (v.given == nil || x.At.Before(v.given.Start)) {
			return people.Return, false
		}
	}
	return none, false
}

// ofResidual tells whether a reading is of what is left of the dose that was given.
func (v *view) ofResidual(x *fact.Read) bool {
	k, _ := v.book(x.Of)
	return k.Kind == ledger.ResidualParts || v.given != nil && x.Of == v.given.From && fold.Later(x.At, v.given.Start)
}

// isOwn tells whether a container is one of the order's.
func (v *view) isOwn(id string) bool { return id != "" && v.c.Serves[id] == v.order.ID }

// owner is the order whose dose a container holds: the one that a movement
// names, unless the dose was given to another since.
func (v *view) owner(container, named string) string {
	if of := v.c.Serves[container]; of != "" {
		return of
	}
	return named
}

// reckonedWith tells whether what is done to a vial at a time belongs to the
// assay of the dose: the dose was drawn from it, and no dose of another order
// between.
func (v *view) reckonedWith(vial string, at time.Time) bool {
	if !slices.Contains(v.sources, vial) {
		return false
	}
	var last time.Time // of this order from this vial
	for _, d := range v.c.Draws {
		if d.For == v.order.ID && d.From == vial && d.At.After(last) {
			last = d.At
		}
	}
	for _, d := range v.c.Draws {
		if d.For != v.order.ID && d.From == vial && d.At.After(last) && at.After(d.At) {
			return false
		}
	}
	return true
}

// changes tells whether a correction of a fact changes what the dose is: that
// of work, of the order itself, and of the vial's papers.
func (v *view) changes(f fact.Fact) bool {
	switch x := f.(type) {
	case nil:
		return false
	case *fact.Order:
		return x.ID == v.order.ID
	case *fact.Receive:
		return slices.Contains(v.sources, x.Vial)
	}
	act, _ := v.work(f)
	return act != none
}

// gather collects the work on the dose in the order of the record. Work on the
// vial that was recorded after a release in force is for another dose.
func (v *view) gather(changes []change) {
	for _, e := range v.list {
		if act, source := v.work(e.fact); act != none {
			v.events = append(v.events, event{e.place, act, e.hands(), source})
		}
	}
	for _, c := range changes {
		if !v.changes(c.was) && !v.changes(c.with) {
			continue
		}
		by := []string{c.by}
		if act, _ := v.work(c.was); act != none { // who did it has not undone having done it
			by = append(by, c.whose...)
		}
		slices.Sort(by)
		v.events = append(v.events, event{c.place, people.Correct, slices.Compact(by), false})
	}
	slices.SortStableFunc(v.events, func(a, b event) int { return a.place - b.place })
	v.settleTransfer()
	v.released = v.findRelease()
	if v.released != nil {
		v.events = slices.DeleteFunc(v.events, func(e event) bool { return e.source && e.place > v.released.place })
	}
	v.lastWork = lastBefore(v.events, len(v.records))
}

// settleTransfer takes the work out that leaves a checked dose as it was: the
// transfer of the whole checked syringe, and a reading of a syringe that was
// emptied into the administration vial, as long as it does not move the dose
// from its label by more than the site's bound. A part transfer stays work.
func (v *view) settleTransfer() {
	all := v.events
	v.events = nil
	for _, e := range all {
		if check, _ := v.agreed(e.place); check == nil || !v.leavesDose(e.place) {
			v.events = append(v.events, e)
		}
	}
}

// leavesDose tells whether the entry at a place in the record leaves the dose
// as it was checked and labelled.
func (v *view) leavesDose(place int) bool {
	i := slices.IndexFunc(v.list, func(e entry) bool { return e.place == place })
	if i < 0 {
		return false
	}
	switch x := v.list[i].fact.(type) {
	case *fact.Transfer:
		k, _ := v.book(x.Into)
		return k.Kind == ledger.AdministrationVial && x.Volume.IsZero()
	case *fact.Read:
		k, _ := v.book(x.Of)
		emptied := k.Kind == ledger.Syringe && v.isOwn(x.Of) && float64(v.c.Book.VolumeWhen(x.Of, x.At, v.list[i].n)) < tiny
		return emptied && !v.drifted(place)
	}
	return false
}

// drifted tells whether the dose as reckoned now lies beyond the site's bound
// from the last label printed before a place in the record, or cannot be
// compared with one.
func (v *view) drifted(place int) bool {
	d := v.res.Dispensed
	var last *fact.Printed
	for e, l := range mine[*fact.Label](v) {
		if l.Printed != nil && e.place < place {
			last = l.Printed
		}
	}
	return d == nil || last == nil || math.Abs(d.Drift(last.Activity.Value, last.Reference, v.r.HalfLife)) > float64(v.c.Policy.LabelDrift)
}

// lastBefore is the place of the last event before a place, -1 if there is
// none.
func lastBefore(events []event, place int) int {
	last := -1
	for _, e := range events {
		if e.place < place {
			last = max(last, e.place)
		}
	}
	return last
}

// worked tells whether a person had a hand in the work.
func worked(events []event, who string) bool {
	return slices.ContainsFunc(events, func(e event) bool { return slices.Contains(e.by, who) })
}

// watched tells that who supervised a check had done some of the work.
func (v *view) watched(events []event, check entry) bool {
	return check.beside != "" && worked(events, check.beside)
}

// checks are the second checks in force that were recorded between two places.
// One that was corrected is a third act, and no check.
func (v *view) checks(from, to int) []entry {
	var out []entry
	for e := range mine[*fact.SecondCheck](v) {
		if !e.fixed && e.place > from && e.place < to {
			out = append(out, *e)
		}
	}
	return out
}

// contested tells that a second check of the order was ever made, and that none
// holds.
func (v *view) contested() bool {
	return v.check == nil && slices.ContainsFunc(v.list, func(e entry) bool {
		x, ok := e.first.(*fact.SecondCheck)
		return ok && x.For == v.order.ID
	})
}

// agreed gives the second check that holds at a place in the record: one since
// the last work, by someone who had no hand in the work, that agrees. differs
// tells that one since does not agree; then none holds.
func (v *view) agreed(place int) (check *entry, differs bool) {
	events := slices.DeleteFunc(slices.Clone(v.events), func(e event) bool { return e.place >= place })
	for _, e := range v.checks(lastBefore(events, place), place) {
		if !v.compared(e).Agrees() {
			return nil, true
		}
		own := e.wrote == "" || e.wrote == e.by // nobody enters the check of another
		if own && !worked(events, e.by) && !v.watched(events, e) && !v.looked(e) && len(events) > 0 {
			check = &e
		}
	}
	return check, false
}

// looked tells whether who made a check had chosen to see the figures before,
// and before any check of their own.
func (v *view) looked(check entry) bool {
	for e, f := range mine[fact.Fact](v) {
		if e.by != check.by || e.place >= check.place {
			continue
		}
		switch f.(type) {
		case *fact.SeeFigures:
			return true
		case *fact.SecondCheck:
			if !e.fixed {
				return false
			}
		}
	}
	return false
}

// findRelease gives the release in force: one by a label that was then in
// force on the container itself, after a second check that held, with no work
// on the dose since.
func (v *view) findRelease() *entry {
	var out *entry
	for e, x := range mine[*fact.Release](v) {
		check, _ := v.agreed(e.place)
		label := v.printed(e.place, x.Serial)
		if check == nil || label == nil || label.Void != "" || !v.onContainer(*label) {
			continue
		}
		out = e
	}
	if out == nil {
		return nil
	}
	if slices.ContainsFunc(v.events, func(e event) bool { return !e.source && e.place > out.place }) {
		return nil
	}
	return out
}

// onContainer tells whether a label stands on the container with the dose, and
// not on what is around it.
func (v *view) onContainer(l Printed) bool {
	switch v.kind {
	case ledger.Syringe:
		return l.Size == fact.SyringeLabel || l.Into != ""
	case ledger.AdministrationVial:
		return l.Size == fact.VialLabel
	}
	return false
}
