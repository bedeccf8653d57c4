package state

import (
	"crypto/sha256"
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/journal"
)

// identify notes which record names a patient by an identifier: in all years orders
// of one patient are looked for. Of the identifier a digest is held, and no letter case.
func (b *Books) identify(identifier string, n int) {
	if identifier != "" {
		b.patients.Add(digest(identifier), n)
	}
}

func digest(identifier string) string {
	sum := sha256.Sum256([]byte(strings.ToLower(identifier)))
	return string(sum[:8])
}

// OrdersOf are the orders of a patient, by one of the identifiers that an order or a correction
// of it names, in whatever letters, in the order in which they were entered.
func (b *Books) OrdersOf(identifier string) (orders []string) {
	for _, r := range b.get(rising(b.naming(identifier))) {
		f, _ := says(r.Record)
		o, ok := f.(*fact.Order)
		if ok && (strings.EqualFold(o.Patient, identifier) || strings.EqualFold(o.SecondID, identifier)) && !slices.Contains(orders, o.ID) {
			orders = append(orders, o.ID)
		}
	}
	return orders
}

// naming are the numbers of the records that name a patient by an identifier.
func (b *Books) naming(identifier string) []int {
	return slices.DeleteFunc(b.patients.Get(digest(identifier)), func(n int) bool { return !b.in(n) })
}

// Elsewhere are the orders that other groups have of the patients of some records, which are those
// of groups, with what cancelled or corrected them: what is held of a patient together, such as
// the dose of the lungs, rests on them. Nothing of a drill is beside what is not of it. Of what was
// put away the orders alone are read, since what cancels or corrects is never put away.
func (b *Books) Elsewhere(groups []Group, records []journal.Record) (out []journal.Record) {
	others, named := b.elsewhere(groups, records)
	if len(others) == 0 {
		return nil
	}
	numbers := slices.DeleteFunc(numbersOf(others), func(n int) bool {
		return !named[n] && (b.records[n] == nil || !OfPatient(b.records[n].Fact))
	})
	all, wanted, ids := plain(b.get(numbers)), map[int]bool{}, map[string]bool{}
	for _, r := range all {
		f, entry := says(r)
		if o, ok := f.(*fact.Order); ok && named[r.N] {
			wanted[entry], ids[o.ID] = true, true
		}
	}
	for _, r := range all {
		f, entry := says(r)
		if c, ok := f.(*fact.Cancel); ok && ids[c.For] {
			wanted[entry] = true
		}
	}
	for _, r := range all {
		if _, entry := says(r); wanted[entry] && (entry == r.N || OfPatient(r.Fact)) {
			out = append(out, r)
		}
	}
	return out
}

// OfPatient tells whether groups that a fact does not name may rest on it, since it enters an order
// of a patient, cancels an order, or strikes out or corrects what may be one of those.
func OfPatient(f fact.Fact) bool {
	c, corrects := f.(*fact.Correct)
	if corrects {
		f = c.With
	}
	switch x := f.(type) {
	case nil, *fact.Cancel:
		return true
	case *fact.Order:
		return corrects || x.Patient != ""
	}
	return false
}

// SamePatient are the other groups whose figures rest on an order that a record enters, corrects or
// cancels, since they have orders of its patient.
func (b *Books) SamePatient(n int) []Group {
	if r, _ := b.Record(n); !OfPatient(r.Fact) {
		return nil
	}
	own := b.Home(n)
	others, _ := b.elsewhere(own, plain(b.get(numbersOf(own))))
	return others
}

// elsewhere are the other groups that have orders of the patients of some records, and the
// records that name those patients, or are corrected by one that does.
func (b *Books) elsewhere(groups []Group, records []journal.Record) (others []Group, named map[int]bool) {
	named, asked := map[int]bool{}, map[string]bool{}
	var own map[int]bool // most records name no patient, and every entry is decided on with this
	for _, r := range records {
		f, _ := says(r)
		o, ok := f.(*fact.Order)
		if !ok || o.Patient == "" || asked[o.Patient] {
			continue
		}
		asked[o.Patient] = true
		if own == nil {
			own = make(map[int]bool, len(records))
			for _, r := range records {
				own[r.N] = true
			}
		}
		for _, n := range b.naming(o.Patient) {
			if own[n] {
				continue
			}
			if b.records[n] != nil {
				_, entry := says(b.records[n].Record)
				named[entry] = true
			}
			named[n], others = true, append(others, b.Home(n)...)
		}
	}
	return slices.DeleteFunc(compact(others), func(g Group) bool {
		sameDrill := func(x Group) bool { return x.Drill() == g.Drill() }
		return slices.Contains(groups, g) || !slices.ContainsFunc(groups, sameDrill) && (len(groups) > 0 || g.Drill() != "")
	}), named
}

// says is what a record says of which entry: its own, or the one that it corrects; nil where it
// strikes that out.
func says(r journal.Record) (f fact.Fact, entry int) {
	if c, ok := r.Fact.(*fact.Correct); ok {
		return c.With, c.Entry
	}
	return r.Fact, r.N
}
