package state

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack"
)

// Checkpoint writes the books down, so that a program that starts need not sort
// the years again: what is looked for in all years with its content, of all
// other records the groups alone. The same records give the same bytes, whatever
// was put away meanwhile.
func (b *Books) Checkpoint(w *pack.Writer) {
	w.Number(b.length)
	standing := b.All()
	inGroup := make([]bool, b.length)
	for _, g := range standing {
		for n := range g.numbers {
			inGroup[n-1] = true
		}
	}
	w.Number(len(standing))
	for _, g := range standing {
		w.Numbers(numbersOf([]Group{g}))
		w.Number(int(g.row().touched))
		w.Texts(g.IDs())
	}
	w.Number(b.texts.Len())
	for _, id := range b.texts.Sorted() {
		x := b.named(id)
		w.Text(id)
		w.Number(int(x.used))
		w.Number(int(x.order))
	}
	for _, list := range [][]int{b.settings, b.experience} {
		w.Numbers(list)
	}
	pack.Map(w, b.kept, w.Text, w.Numbers)
	for _, days := range []map[int64][]int{b.days, b.beside} {
		pack.Map(w, days, func(day int64) { w.Number(int(day)) }, w.Numbers)
	}
	pack.Map(w, b.alone, w.Number, w.Numbers)
	b.patients.Write(w)
	b.counts(w)
	for _, n := range slices.Sorted(maps.Keys(b.records)) {
		if r := b.records[n]; !inGroup[n-1] || stays(r.Fact) {
			writeRecord(w, r.Record)
		}
	}
	w.Number(0)
}

// writeRecord writes a record with its number, a destroyed one without content.
func writeRecord(w *pack.Writer, r journal.Record) {
	w.Number(r.N)
	if _, gone := r.Fact.(*fact.Destroyed); gone {
		w.Text("")
		w.Time(r.Recorded)
		return
	}
	body, err := r.Marshal()
	if err != nil {
		w.Err = fmt.Errorf("record %d: %w", r.N, err)
	}
	w.Text(string(body))
}

// readRecord reads a record; false behind the last.
func readRecord(c *pack.Reader) (r journal.Record, more bool) {
	n := c.Number()
	if n == 0 {
		return r, false
	}
	body := c.Text()
	if body == "" {
		return journal.Record{N: n, Recorded: c.Time(), Fact: &fact.Destroyed{}}, true
	}
	r, err := journal.Parse(body)
	if err != nil {
		c.Fail(fmt.Errorf("record %d of the checkpoint: %w", n, err))
		return r, false
	}
	r.N = n
	return r, true
}

// counts writes the waste items, and what is counted.
func (b *Books) counts(w *pack.Writer) {
	pack.Map(w, b.bins, w.Text, func(x *bin) {
		w.Time(x.last)
		w.Number(len(x.from))
		for _, k := range x.from {
			w.Text(b.texts.At(int(k)))
		}
		w.Numbers(x.numbers)
	})
	pack.Map(w, b.surveyed, w.Text, w.Time)
	pack.Map(w, b.free, w.Text, w.Number)
	w.Number(b.orders)
	w.Number(b.ofSite)
}

// Restore makes books of what Checkpoint wrote. All that it has not the content of
// is read when somebody asks.
func Restore(c *pack.Reader, read Reader, room pack.Room) (*Books, error) {
	b := Over(read, room)
	n, groups := c.Count(), c.Count()
	if n > math.MaxInt32 || groups > n { // each has a record that began it
		return nil, pack.Err
	}
	b.length = n
	b.owners.Extend(n)
	b.texts.Expect(groups) // each has an id
	for i := range groups {
		if err := b.restoreGroup(c, i); err != nil {
			return nil, err
		}
	}
	for range c.Count() {
		k := b.name(c.Text())
		x := b.names.At(k)
		x.used, x.order = c.Int32(), c.Int32()
	}
	for _, list := range []*[]int{&b.settings, &b.experience} {
		*list = c.Numbers()
	}
	pack.ReadMap(c, b.kept, c.Text, c.Numbers)
	for _, days := range []map[int64][]int{b.days, b.beside} {
		pack.ReadMap(c, days, func() int64 { return int64(c.Number()) }, c.Numbers)
	}
	pack.ReadMap(c, b.alone, c.Number, c.Numbers)
	b.patients.Read(c)
	b.restoreCounts(c)
	if err := b.restoreRecords(c); err != nil {
		return nil, err
	}
	return b, c.Err()
}

// restoreGroup reads the group of a place.
func (b *Books) restoreGroup(c *pack.Reader, place int) error {
	b.rows.Append(row{})
	g := Group{b, int32(place)}
	for _, n := range c.Numbers() {
		if !b.in(n) || n <= g.Newest() {
			return pack.Err
		}
		g.add(n)
		*b.owners.At(n - 1) = g.place
	}
	g.row().touched = int64(c.Number())
	for _, id := range c.Texts() {
		k := b.name(id)
		if b.names.At(k).group > 0 {
			return pack.Err
		}
		g.name(k)
	}
	return c.Err()
}

func (b *Books) restoreCounts(c *pack.Reader) {
	pack.ReadMap(c, b.bins, c.Text, func() *bin {
		x := &bin{last: c.Time()}
		for _, id := range c.Texts() {
			if _, ok := b.groupIfAny(id); !ok {
				c.Fail(pack.Err)
				break
			}
			x.from = append(x.from, int32(b.name(id)))
		}
		x.numbers = c.Numbers()
		return x
	})
	pack.ReadMap(c, b.surveyed, c.Text, c.Time)
	pack.ReadMap(c, b.free, c.Text, c.Number)
	b.orders, b.ofSite = c.Number(), c.Number()
}

// restoreRecords reads the records whose content is there, and applies what those
// among them do: accounts and corrections.
func (b *Books) restoreRecords(c *pack.Reader) error {
	for {
		r, more := readRecord(c)
		if !more {
			return c.Err()
		}
		if !b.in(r.N) || b.records[r.N] != nil {
			return pack.Err
		}
		b.records[r.N] = &held{r, r.Fact}
		if change, ok := ChangeOf(r); ok {
			_ = b.people.Take(change)
		}
		if x, ok := r.Fact.(*fact.Correct); ok && x.With != nil && 1 <= x.Entry && x.Entry < r.N {
			b.correctTo(x.Entry, x.With)
		}
	}
}

// Hold brings the records of groups back into memory, such as of what is at work.
func (b *Books) Hold(groups []Group) {
	for _, g := range groups {
		for _, r := range b.get(numbersOf([]Group{g})) {
			if b.records[r.N] == nil {
				b.records[r.N] = r
			}
		}
		b.recent = append(b.recent, touch{g.Newest(), g})
	}
	slices.SortStableFunc(b.recent, func(x, y touch) int { return x.by - y.by })
}
