package fold

import (
	"vialwright/fact"
)

// sets joins the containers that activity has moved between. A set is reckoned
// alone, with the priors of the meters' and geometries' common factors: what
// another set would say of them is given up, so that a vial's figures do not
// move because another vial was read. Patients and waste items are no members:
// many sets end in one bin.
type sets map[string]string

// container to another of its set; absent or to itself for the first

// setsOf are the sets after all steps.
func setsOf(steps []step) sets {
	s := sets{}
	waste := map[string]string{} // waste item to the set of what is in it; empty for several
	for i := range steps {
		if from, into := fact.Moves(steps[i].fact); into != "" {
			s.join(from, into)
		}
	}
	s.joinParts(steps)
	for i := range steps {
		if x, ok := steps[i].fact.(*fact.Discard); ok {
			of := s.of(x.From)
			if before, known := waste[x.Into]; known && before != of {
				of = ""
			}
			waste[x.Into] = of
		}
	}
	for item, of := range waste {
		if of != "" {
			s[item] = of
		}
	}
	return s
}

// joinParts joins the residual of a dose with the syringes of its order.
func (s sets) joinParts(steps []step) {
	for i := range steps {
		x, ok := steps[i].fact.(*fact.Read)
		if !ok || x.For == "" {
			continue
		}
		for j := range steps {
			if d, ok := steps[j].fact.(*fact.Draw); ok && d.For == x.For {
				s.join(d.Into, x.Of)
			}
		}
	}
}

// of is the container that stands for the set of a container.
func (s sets) of(id string) string {
	for {
		next, ok := s[id]
		if !ok || next == id {
			return id
		}
		id = next
	}
}

func (s sets) join(a, b string) {
	if a, b = s.of(a), s.of(b); a != b {
		s[b] = a
	}
}
