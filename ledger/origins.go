package ledger

import (
	"slices"
	"time"
)

// Origins is what each container held at an instant, by the containers in which it came in
// from outside. Where several came together, what leaves takes from each its share of what
// was there, as from a suspension that is mixed (common practice, no source). The parts of a
// container add up to what [Balances.Held] gives.
func (b *Balances) Origins(at time.Time) map[string]map[string]Amount {
	t, vessels := b.book.since(at), b.book.vessels
	in := make([]map[string]form, len(vessels))
	for i := range in {
		in[i] = map[string]form{}
	}
	for _, ev := range b.book.events {
		if ev.read >= 0 || b.book.moves[ev.move].span > t {
			continue
		}
		m, moved, before := b.book.moves[ev.move], b.lay.moved[ev.move], b.lay.before[ev.move]
		if m.from < 0 {
			id := vessels[m.to].ID
			in[m.to][id] = in[m.to][id].plus(1, moved)
			continue
		}
		from, had := in[m.from], b.sum(before, b.x)
		for id, f := range from {
			part := moved
			switch {
			case slices.Equal(moved, before): // all of it
				part = f
			case len(from) > 1 && had > 0:
				part = form(nil).plus(b.sum(f, b.x)/had, moved)
			case len(from) > 1:
				part = form(nil).plus(1/float64(len(from)), moved)
			}
			from[id] = f.plus(-1, part)
			in[m.to][id] = in[m.to][id].plus(1, part)
		}
	}
	out := make(map[string]map[string]Amount, len(vessels))
	for i, parts := range in {
		out[vessels[i].ID] = make(map[string]Amount, len(parts))
		for id, f := range parts {
			out[vessels[i].ID][id] = Amount{f}
		}
	}
	return out
}
