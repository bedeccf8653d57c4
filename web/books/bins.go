package books

import (
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
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
		var bin hotlab.Bin
		for _, b := range entriesOf[*fact.CloseBin](own) { // the last closing counts
			if b.Bin == x.Into && (bin.Closed == nil || !b.At.Before(bin.Closed.At)) {
				bin.Closed = b
			}
		}
		for _, b := range entriesOf[*fact.ReleaseBin](own) {
			if b.Bin == x.Into && (bin.Released == nil || b.At.Before(bin.Released.At)) {
				bin.Released = b
			}
		}
		if how, since := bin.Shut(x.At); how != "" {
			return kit.Faults{kit.Control(first+i, "into"): {Text: x.Into + " " + how + " on " + clock(since) + ", and takes nothing more", Way: "write the id of another item, or check the time"}}
		}
	}
	return nil
}
