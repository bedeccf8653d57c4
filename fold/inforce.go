package fold

import (
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/journal"
)

// Entry is one entry of a case as its last correction has it.
type Entry struct {
	// Number counts the entries of the case from 1 and is kept for ever; Place
	// is the index among the facts of the case, headers included.
	Number, Place int
	// Recorded is when it was entered; zero in a case file.
	Recorded time.Time
	// Fact is what holds now; nil where the entry was struck out. First is the
	// fact as it was recorded first.
	Fact, First fact.Fact
	// Written is the number of the correction that put Fact in force, or struck
	// it out; without a correction it is Number.
	Written int
	// Was is what the entry took out of force, if it is a correction: nil where
	// that was struck out already.
	Was fact.Fact
}

// Corrected tells that a correction changed the entry or struck it out.
func (e Entry) Corrected() bool { return e.Written != e.Number }

// Entries gives every entry of a case as the last correction has it, in the
// order of the record. A correction is an entry of its own. One that cannot be
// applied, which Fold refuses, changes nothing.
func Entries(records []journal.Record) []Entry {
	list, _ := entriesOf(journal.Numbered(records))
	return list
}

// entriesOf applies the corrections. It gives the first refusal of one: of an
// entry that does not stand above it, of a correction, or by another kind.
func entriesOf(records []journal.Record) ([]Entry, *fact.Refusal) {
	list := make([]Entry, 0, len(records)) // by rising number
	var first *fact.Refusal
	for place, r := range records {
		if _, gone := r.Fact.(*fact.Destroyed); gone || fact.IsSetting(r.Fact) {
			continue
		}
		list = append(list, Entry{Number: r.N, Written: r.N, Place: place, Recorded: r.Recorded, Fact: r.Fact, First: r.Fact})
		if c, ok := r.Fact.(*fact.Correct); ok {
			if err := apply(list, c); err != nil && first == nil {
				first = err
			}
		}
	}
	return list, first
}

// inForce are the steps of a case: its entries without corrections, without those
// that were struck out, and without what is of the site's own books or stands beside
// the work.
func inForce(records []journal.Record) ([]step, *fact.Refusal) {
	list, err := entriesOf(records)
	if err != nil {
		return nil, err
	}
	out := make([]step, 0, len(list))
	for _, e := range list {
		if _, correction := e.First.(*fact.Correct); e.Fact == nil || correction {
			continue
		}
		s := step{entry: e.Number, written: e.Written, place: e.Place, recorded: e.Recorded, fact: e.Fact, names: fact.Names(e.Fact)}
		switch {
		case fact.Is(e.Fact, fact.SiteBook):
			if err := ofInstrument(&s); err != nil {
				return nil, err
			}
		case s.names != nil || !fact.Is(e.Fact, fact.Told):
			out = append(out, s)
		}
	}
	return out, nil
}

// Find finds an entry by its number among entries of rising numbers.
func Find(list []Entry, number int) (*Entry, bool) {
	i, ok := slices.BinarySearchFunc(list, number, func(e Entry, n int) int { return e.Number - n })
	if !ok {
		return nil, false
	}
	return &list[i], true
}

// apply puts the last entry of the list, a correction, in force.
func apply(list []Entry, c *fact.Correct) *fact.Refusal {
	own := &list[len(list)-1]
	as := &step{entry: own.Number, written: own.Number, fact: c}
	old, known := Find(list[:len(list)-1], c.Entry)
	if !known {
		return as.refuse("entry", "unknown-entry", "count the entries from 1; a correction stands below what it corrects",
			"there is no entry %d above this one", c.Entry)
	}
	kind := fact.Word(old.First)
	switch {
	case kind == "correct":
		return as.refuse("entry", "correction-of-correction", "correct the first entry once more: its last correction holds",
			"entry %d is itself a correction", c.Entry)
	case c.With != nil && fact.Word(c.With) != kind:
		return as.refuse("with", "other-kind", "strike the entry out with a correction without with, and add the other one",
			"entry %d is of the kind %s and cannot become one of the kind %s", c.Entry, kind, fact.Word(c.With))
	}
	own.Was = old.Fact
	old.Fact, old.Written = c.With, own.Number
	return nil
}
