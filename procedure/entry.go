package procedure

import (
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/people"
)

// entry is an entry of the case as it is in force, with who recorded it.
type entry struct {
	// n is its number among the entries, place its place among the records.
	n, place int
	fact     fact.Fact // nil where it was struck out
	order    string    // that it speaks of first; empty for none
	first    fact.Fact // as it was recorded
	by       string
	recorded time.Time
	// fixed tells that it was corrected.
	fixed bool
	// wrote is who wrote the sheet of paper it was made from; empty where it
	// was made from none.
	wrote string
	// beside is who supervised it; empty for nobody. They had a hand in it.
	beside string
}

// change is a correction: what it took away and whose that was, and what it
// put in.
type change struct {
	entry
	was, with fact.Fact
	whose     []string
}

// inForce gives the entries as the last corrections have them, and the
// corrections in their order.
func inForce(records []journal.Record) (list []entry, changes []change) {
	all := fold.Entries(records)
	of := func(e fold.Entry, f fact.Fact) entry {
		r := records[e.Place]
		return entry{n: e.Number, place: e.Place, fact: f, order: fact.OrderOf(f), first: e.First, by: r.By, recorded: r.Recorded, fixed: e.Corrected()}
	}
	at := map[int]int{} // number to index
	for i, e := range all {
		at[e.Number] = i
		list = append(list, of(e, e.Fact))
	}
	marked(list)
	for i, e := range all {
		c, ok := e.First.(*fact.Correct)
		if !ok {
			continue
		}
		k, known := at[c.Entry]
		if !known || k >= i {
			continue // the fold refuses it
		}
		old := of(all[k], e.Was)
		old.wrote, old.beside = list[k].wrote, list[k].beside
		changes = append(changes, change{list[i], e.Was, c.With, old.hands()})
	}
	return list, changes
}

// when is the time that an entry speaks of, else the one it was recorded at.
func (e entry) when() time.Time {
	if e.fact != nil {
		if t := fact.At(e.fact); !t.IsZero() {
			return t
		}
	}
	return e.recorded
}

// doer is who did it: the person named in the fact, else who wrote the sheet
// it was made from, else who recorded it.
func (e entry) doer() string {
	named := ""
	switch x := e.fact.(type) {
	case *fact.Read:
		named = x.By
	case *fact.Draw:
		named = x.By
	}
	switch {
	case named != "":
		return named
	case e.wrote != "":
		return e.wrote
	}
	return e.by
}

// after orders entries by their times, those of one time by their numbers.
// Minutes are compared with minutes.
func (e entry) after(o entry) bool {
	a, b := e.when(), o.when()
	return fold.Later(a, b) || !fold.Later(b, a) && e.n > o.n
}

// event is a deed of work or a check on a dose, at its place in the record.
type event struct {
	place int
	act   people.Act
	// by are those who had a hand in it: who recorded, who wrote, who supervised, and
	// who is named.
	by []string
	// source: it was done on the vial the dose came from, not on the dose.
	source bool
}

// hands are those who had a hand in an entry, each once.
func (e entry) hands() []string {
	out := []string{e.by}
	for _, id := range []string{e.wrote, e.beside, e.doer()} {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}
