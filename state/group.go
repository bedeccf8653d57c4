package state

import (
	"slices"
	"time"

	"vialwright/pack"
)

// Group is an order or a vial with everything that entries have brought
// together with it.
//
// Those of all years are in memory, so that it is kept small.
type Group struct {
	// numbers are those of its records, rising: the last of them is the last that touched it.
	numbers []int32
	// ids are the numbers of its ids among the texts of the books.
	ids   []int32
	texts *pack.Texts
	// touched is when the last record that touched it was recorded, in milliseconds.
	touched int64
	// place is where it stands among all groups that ever were.
	place int32
	// into is the group that it has become part of, nil for one that stands.
	into *Group
}

// IDs are those of its orders and containers, sorted.
func (g *Group) IDs() []string {
	out := make([]string, len(g.ids))
	for i, k := range g.ids {
		out[i] = g.texts.At(int(k))
	}
	slices.Sort(out)
	return out
}

// Newest is the number of the last record that touched the group; 0 for one that has become
// part of another.
func (g *Group) Newest() int {
	if len(g.numbers) == 0 {
		return 0
	}
	return int(g.numbers[len(g.numbers)-1])
}

// Touched is when the last record that touched the group was recorded, to the millisecond.
func (g *Group) Touched() time.Time { return time.UnixMilli(g.touched) }

// Compare orders groups by when they began.
func (g *Group) Compare(h *Group) int { return int(g.place - h.place) }

// add puts a record to the group, as the last that touched it.
func (g *Group) add(n int, at time.Time) {
	g.numbers, g.touched = append(g.numbers, int32(n)), at.UnixMilli()
}

// numbersOf are the numbers of the records of groups, rising.
func numbersOf(groups []*Group) []int {
	size := 0
	for _, g := range groups {
		size += len(g.numbers)
	}
	out := make([]int, 0, size)
	for _, g := range groups {
		for _, n := range g.numbers {
			out = append(out, int(n))
		}
	}
	return rising(out)
}

// Joined is true of a group that has become part of another, and is no more.
func (g *Group) Joined() bool { return g.into != nil }
