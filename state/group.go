package state

import (
	"slices"
	"strings"
	"time"

	"vialwright/fact"
)

// Group is an order or a vial with everything that entries have brought
// together with it. Two are the same where they are equal. The zero value is none.
type Group struct {
	books *Books
	// place is where it stands among all groups that ever were.
	place int32
}

// row is what is held of a group. Those of all years are held, so that it is small.
type row struct {
	// touched is when the last record that touched it was recorded, in milliseconds.
	touched int64
	// first and last are the places of its numbers among members, from 1; 0 for none.
	// newest is the highest of them, count how many there are.
	first, last, newest, count int32
	// id is the first of its ids, by its place among the names, from 1.
	id int32
	// into is the place of the group that it has become part of, from 1; 0 for one that
	// stands.
	into int32
}

// member is the number of a record of a group, and the place of the next one, from 1.
type member struct{ n, next int32 }

func (g Group) row() *row { return g.books.rows.At(int(g.place)) }

// numbers gives those of its records, in no order.
func (g Group) numbers(yield func(int32) bool) {
	for at := g.row().first; at > 0; {
		m := *g.books.members.At(int(at - 1)) // who is given it may append
		if !yield(m.n) {
			return
		}
		at = m.next
	}
}

// names gives the places of its ids, in no order.
func (g Group) names(yield func(int) bool) {
	for at := g.row().id; at > 0; at = g.books.names.At(int(at - 1)).next {
		if !yield(int(at - 1)) {
			return
		}
	}
}

// IDs are those of its orders and containers, sorted.
func (g Group) IDs() []string {
	var out []string
	for k := range g.names {
		out = append(out, g.books.texts.At(k))
	}
	slices.Sort(out)
	return out
}

var drill = fact.Word(&fact.Drill{})

// Drill is the prefix of the drill that the group is of, which its ids and all its orders
// begin with; empty for one of the laboratory.
func (g Group) Drill() string {
	if len(g.books.kept[drill]) == 0 {
		return "" // asked of every group that is open, in laboratories that have none
	}
	for _, r := range g.books.Kept(func(f fact.Fact) bool { return fact.Word(f) == drill }) {
		d, begun := r.Fact.(*fact.Drill)
		of := false
		for k := range g.names {
			has := begun && strings.HasPrefix(g.books.texts.At(k), d.Prefix)
			if !has && g.books.names.At(k).order > 0 {
				of = false
				break
			}
			of = of || has
		}
		if of {
			return d.Prefix
		}
	}
	return ""
}

// Newest is the number of the last record that touched the group; 0 for one that has become
// part of another.
func (g Group) Newest() int { return int(g.row().newest) }

// Touched is when the last record that touched the group was recorded, to the millisecond.
func (g Group) Touched() time.Time { return time.UnixMilli(g.row().touched) }

// Compare orders groups by when they began.
func (g Group) Compare(h Group) int { return int(g.place - h.place) }

// Joined is true of a group that has become part of another, and is no more.
func (g Group) Joined() bool { return g.row().into > 0 }

// add puts the number of a record to the group.
func (g Group) add(n int) {
	g.books.members.Append(member{n: int32(n)})
	at, r := int32(g.books.members.Len()), g.row()
	if r.last > 0 {
		g.books.members.At(int(r.last - 1)).next = at
	} else {
		r.first = at
	}
	r.last, r.newest, r.count = at, max(r.newest, int32(n)), r.count+1
}

// name puts an id to the group, by the place of its name.
func (g Group) name(k int) {
	x, r := g.books.names.At(k), g.row()
	x.group, x.next, r.id = g.place+1, r.id, int32(k+1)
}

// take makes a group part of this one. A number that both have is held once from then on.
func (g Group) take(h Group) {
	from, into := *h.row(), g.row()
	if from.newest > into.newest {
		into.touched = from.touched
	}
	own := numbersOf([]Group{g})
	for n := range h.numbers {
		if _, has := slices.BinarySearch(own, int(n)); !has {
			g.add(int(n))
		}
	}
	ids := slices.Collect(h.names)
	*h.row() = row{into: g.place + 1, touched: from.touched}
	for _, k := range ids {
		g.name(k)
	}
}

// numbersOf are the numbers of the records of groups, rising.
func numbersOf(groups []Group) []int {
	size := 0
	for _, g := range groups {
		size += int(g.row().count)
	}
	out := make([]int, 0, size)
	for _, g := range groups {
		for n := range g.numbers {
			out = append(out, int(n))
		}
	}
	return rising(out)
}
