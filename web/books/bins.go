package books

import (
	"time"

	"vialwright/fact"
	"vialwright/web/kit"
	"vialwright/web/words"
)

// BinsTake refuses what goes into a waste item that was closed or that left by then; first is
// the place of the facts among the parts of their form.
func BinsTake(q *kit.Request, first int, facts ...fact.Fact) error {
	own, _ := q.Lab.Kept(func(f fact.Fact) bool {
		_, closed := f.(*fact.CloseBin)
		_, left := f.(*fact.ReleaseBin)
		return closed || left
	})
	clock := func(t time.Time) string { return words.Zoned{Location: q.Location()}.Wall(t, q.Now) }
	for i, f := range facts {
		x, ok := f.(*fact.Discard)
		if !ok {
			continue
		}
		said, closed := "", time.Time{}
		for _, b := range entriesOf[*fact.CloseBin](own) {
			if b.Bin == x.Into && !b.At.Before(closed) { // the last closing counts
				closed = b.At
			}
		}
		if !closed.IsZero() && closed.Before(x.At) {
			said = x.Into + " was closed on " + clock(closed)
		}
		for _, b := range entriesOf[*fact.ReleaseBin](own) {
			if b.Bin == x.Into && b.At.Before(x.At) {
				said = x.Into + " left on " + clock(b.At)
			}
		}
		if said != "" {
			return kit.Faults{kit.Control(first+i, "into"): {Text: said + ", and takes nothing more", Way: "write the id of another item, or check the time"}}
		}
	}
	return nil
}
