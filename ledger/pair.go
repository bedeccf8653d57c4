package ledger

// Pair gives the readings of the source of an entry's movement that show it
// alone: those since something last moved into or out of the source before it,
// and those until something next does after it. What is added to the source
// that carries no activity, such as diluent, moves nothing. ok is false where
// the entry is no movement out of a container.
func (b *Book) Pair(entry int) (before, after []Reading, ok bool) {
	of, passed := -1, false
	for i := range b.moves {
		if b.moves[i].Entry == entry && b.moves[i].from >= 0 {
			of, ok = b.moves[i].from, true
		}
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

// Factor gives a factor that was added; it panics for one that was not.
func (b *Book) Factor(id FactorID) Factor { return b.factors[id] }
