package ledger

import "time"

// Pair gives the readings of the source of an entry's movement that show it
// alone: those since something last moved into or out of the source before it,
// and those until something next does after it. What is added to the source
// that carries no activity, such as diluent, moves nothing. ok is false where
// the entry is no movement out of a container.
func (b *Book) Pair(entry int) (before, after []Reading, ok bool) {
	of, passed := -1, false
	if i := b.movement(entry); i >= 0 && b.moves[i].from >= 0 {
		of, ok = b.moves[i].from, true
	}
	for _, e := range b.events {
		switch {
		case of < 0:
		case e.read >= 0 && b.readings[e.read].of == of && passed:
			after = append(after, b.readings[e.read].Reading)
		case e.read >= 0 && b.readings[e.read].of == of:
			before = append(before, b.readings[e.read].Reading)
		case e.move < 0 || b.moves[e.move].from != of && b.moves[e.move].to != of:
		case passed:
			return before, after, ok
		case b.moves[e.move].Entry == entry:
			passed = true
		default:
			before = nil
		}
	}
	return before, after, ok
}

// Crossed is when activity last moved between a container inside a group and one
// outside it, before the movement of an entry (0: of all); the zero time for
// never. What moves out of an emptied container moves nothing.
func (b *Book) Crossed(inside func(id string) bool, before int) (last time.Time) {
	in := func(v int) bool { return v >= 0 && inside(b.vessels[v].ID) }
	for i := range b.moves {
		m := &b.moves[i]
		if before != 0 && m.Entry == before {
			break
		}
		if in(m.from) != in(m.to) && (m.from < 0 || m.had > 0) {
			last = m.At
		}
	}
	return last
}

// Factor gives a factor that was added; it panics for one that was not.
func (b *Book) Factor(id FactorID) Factor { return b.factors[id] }
