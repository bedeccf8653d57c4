package ledger

import "slices"

// Corroborated says whether readings alone determine an amount whichever one of
// them is left out: no single false reading can be the whole of what is known.
// Only readings that are in doubt are left out; nil is all of them.
func (b *Balances) Corroborated(a Amount, doubted func(Reading) bool) bool {
	c := b.one(a)
	if c == nil || !b.Assayed(a) {
		return false
	}
	for left := range c.rows {
		if n := c.rows[left].read; n < 0 || doubted != nil && !doubted(b.book.readings[n].Reading) {
			continue
		}
		var e echelon
		for i := range c.rows {
			if i != left && c.rows[i].read >= 0 {
				e.add(c.dense(c.rows[i].terms))
			}
		}
		if !e.spans(c.dense(c.localForm(a.f))) {
			return false
		}
	}
	return true
}

// Undone tells that nothing which a container holds depends on an amount any more: all of
// it came back to where it was, so that no reading can tell it again.
func (b *Balances) Undone(a Amount) bool {
	for v := range b.book.vessels {
		for _, t := range b.lay.now(v) {
			if slices.ContainsFunc(a.f, func(x term) bool { return x.u == t.u }) {
				return false
			}
		}
	}
	return true
}
