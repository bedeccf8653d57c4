package pack

import (
	"fmt"
	"hash/maphash"
	"math"
	"slices"
	"strings"
)

// Texts numbers texts, each once, in the order in which they came. The zero value has
// none. It may be read by several goroutines at once. It holds up to 4 GiB of at most
// math.MaxInt32 texts.
type Texts struct {
	all  Column[byte]   // one behind the other
	ends Column[uint32] // of each
	// places are by their hash the texts' numbers, from 1; 0 is free. At most two
	// thirds of them are taken.
	places Column[uint32]
	seed   maphash.Seed
}

// In has what is put from now on lie in a room.
func (t *Texts) In(r Room) { t.all.Room, t.ends.Room, t.places.Room = r, r, r }

// Len is how many there are.
func (t *Texts) Len() int { return t.ends.Len() }

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
	begin := 0
	if i > 0 {
		begin = int(*t.ends.At(i - 1))
	}
	return t.all.Some(begin, int(*t.ends.At(i))-begin)
}

// At gives a text by its number, from 0.
func (t *Texts) At(i int) string { return string(t.at(i)) }

// Find gives the number of a text, from 0; -1 where it is none of them.
func (t *Texts) Find(s string) int {
	if t.places.Len() == 0 {
		return -1
	}
	return int(*t.place(s)) - 1
}

// Alike gives the number of a text that differs from another in the case of the letters A to Z
// alone; -1 where there is none.
func (t *Texts) Alike(s string) int {
	if t.places.Len() == 0 {
		return -1
	}
	return int(*t.search(hash(t.seed, s), func(have []byte) bool { return string(have) != s && strings.EqualFold(string(have), s) })) - 1
}

// place is where the number of a text is, or where it would be put.
func (t *Texts) place(s string) *uint32 {
	return t.search(hash(t.seed, s), func(have []byte) bool { return string(have) == s })
}

// search is the place of the first text that is meant among those of a hash, or the free one
// behind them.
func (t *Texts) search(hash int, is func(have []byte) bool) *uint32 {
	last := t.places.Len() - 1
	for at := hash & last; ; at = (at + 1) & last {
		if p := t.places.At(at); *p == 0 || is(t.at(int(*p)-1)) {
			return p
		}
	}
}

// hash is the same for texts that differ in the case of the letters of ids alone, and takes
// no memory for an id.
func hash[T string | []byte](seed maphash.Seed, s T) int {
	var room [32]byte
	small := room[:0]
	for i := range len(s) {
		c := s[i]
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		small = append(small, c)
	}
	return int(maphash.Bytes(seed, small))
}

// Put gives the number of a text, a new one where it has none. Nothing of the text that
// it was given is held. It panics where there is no room for one more.
func (t *Texts) Put(s string) int {
	var free *uint32
	if t.places.Len() > 0 {
		if free = t.place(s); *free > 0 {
			return int(*free) - 1
		}
	}
	if len(s) > math.MaxUint32-t.all.Len() || t.Len() == math.MaxInt32 {
		panic(fmt.Sprintf("fault: %d texts of %d bytes are more than can be numbered", t.Len()+1, t.all.Len()+len(s)))
	}
	if 3*(t.Len()+1) > 2*t.places.Len() {
		t.grow(t.Len() + 1)
		free = t.place(s)
	}
	t.all.Append([]byte(s)...)
	t.ends.Append(uint32(t.all.Len()))
	*free = uint32(t.Len())
	return t.Len() - 1
}

// Expect makes room for so many texts, which are then placed once and not anew as they come.
func (t *Texts) Expect(n int) {
	if 3*n > 2*t.places.Len() {
		t.grow(n)
	}
}

func (t *Texts) grow(n int) {
	if t.places.Len() == 0 {
		t.seed = maphash.MakeSeed()
	}
	size := max(16, t.places.Len())
	for 3*n > 2*size {
		size *= 2
	}
	t.places.Clear()
	t.places.Extend(size)
	for i := range t.Len() { // no two of them are the same
		*t.search(hash(t.seed, t.at(i)), func([]byte) bool { return false }) = uint32(i + 1)
	}
}

// Index has for each of many texts some numbers, mostly one. The zero value has none.
type Index struct {
	texts Texts
	first Column[int32]
	more  map[int][]int
}

// In has what is added from now on lie in a room.
func (x *Index) In(r Room) {
	x.texts.In(r)
	x.first.Room = r
}

// Get gives the numbers of a text, in the order in which they were added.
func (x *Index) Get(s string) []int {
	i := x.texts.Find(s)
	if i < 0 {
		return nil
	}
	return append([]int{int(*x.first.At(i))}, x.more[i]...)
}

// Add gives a text one more number, which fits into 32 bits.
func (x *Index) Add(s string, n int) {
	i := x.texts.Put(s)
	if i == x.first.Len() {
		x.first.Append(Int32(n))
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
	n := c.Count()
	x.texts.Expect(n)
	for range n {
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
