package state

import (
	"strconv"
	"strings"

	"vialwright/fact"
)

// name is what is known of an id: its group, the number of the entry that first
// named it, and its place among the orders of the site, from 1; 0 for none.
type name struct {
	group       int32 // its place among all groups, from 1; 0 for none
	used, order int32
	next        int32 // the place of the next name of its group, from 1; 0 for none
}

// named is what is known of an id.
func (b *Books) named(id string) name {
	if k := b.texts.Find(id); k >= 0 {
		return *b.names.At(k)
	}
	return name{}
}

// name is the place of what is known of an id, to be changed.
func (b *Books) name(id string) int {
	k := b.texts.Put(id)
	if k == b.names.Len() {
		b.names.Append(name{})
	}
	return k
}

// Used gives the number of the record that first used the id of an order or a
// container; 0 for one that is free.
func (b *Books) Used(id string) int { return int(b.named(id).used) }

// Taken is Used, for a free id of one that differs from it in letter case alone: on a label
// or in a call across the room the two are the same.
func (b *Books) Taken(id string) int {
	if n := b.Used(id); n > 0 {
		return n
	}
	if k := b.texts.Alike(id); k >= 0 {
		return int(b.names.At(k).used)
	}
	return 0
}

// use notes the first entry of an id.
func (b *Books) use(id string, n int) {
	b.names.At(b.name(id)).used = int32(n)
	letter := strings.Clone(strings.ToLower(strings.TrimRight(id, "0123456789"))) // a part of the text of a record would hold the whole in memory
	for b.Taken(b.Free(letter)) > 0 {
		b.free[letter] = b.lowest(letter) + 1
	}
}

func (b *Books) lowest(letter string) int { return max(b.free[strings.ToLower(letter)], 1) }

// Free is the first id of a letter and a number from 1 that nothing of the site
// ever had, in large or small letters.
func (b *Books) Free(letter string) string { return letter + strconv.Itoa(b.lowest(letter)) }

// place gives an order its place when it is first heard of, and notes the patient that the
// record n names.
func (b *Books) place(f fact.Fact, n int) {
	o, ok := f.(*fact.Order)
	if !ok {
		return
	}
	if b.named(o.ID).order == 0 {
		b.orders++
		b.names.At(b.name(o.ID)).order = int32(b.orders)
	}
	b.identify(o.Patient, n)
	b.identify(o.SecondID, n)
}

// OrderPlace is the place of an order among all of the site, in the order in
// which they were entered, from 1; 0 for no order.
func (b *Books) OrderPlace(id string) int { return int(b.named(id).order) }

// Orders is how many orders the site has had.
func (b *Books) Orders() int { return b.orders }
