package state

import (
	"slices"
	"sort"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack"
)

// held is a record in memory.
type held struct {
	journal.Record
	// force is what holds of the entry now; of one that was struck out, what it
	// was.
	force fact.Fact
}

// Reader reads records that were put away from the journal, in the order of
// their numbers, which rise. What cannot be read any more, or is not what was
// verified, is a fault of the store that no page can go on from: it panics.
type Reader func(numbers []int) []journal.Record

// Over gives empty books whose old records can be put away, and are read again. What is
// held of all years lies in a room; nil for none.
func Over(read Reader, room pack.Room) *Books {
	b := New()
	b.read = read
	b.texts.In(room)
	b.patients.In(room)
	b.owners.Room, b.names.Room, b.rows.Room, b.members.Room = room, room, room, room
	return b
}

// PutAway lets go of the records of groups that nothing touched since a time, so
// that memory grows with what is at work and not with the years. They are read
// again when somebody asks. What names records of others, such as corrections,
// stays, and so does what is looked for in all years.
func (b *Books) PutAway(before time.Time) {
	if b.read == nil {
		return
	}
	n := 0
	for ; n < len(b.recent); n++ {
		t := b.recent[n]
		if r := b.records[t.by]; r != nil && !r.Recorded.Before(before) {
			break
		}
		if t.group.Newest() == t.by && !t.group.Joined() {
			b.putAway(t.group)
		}
	}
	b.recent = b.recent[n:]
}

// touch is a group with the number of a record that touched it.
type touch struct {
	by    int
	group Group
}

func (b *Books) putAway(g Group) {
	b.owners.Extend(g.Newest())
	for _, n := range numbersOf([]Group{g}) {
		r := b.records[n]
		if r == nil || stays(r.Fact) {
			continue
		}
		if home := b.home(n); len(home) != 1 || home[0] != g {
			continue
		}
		if r.force != r.Fact {
			b.changed[n] = r.force
		}
		*b.owners.At(n - 1) = g.place
		delete(b.records, n)
	}
}

// stays tells of a fact that is never put away: what is looked for in all years,
// what was destroyed, which says no more of which group it is, what cancels an order, on which those of
// its patient elsewhere rest, and the few infusions that a delivery set may have ended, whose lots other
// orders are warned of.
func stays(f fact.Fact) bool {
	switch x := f.(type) {
	case *fact.Destroyed, *fact.Cancel:
		return true
	case *fact.Infuse:
		return x.Reason.OfSet()
	}
	return fact.Is(f, fact.Kept)
}

// get gives records by their numbers, which rise.
func (b *Books) get(numbers []int) []*held {
	out := make([]*held, len(numbers))
	var away, places []int
	for i, n := range numbers {
		if out[i] = b.records[n]; out[i] != nil {
			continue
		}
		away, places = append(away, n), append(places, i)
	}
	if len(away) == 0 {
		return out
	}
	for i, r := range b.read(away) {
		force := r.Fact
		if f, changed := b.changed[r.N]; changed {
			force = f
		}
		out[places[i]] = &held{r, force}
	}
	return out
}

// force is what holds of an entry that is in memory; of one that was put away
// what its corrections say, or nil.
func (b *Books) force(n int) fact.Fact {
	if r := b.records[n]; r != nil {
		return r.force
	}
	return b.changed[n]
}

// correctTo has an entry hold something else.
func (b *Books) correctTo(n int, f fact.Fact) {
	if r := b.records[n]; r != nil {
		r.force = f
		return
	}
	b.changed[n] = f
}

// owner is the group of a record that was put away.
func (b *Books) owner(n int) Group {
	return b.standing(*b.owners.At(n - 1))
}

// keep notes a record that is looked for in all years.
func (b *Books) keep(r journal.Record) {
	kinds := []string{fact.Word(r.Fact)}
	if c, ok := r.Fact.(*fact.Correct); ok {
		if c.With != nil {
			kinds = append(kinds, fact.Word(c.With))
		}
		// What is in a group and may be put away is not kept, so that nobody looks for it.
		if b.in(c.Entry) && b.records[c.Entry] != nil && (stays(b.records[c.Entry].Fact) || len(b.home(c.Entry)) == 0) {
			kinds = append(kinds, fact.Word(b.records[c.Entry].Fact))
		}
	}
	slices.Sort(kinds)
	for _, k := range slices.Compact(kinds) {
		b.kept[k] = append(b.kept[k], r.N)
	}
}

// Kept gives the records of kinds that are never put away, such as exposures,
// with their corrections; marks of entries of groups are not among them. is is asked
// for kinds alone, with a blank fact of each.
func (b *Books) Kept(is func(fact.Fact) bool) []journal.Record {
	var numbers []int
	for kind, all := range b.kept {
		if f := fact.Blank(kind); f != nil && is(f) {
			numbers = append(numbers, all...)
		}
	}
	return plain(b.get(rising(numbers)))
}

// Last gives the newest records, at most so many, in their order.
func (b *Books) Last(most int) []journal.Record {
	numbers := make([]int, min(most, b.length))
	for i := range numbers {
		numbers[i] = b.length - len(numbers) + i + 1
	}
	return plain(b.get(numbers))
}

// RecordedIn gives what was recorded from one time to another, at most so many records, in
// their order.
func (b *Books) RecordedIn(from, to time.Time, most int) []journal.Record {
	after := func(t time.Time) int {
		return sort.Search(b.length, func(i int) bool { return !b.get([]int{i + 1})[0].Recorded.Before(t) })
	}
	first := after(from)
	numbers := make([]int, max(0, min(most, after(to)-first)))
	for i := range numbers {
		numbers[i] = first + i + 1
	}
	return plain(b.get(numbers))
}

func plain(all []*held) []journal.Record {
	out := make([]journal.Record, len(all))
	for i, r := range all {
		out[i] = r.Record
	}
	return out
}

// in tells whether the books have a number.
func (b *Books) in(n int) bool { return 1 <= n && n <= b.length }

// rising are numbers in their order, each once.
func rising[N int | int32 | int64](numbers []N) []N {
	slices.Sort(numbers)
	return slices.Compact(numbers)
}
