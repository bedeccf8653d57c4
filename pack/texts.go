package pack

import (
	"fmt"
	"hash/maphash"
	"math"
	"slices"
)

// Texts numbers texts, each once, in the order in which they came. The zero value has
// none. It may be read by several goroutines at once. It holds up to 4 GiB of at most
// math.MaxInt32 texts.
type Texts struct {
	all  []byte   // one behind the other
	ends []uint32 // of each
	// places are by their hash the texts' numbers, from 1; 0 is free. At most two
	// thirds of them are taken.
	places []uint32
	seed   maphash.Seed
}

// Len is how many there are.
func (t *Texts) Len() int { return len(t.ends) }

// Sorted are all of them, sorted.
func (t *Texts) Sorted() []string {
	out := make([]string, t.Len())
	for i := range out {
		out[i] = t.At(i)
	}
	slices.Sort(out)
	return out
}

func (t *Texts) at(i int) []byte {
	begin := uint32(0)
	if i > 0 {
		begin = t.ends[i-1]
	}
	return t.all[begin:t.ends[i]]
}

// At gives a text by its number, from 0.
func (t *Texts) At(i int) string { return string(t.at(i)) }

// Find gives the number of a text, from 0; -1 where it is none of them.
func (t *Texts) Find(s string) int {
	if len(t.places) == 0 {
		return -1
	}
	return int(t.places[t.place(s)]) - 1
}

// place is where a text is, or where it would be put.
func (t *Texts) place(s string) int {
	last := len(t.places) - 1
	at := int(maphash.String(t.seed, s)) & last
	for t.places[at] != 0 && string(t.at(int(t.places[at])-1)) != s {
		at = (at + 1) & last
	}
	return at
}

// Put gives the number of a text, a new one where it has none. Nothing of the text that
// it was given is held. It panics where there is no room for one more.
func (t *Texts) Put(s string) int {
	if i := t.Find(s); i >= 0 {
		return i
	}
	if len(s) > math.MaxUint32-len(t.all) || len(t.ends) == math.MaxInt32 {
		panic(fmt.Sprintf("fault: %d texts of %d bytes are more than can be numbered", len(t.ends)+1, len(t.all)+len(s)))
	}
	if 3*(len(t.ends)+1) > 2*len(t.places) {
		t.grow()
	}
	t.all = append(t.all, s...)
	t.ends = append(t.ends, uint32(len(t.all)))
	t.places[t.place(s)] = uint32(len(t.ends))
	return len(t.ends) - 1
}

func (t *Texts) grow() {
	if len(t.places) == 0 {
		t.seed = maphash.MakeSeed()
	}
	t.places = make([]uint32, max(16, 2*len(t.places)))
	for i := range t.ends {
		t.places[t.place(t.At(i))] = uint32(i + 1)
	}
}

// Index has for each of many texts some numbers, mostly one. The zero value has none.
type Index struct {
	texts Texts
	first []int32
	more  map[int][]int
}

// Get gives the numbers of a text, in the order in which they were added.
func (x *Index) Get(s string) []int {
	i := x.texts.Find(s)
	if i < 0 {
		return nil
	}
	return append([]int{int(x.first[i])}, x.more[i]...)
}

// Add gives a text one more number, which fits into 32 bits.
func (x *Index) Add(s string, n int) {
	i := x.texts.Put(s)
	if i == len(x.first) {
		x.first = append(x.first, Int32(n))
		return
	}
	if x.more == nil {
		x.more = map[int][]int{}
	}
	x.more[i] = append(x.more[i], n)
}

// Write writes the texts with their numbers, in the order of the texts.
func (x *Index) Write(w *Writer) {
	w.Number(x.texts.Len())
	for _, s := range x.texts.Sorted() {
		w.Text(s)
		w.Numbers(x.Get(s))
	}
}

// Read adds what Write wrote.
func (x *Index) Read(c *Reader) {
	for range c.Count() {
		s := c.Text()
		for _, n := range c.Numbers() {
			if n != int(int32(n)) {
				c.fail()
				return
			}
			x.Add(s, n)
		}
	}
}
