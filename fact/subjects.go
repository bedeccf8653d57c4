package fact

import (
	"reflect"
	"time"
)

// MeterOf is the meter that a fact rests on, empty for none, and when it read.
func MeterOf(f Fact) (id string, at time.Time) {
	if c, ok := f.(*Correct); ok {
		f = c.With
	}
	switch x := f.(type) {
	case *Read:
		return x.Meter, x.At
	case *SecondCheck:
		return x.Meter, x.At
	case *SettlingTest:
		return x.Meter, x.At
	case *Check:
		return x.Of, x.At
	}
	return "", time.Time{}
}

// Moves gives the two containers that a fact joins in one set by moving
// activity from one to the other; empty for a fact that joins none.
func Moves(f Fact) (from, into string) {
	switch x := f.(type) {
	case *Draw:
		return x.From, x.Into
	case *Return:
		return x.From, x.Into
	case *Transfer:
		return x.From, x.Into
	}
	return "", ""
}

// About is the kind of a subject.
type About string

// The kinds of subjects that entries speak of. What names none speaks of the
// site.
const (
	AboutOrder     About = "order"
	AboutContainer About = "container"
	AboutMeter     About = "meter"
	AboutPerson    About = "person"
	// Parcels, waste bins and places of the site are told by entries of the site.
	AboutParcel About = "parcel"
	AboutBin    About = "bin"
	AboutPlace  About = "place"
	// AboutSource is a check source.
	AboutSource About = "source"

	// aboutNothing is what a word of the shape of an id speaks of.
	aboutNothing About = ""
)

// Grouped tells of the kinds of subject that entries bring together, so that they
// are reckoned together: orders and containers.
func (a About) Grouped() bool { return a == AboutOrder || a == AboutContainer }

// Subject is something that outlives a day and has a history of its own.
type Subject struct {
	Kind About
	ID   string
}

// Subjects are what a fact speaks of, in the order of its fields. Those of a
// correction are the ones of what it puts in; the entry that it corrects has
// its own.
func Subjects(f Fact) []Subject {
	switch x := f.(type) {
	case nil:
		return nil
	case *Correct:
		return Subjects(x.With)
	}
	var out []Subject
	v := reflect.ValueOf(f).Elem()
	for _, d := range declarationOf(v.Type()) {
		if d.of == aboutNothing {
			continue
		}
		if id := v.FieldByIndex(d.index).String(); id != "" {
			out = append(out, Subject{d.of, id})
		}
	}
	return out
}

// Opening is an id that a fact brings into the books of a site: what it is the
// id of, in words, the field of the fact that names it, and the letter that such an id
// has before its number where the bench proposes one.
type Opening struct {
	Subject
	As, Field, Letter string
}

// Opens gives the id that a fact brings into the books of a site, unless it is
// there already: of an order, a vial, a syringe, an administration vial, residual
// parts or a waste item. An id is used once, for ever. A correction brings what it
// puts in.
func Opens(f Fact) (o Opening, ok bool) {
	switch x := f.(type) {
	case *Correct:
		return Opens(x.With)
	case *Order:
		o = Opening{Subject{AboutOrder, x.ID}, "an order", "id", "P"}
	case *Receive:
		o = Opening{Subject{AboutContainer, x.Vial}, "a vial", "vial", "S"}
	case *Draw:
		o = Opening{Subject{AboutContainer, x.Into}, "a syringe", "into", "Y"}
	case *Transfer:
		o = Opening{Subject{AboutContainer, x.Into}, "an administration vial", "into", "A"}
	case *Discard:
		o = Opening{Subject{AboutContainer, x.Into}, "a waste item", "into", "W"}
	case *Read:
		if x.Holds != "" {
			o = Opening{Subject{AboutContainer, x.Of}, "residual parts", "of", "R"}
		}
	}
	return o, o.ID != ""
}

// Names are the ids of the orders and containers that a fact speaks of.
func Names(f Fact) (out []string) {
	for _, s := range Subjects(f) {
		if s.Kind.Grouped() {
			out = append(out, s.ID)
		}
	}
	return out
}

// Private tells of what only the person it is of is shown, and those who have to act on
// it: a declared pregnancy, and the dosemeter that is worn for an unborn child. A
// correction is private where what it puts in is; one that strikes out says nothing of
// what it strikes.
func Private(f Fact) bool {
	switch x := f.(type) {
	case *Pregnancy:
		return true
	case *DoseReport:
		return x.Worn == WornFetus
	case *Wears:
		return x.Worn == WornFetus
	case *Correct:
		return Private(x.With)
	}
	return false
}

// PersonOf is the person whom a fact speaks of first; empty for none.
func PersonOf(f Fact) string { return First(f, AboutPerson) }

// OrderOf is the order that a fact speaks of first; empty for none.
func OrderOf(f Fact) string { return First(f, AboutOrder) }

// First is the id of a kind that a fact speaks of first; empty for none.
func First(f Fact, kind About) string {
	for _, s := range Subjects(f) {
		if s.Kind == kind {
			return s.ID
		}
	}
	return ""
}
