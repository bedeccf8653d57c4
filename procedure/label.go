package procedure

import (
	"fmt"
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/people"
)

// labels gives the labels of the order that were printed before a place in the
// record, each with the reason it is void for.
func (v *view) labels(place int) []Printed {
	work := lastBefore(v.events, place)
	var out []Printed
	for e, x := range mine[*fact.Label](v) {
		if e.place >= place {
			continue
		}
		l := Printed{Serial: x.Serial, Of: x.Of, Into: x.Into, Size: x.Size, Copy: x.Copy, Figures: x.Printed}
		switch {
		case x.Of != v.container && (x.Into == "" || x.Into != v.container):
			l.Void = "the dose is not in " + x.Of
			if v.container != "" {
				l.Void = "it names " + strings.Join(slices.DeleteFunc([]string{x.Of, x.Into}, func(id string) bool { return id == "" }), " and ") + ", and the dose is in " + v.container
			}
			if of := v.c.Serves[x.Of]; of != "" && of != v.order.ID {
				l.Void = "the dose was given to order " + of
			}
		case e.place < work:
			l.Void = "it was printed before the last work on the dose, or before the order was changed"
		}
		for i := range out {
			o := &out[i]
			switch {
			case o.Void != "":
			case o.Of == l.Of && o.Size == l.Size:
				o.Void = fmt.Sprintf("it was replaced by copy %d, %s", l.Copy, l.Serial)
			case o.Figures != nil && l.Figures != nil && !o.Figures.Same(l.Figures):
				o.Void = fmt.Sprintf("%s was printed after it, with other figures", l.Serial)
			}
		}
		out = append(out, l)
	}
	return out
}

// printed gives a label that was printed before a place in the record, nil if
// there is none.
func (v *view) printed(place int, serial identity.Serial) *Printed {
	for _, l := range v.labels(place) {
		if l.Serial == serial {
			return &l
		}
	}
	return nil
}

// Scanned says whether the label that was scanned is one the step may go by.
// Release goes by the label on the container itself; every other step by any
// label in force. It refuses, in this order:
//
//	[CodeUnknownStep]  there is no such step
//	[CodeNoLabel]      nothing was scanned
//	[CodeOtherLabel]   it is no label of this order
//	[CodeVoidLabel]    it is not in force: replaced, of another container, or
//	                   printed before the dose or its order changed
//	[CodeLabelSize]    the step is release, and it is the label of a shield or
//	                   a box
func Scanned(prep Preparation, step Key, found identity.Serial) error {
	if find(step).key == "" {
		return unknown(step)
	}
	i := slices.IndexFunc(prep.Labels, func(l Printed) bool { return l.Serial == found })
	switch {
	case found.IsZero():
		return refuse(CodeNoLabel, "no label was scanned", "scan the label on the dose")
	case i < 0:
		return refuse(CodeOtherLabel, found.String()+" is no label of order "+prep.Order, "stop: look which dose this is")
	}
	l := prep.Labels[i]
	switch {
	case l.Void != "":
		return refuse(CodeVoidLabel, found.String()+" is not in force: "+l.Void, "destroy it, and scan the one in force")
	case step == Release && (l.Size == fact.ShieldLabel || l.Size == fact.BoxLabel):
		return refuse(CodeLabelSize, found.String()+" is the label of the "+string(l.Size), "scan the one on the container itself")
	}
	return nil
}

func unknown(step Key) *Error {
	return refuse(CodeUnknownStep, fmt.Sprintf("there is no step called %q", string(step)), "")
}

// deeds are what people's rules go by: the work, the second checks in force,
// and custody, in the order of the record.
func (v *view) deeds() []people.Deed {
	type placed struct {
		people.Deed
		place int
	}
	var out []placed
	for _, e := range v.events {
		for _, who := range e.by {
			out = append(out, placed{people.Deed{Act: e.act, By: who}, e.place})
		}
	}
	add := func(e *entry, a people.Act, by string) {
		out = append(out, placed{people.Deed{Act: a, By: by}, e.place})
	}
	for e, f := range mine[fact.Fact](v) {
		switch x := f.(type) {
		case *fact.SecondCheck:
			if !e.fixed && !v.watched(v.events, *e) {
				add(e, people.SecondCheck, e.by)
			}
		case *fact.SeeFigures:
			add(e, people.SeeFigures, e.by)
		case *fact.Release:
			add(e, people.Release, e.by)
		case *fact.HandOver: // who is named has it once they said so
			add(e, people.HandOver, e.by)
			if x.Countersigned != "" {
				add(e, people.TakeOver, x.Countersigned)
			}
		case *fact.TakeOver:
			add(e, people.TakeOver, e.by)
		}
	}
	slices.SortStableFunc(out, func(a, b placed) int { return a.place - b.place })
	deeds := make([]people.Deed, len(out))
	for i, p := range out {
		deeds[i] = p.Deed
	}
	return deeds
}

// MayReassign says whether a person may give the dose of one preparation to the
// order of another. It refuses, in this order:
//
//	what [people.May] refuses of reassign
//	[CodeClosed]     the record of either order is closed
//	[CodeCancelled]  the preparation that would get the dose was cancelled
//	[CodeGiven]      either dose was given
//	[CodeNotYet]     there is no dose to give, or it left the laboratory
//	[CodeAlready]    the other order has a dose
//	[CodeMismatch]   somebody checked the dose, and no second check holds: another
//	                 order would begin without what was found
//	[CodeUnsigned]   either order is not signed as it is
func MayReassign(p people.Person, from, to Preparation) error {
	if err := people.May(p, people.Reassign); err != nil {
		return err
	}
	for _, x := range []Preparation{from, to} {
		switch {
		case x.Closed:
			return refuse(CodeClosed, "the record of order "+x.Order+" is closed", "write a deviation")
		case x.Given:
			return refuse(CodeGiven, "the dose of order "+x.Order+" was given", "write a deviation")
		}
	}
	switch {
	case to.Cancelled != "":
		return refuse(CodeCancelled, "the preparation of order "+to.Order+" was cancelled: "+to.Cancelled, "strike that entry out to resume it")
	case from.Container == "" || from.Step(HandOver).State == Done:
		return refuse(CodeNotYet, "there is no dose of order "+from.Order+" in the laboratory", "look where the dose is")
	case to.Container != "":
		return refuse(CodeAlready, "order "+to.Order+" has a dose, in "+to.Container, "return that first")
	case from.contested:
		return refuse(CodeMismatch, "no second check confirms the dose of order "+from.Order+", which somebody has checked", ThirdAct)
	}
	for _, x := range []Preparation{from, to} {
		if x.Signature.By == "" {
			return refuse(CodeUnsigned, "order "+x.Order+" is not signed in its present version", "the authorised physician signs both orders first")
		}
	}
	return nil
}
