package state

import (
	"slices"

	"vialwright/fact"
)

// Checkpoint writes the books down, so that a program that starts need not sort
// the years again: what is looked for in all years with its content, of all
// other records the groups alone. The same records give the same bytes, whatever
// was put away meanwhile.
func (b *Books) Checkpoint(w *Packer) {
	w.Number(len(b.records))
	place := map[*Group]int{}
	var standing []*Group
	inGroup := make([]bool, len(b.records))
	for _, g := range b.all {
		if g.into != nil {
			continue
		}
		place[g] = len(standing)
		standing = append(standing, g)
		for _, n := range g.numbers {
			inGroup[n-1] = true
		}
	}
	w.Number(len(standing))
	for _, g := range standing {
		w.Numbers(g.numbers)
		w.Number(g.newest)
		w.Time(g.touched)
		w.Texts(slices.Sorted(slices.Values(g.ids)))
	}
	PackMap(w, b.names, w.Text, func(x *name) {
		w.Number(x.used)
		w.Number(x.order)
	})
	for _, list := range [][]int{b.settings, b.kept, b.experience} {
		w.Numbers(list)
	}
	for _, days := range []map[int64][]int{b.days, b.beside} {
		PackMap(w, days, func(day int64) { w.Number(int(day)) }, w.Numbers)
	}
	PackMap(w, b.alone, w.Number, w.Numbers)
	b.counts(w)
	for n, r := range b.records {
		if r != nil && (!inGroup[n] || stays(r.Fact)) {
			w.record(r.Record)
		}
	}
	w.Number(0)
}

// counts writes the waste items, and what is counted.
func (b *Books) counts(w *Packer) {
	PackMap(w, b.bins, w.Text, func(x *bin) {
		w.Time(x.last)
		w.Texts(x.from)
		w.Numbers(x.numbers)
	})
	PackMap(w, b.surveyed, w.Text, w.Time)
	PackMap(w, b.free, w.Text, w.Number)
	w.Number(b.orders)
	w.Number(b.ofSite)
}

// Restore makes books of what Checkpoint wrote. All that it has not the content of
// is read when somebody asks.
func Restore(c *Unpacker, read Reader) (*Books, error) {
	b := Over(read)
	n := c.Count()
	b.records, b.owners = make([]*held, n), make([]int32, n)
	b.all = make([]*Group, c.Count())
	groups := make([]Group, len(b.all))
	for i := range b.all {
		g := &groups[i]
		b.all[i] = g
		g.numbers, g.newest, g.touched, g.ids, g.place = c.Numbers(), c.Number(), c.Time(), c.Texts(), i
		for _, k := range g.numbers {
			if !b.in(k) {
				return nil, errCheckpoint
			}
			b.owners[k-1] = int32(i)
		}
	}
	all := make([]name, c.Count())
	b.names = make(map[string]*name, len(all))
	for i := range all {
		all[i] = name{id: c.Text(), used: c.Number(), order: c.Number()}
		b.names[all[i].id] = &all[i]
	}
	for _, g := range b.all {
		for i, id := range g.ids {
			x := b.names[id]
			if x == nil {
				return nil, errCheckpoint
			}
			g.ids[i], x.group = x.id, g
		}
	}
	for _, list := range []*[]int{&b.settings, &b.kept, &b.experience} {
		*list = c.Numbers()
	}
	for _, days := range []map[int64][]int{b.days, b.beside} {
		UnpackMap(c, days, func() int64 { return int64(c.Number()) }, c.Numbers)
	}
	UnpackMap(c, b.alone, c.Number, c.Numbers)
	b.restoreCounts(c)
	if err := b.restoreRecords(c); err != nil {
		return nil, err
	}
	return b, c.err
}

func (b *Books) restoreCounts(c *Unpacker) {
	UnpackMap(c, b.bins, c.Text, func() *bin { return &bin{last: c.Time(), from: c.Texts(), numbers: c.Numbers()} })
	UnpackMap(c, b.surveyed, c.Text, c.Time)
	UnpackMap(c, b.free, c.Text, c.Number)
	b.orders, b.ofSite = c.Number(), c.Number()
}

// restoreRecords reads the records whose content is there, and applies what those
// among them do: accounts and corrections.
func (b *Books) restoreRecords(c *Unpacker) error {
	for {
		r, more := c.record()
		if !more {
			return c.err
		}
		if !b.in(r.N) || b.records[r.N-1] != nil {
			return errCheckpoint
		}
		b.records[r.N-1] = &held{r, r.Fact}
		if change, ok := ChangeOf(r); ok {
			_ = b.people.Take(change)
		}
		if x, ok := r.Fact.(*fact.Correct); ok && x.With != nil && 1 <= x.Entry && x.Entry < r.N {
			b.correctTo(x.Entry, x.With)
		}
	}
}

// Hold brings the records of groups back into memory, such as of what is at work.
func (b *Books) Hold(groups []*Group) {
	for _, g := range groups {
		for _, r := range b.get(g.numbers) {
			if b.records[r.N-1] == nil {
				b.records[r.N-1] = r
			}
		}
		b.recent = append(b.recent, touch{g.newest, g})
	}
	slices.SortStableFunc(b.recent, func(x, y touch) int { return x.by - y.by })
}
