package procedure

import (
	"slices"
	"time"

	"vialwright/journal"
	"vialwright/people"
)

// entry is an entry of the case as it is in force.
type entry struct {
	// n is its number among the entries, place its place among the records.
	n, place int
	fact     journal.Fact // nil where it was struck out
	by       string
	recorded time.Time
	// fixed tells that it was corrected.
	fixed bool
	// wrote is who wrote the sheet of paper it was made from; empty where it
	// was made from none.
	wrote string
}

// change is a correction: what it took away and whose that was, and what it
// put in.
type change struct {
	entry
	was, with journal.Fact
	whose     []string
}

// inForce gives the entries as the last corrections have them, numbered as the
// fold numbers them, and the corrections in their order.
func inForce(records []journal.Record) (list []entry, changes []change) {
	for place, r := range records {
		switch x := r.Fact.(type) {
		case *journal.Case, *journal.Policy, *journal.Meter:
			continue
		case *journal.Correct:
			list = append(list, entry{n: len(list) + 1, place: place, by: r.By, recorded: r.Recorded})
			own := list[len(list)-1]
			if x.Entry < 1 || x.Entry >= own.n {
				continue // the fold refuses it
			}
			old := &list[x.Entry-1]
			changes = append(changes, change{own, old.fact, x.With, old.hands()})
			old.fact, old.fixed = x.With, true
		default:
			list = append(list, entry{n: len(list) + 1, place: place, fact: r.Fact, by: r.By, recorded: r.Recorded})
		}
	}
	fromPaper(list)
	return list, changes
}

// when is the time that an entry speaks of, else the one it was recorded at.
func (e entry) when() time.Time {
	var t time.Time
	switch x := e.fact.(type) {
	case *journal.Receive:
		t = x.At
	case *journal.Read:
		t = x.At
	case *journal.Draw:
		t = x.At
	case *journal.Return:
		t = x.At
	case *journal.Makeup:
		t = x.At
	case *journal.Transfer:
		t = x.At
	case *journal.Discard:
		t = x.At
	case *journal.Infuse:
		t = x.Start
	case *journal.Check:
		t = x.At
	case *journal.Survey:
		t = x.At
	case *journal.Verification:
		t = x.At
	case *journal.Label:
		t = x.At
	case *journal.Override:
		t = x.At
	case *journal.Release:
		t = x.At
	case *journal.Handover:
		t = x.At
	case *journal.Timeout:
		t = x.At
	case *journal.SeeFigures:
		t = x.At
	case *journal.OrderSign:
		t = x.At
	case *journal.Takeover:
		t = x.At
	case *journal.Exposure:
		t = x.At
	case *journal.Abandon:
		t = x.At
	case *journal.Deviation:
		t = x.At
	case *journal.Close:
		t = x.At
	}
	if t.IsZero() {
		return e.recorded
	}
	return t
}

// doer is who did it: the person named in the fact, else who wrote the sheet
// it was made from, else who recorded it.
func (e entry) doer() string {
	named := ""
	switch x := e.fact.(type) {
	case *journal.Read:
		named = x.By
	case *journal.Draw:
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
func (e entry) after(o entry) bool {
	if a, b := e.when(), o.when(); !a.Equal(b) {
		return a.After(b)
	}
	return e.n > o.n
}

// event is a deed of work or a check on a dose, at its place in the record.
type event struct {
	place int
	act   people.Act
	// by are those who had a hand in it: who recorded, who wrote, and who is
	// named.
	by []string
	at time.Time
	// source: it was done on the vial the dose came from, not on the dose.
	source bool
}

// hands are those who had a hand in an entry, each once.
func (e entry) hands() []string {
	out := []string{e.by}
	for _, id := range []string{e.wrote, e.doer()} {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}
