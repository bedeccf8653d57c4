package ledger

// Corroborated says whether readings alone determine an amount whichever one of
// them is left out: no single false reading can be the whole of what is known.
func (b *Balances) Corroborated(a Amount) bool {
	c := b.one(a)
	if c == nil || !b.Assayed(a) {
		return false
	}
	for left := range c.rows {
		if c.rows[left].read < 0 {
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
