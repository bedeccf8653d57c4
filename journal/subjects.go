package journal

// About is the kind of a subject.
type About string

// The kinds of subjects that entries speak of. What names none speaks of the
// site.
const (
	AboutOrder     About = "order"
	AboutContainer About = "container"
	AboutMeter     About = "meter"
)

// Subject is something that outlives a day and has a history of its own.
type Subject struct {
	Kind About
	ID   string
}

// subjectFields says which kind of subject a field of the shape of an id names;
// one that is not in the table names a container.
var subjectFields = map[string]About{"for": AboutOrder, "order": AboutOrder, "meter": AboutMeter}

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
	for _, x := range f.fields(nil) {
		v, ok := x.v.(id)
		if !ok || !v.given() {
			continue
		}
		out = append(out, Subject{kindOfField(f, x.name), *v.p})
	}
	return out
}

// kindOfField is what a field of the shape of an id names.
func kindOfField(f Fact, name string) About {
	switch f.(type) {
	case *Order:
		return AboutOrder
	case *Meter, *Check: // a check of a meter, or of the survey meter
		return AboutMeter
	case *Reassign: // from one order to another
		if name != "container" {
			return AboutOrder
		}
	}
	if kind, known := subjectFields[name]; known {
		return kind
	}
	return AboutContainer
}

// Opens gives the ids that a fact may bring into the books of a site: of an
// order, a vial, a syringe, an administration vial or a waste item. An id is
// used once, for ever.
func Opens(f Fact) (s Subject, ok bool) {
	if x, order := f.(*Order); order {
		return Subject{AboutOrder, x.ID}, true
	}
	if id := opens(f); id != "" {
		return Subject{AboutContainer, id}, true
	}
	return Subject{}, false
}
