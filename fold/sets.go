package fold

import (
	"vialwright/fact"
)

// Sets joins ids that belong together: an id to another of its set, absent for the
// first of it.
type Sets map[string]string

// Of is the id that stands for the set of an id.
func (s Sets) Of(id string) string {
	for s[id] != "" {
		id = s[id]
	}
	return id
}

// Join makes the sets of two ids one; an empty id is of none.
func (s Sets) Join(a, b string) {
	if a == "" || b == "" {
		return
	}
	if a, b = s.Of(a), s.Of(b); a != b {
		s[b] = a
	}
}

// setsOf joins the containers that activity has moved between in all steps. A set is reckoned
// alone, with the priors of the meters' and geometries' common factors: what
// another set would say of them is given up, so that a vial's figures do not
// move because another vial was read. Patients and waste items are no members:
// many sets end in one bin.
func setsOf(steps []step) Sets {
	s := Sets{}
	waste := map[string]string{} // waste item to the set of what is in it; empty for several
	for i := range steps {
		if from, into := fact.Moves(steps[i].fact); into != "" {
			s.Join(from, into)
		}
	}
	s.joinParts(steps)
	for i := range steps {
		if x, ok := steps[i].fact.(*fact.Discard); ok {
			of := s.Of(x.From)
			if before, known := waste[x.Into]; known && before != of {
				of = ""
			}
			waste[x.Into] = of
		}
	}
	for item, of := range waste {
		s.Join(of, item)
	}
	return s
}

// joinParts joins the residual of a dose with the syringes of its order.
func (s Sets) joinParts(steps []step) {
	for i := range steps {
		x, ok := steps[i].fact.(*fact.Read)
		if !ok || x.For == "" {
			continue
		}
		for j := range steps {
			if d, ok := steps[j].fact.(*fact.Draw); ok && d.For == x.For {
				s.Join(d.Into, x.Of)
			}
		}
	}
}
