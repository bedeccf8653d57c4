package state

import (
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/journal"
)

// putToDay puts a record of no group to the day on which it was made, a correction
// to that of what it corrects: no file has the one without the other.
func (b *Books) putToDay(n int) {
	day, of := b.corrected(n).Recorded.Unix()/86400, b.days
	if b.told(n) {
		of = b.beside
	}
	of[day] = append(of[day], n)
}

// corrected is what a record of no group corrects, or else the record itself.
func (b *Books) corrected(n int) *held {
	if c, ok := b.records[n].Fact.(*fact.Correct); ok && b.in(c.Entry) && b.records[c.Entry] != nil {
		return b.records[c.Entry]
	}
	return b.records[n]
}

// told tells of a record of no group that it is a remark which stands beside the
// work, or a correction of one.
func (b *Books) told(n int) bool {
	c, corrects := b.records[n].Fact.(*fact.Correct)
	return fact.Beside(b.corrected(n).Fact) && (!corrects || c.With == nil || fact.Beside(c.With))
}

// OfSite counts the records on which other groups may rest: those of no group, such as settings, and
// orders of a patient ([OfPatient]).
// A group whose newest record and this count are the same has the same file.
func (b *Books) OfSite() int { return b.ofSite }

// Grouped tells of a fact that its record will come to a group, also behind others of which that
// is told: it does not add to OfSite. Of some it cannot be told, such as a
// correction, or waste, which makes an id one of no group.
func (b *Books) Grouped(f fact.Fact) bool {
	switch f.(type) {
	case *fact.Correct, *fact.Destroyed, *fact.Discard, *fact.Experience, *fact.Paper, *fact.Supervised:
		return false
	}
	return !OfPatient(f) && slices.ContainsFunc(fact.Names(f), func(id string) bool { return b.bins[id] == nil }) &&
		!fact.Is(f, fact.Setting|fact.Practice|fact.Account|fact.SiteBook)
}

// Beside are the remarks of the site, of no order and no container, that were made on
// the days around the work of groups. Nothing of the groups rests on them.
func (b *Books) Beside(groups []Group) []journal.Record {
	var numbers []int
	for _, day := range daysOf(b.get(numbersOf(groups))) {
		numbers = append(numbers, b.beside[day]...)
	}
	return plain(b.get(rising(numbers)))
}

// Alone are a record of no group and the corrections of it; of a record of groups
// nothing, since those have it.
func (b *Books) Alone(n int) []journal.Record {
	if !b.in(n) || len(b.home(n)) > 0 {
		return nil
	}
	return plain(b.get(append([]int{n}, b.alone[n]...)))
}

// OfDay are the records of the site, of no order and no container, that were made
// on the days around a moment.
func (b *Books) OfDay(at time.Time) []journal.Record {
	var numbers []int
	var d days
	d.around(at)
	for _, day := range d {
		numbers = append(numbers, b.days[day]...)
	}
	return plain(b.get(rising(numbers)))
}

// daysOf are the days of work that records name, and those before and after each:
// when one was recorded, when it happened, and when a dose is to be given.
func daysOf(all []*held) []int64 {
	var d days
	for _, r := range all {
		d.around(r.Recorded)
		if r.force == nil {
			continue
		}
		d.around(fact.At(r.force))
		if o, ok := r.force.(*fact.Order); ok {
			d.around(o.At)
		}
	}
	return rising(d)
}

// days are numbers of days, some of them more than once.
type days []int64

// around adds the day of a moment, and those before and after it.
func (d *days) around(at time.Time) {
	day := at.Unix() / 86400
	if n := len(*d); !at.IsZero() && (n == 0 || (*d)[n-2] != day) { // most are of the day of the one before
		*d = append(*d, day-1, day, day+1)
	}
}
