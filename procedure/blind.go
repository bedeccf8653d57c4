package procedure

import (
	"slices"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/people"
)

// Withheld is what a person who may still do second checks is not shown. The dose of an
// order follows from what is left in its vial, and that from whatever is measured of
// its set, so that of a set with a dose to be checked nothing is shown that was
// recorded after the reading before that dose was drawn: neither of the dose nor of
// any other order, vial or container of the set.
type Withheld struct {
	sets fold.Sets // of orders and containers
	// checks are the orders to be checked, in the order of the preparations, and first
	// the number of the first draw for each order.
	checks []string
	first  map[string]int
}

// Withhold gives what a person is not shown. records are those of the preparations.
// What was corrected counts both as it was and as it is, so that a set may be larger
// than what activity joins, never smaller.
func Withhold(by people.Person, preps []Preparation, records []journal.Record) Withheld {
	w := Withheld{sets: fold.Sets{}, first: map[string]int{}}
	for _, p := range preps {
		if p.Blind(by) {
			w.checks = append(w.checks, p.Order)
		}
	}
	if len(w.checks) == 0 {
		return w
	}
	for _, r := range records {
		f := r.Fact
		if c, ok := f.(*fact.Correct); ok {
			f = c.With
		}
		w.take(r.N, f)
	}
	return w
}

// take joins what a fact moves activity between.
func (w *Withheld) take(n int, f fact.Fact) {
	switch x := f.(type) {
	case *fact.Draw:
		w.sets.Join(x.From, x.Into)
		w.sets.Join(x.Into, x.For)
		if w.first[x.For] == 0 {
			w.first[x.For] = n
		}
	case *fact.Return:
		w.sets.Join(x.From, x.Into)
	case *fact.Transfer:
		w.sets.Join(x.From, x.Into)
		w.sets.Join(x.Into, x.For)
	case *fact.Reassign:
		w.sets.Join(x.Container, x.To)
		w.sets.Join(x.Container, x.From)
	case *fact.Read:
		if x.For != "" {
			w.sets.Join(x.Of, x.For)
		}
	}
}

// Any tells that something is withheld.
func (w *Withheld) Any() bool { return len(w.checks) > 0 }

// By gives the orders to be checked whose dose would follow from figures of an order or
// a container; none where they may be shown.
func (w *Withheld) By(id string) []string {
	return slices.DeleteFunc(slices.Clone(w.checks), func(check string) bool { return w.sets.Of(check) != w.sets.Of(id) })
}

// BeforeDraw gives the orders to be checked whose dose would follow from the reading
// before the draw for an order, which who checks that is given: those that were drawn
// before it from the same set.
func (w *Withheld) BeforeDraw(order string) []string {
	return slices.DeleteFunc(w.By(order), func(check string) bool { return check == order || w.first[check] > w.first[order] })
}

// ShowsChecks tells whether a person is shown the figures of the second checks of an
// order: once they confirm the record everybody, until then who may decide between
// the two. Who made a check knows its figures anyway.
func (p Preparation) ShowsChecks(who people.Person) bool {
	return p.Step(SecondCheck).State == Done || people.MayStrikeCheck(who, "?", p.Deeds) == nil && !p.Blind(who)
}
