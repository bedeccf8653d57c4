package journal

// About is the kind of a subject.
type About string

// The kinds of subjects that entries speak of. What names none speaks of the
// site.
const (
	AboutOrder     About = "order"
	AboutContainer About = "container"
	AboutMeter     About = "meter"

	// aboutNothing is what a word of the shape of an id speaks of.
	aboutNothing About = ""
)

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
	for _, x := range f.fields(nil) {
		if v, ok := x.v.(id); ok && v.of != aboutNothing && v.given() {
			out = append(out, Subject{v.of, *v.p})
		}
	}
	return out
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
