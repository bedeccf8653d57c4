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
	clock := func(t time.Time) string { return words.Zoned{Location: q.Location()}.Wall(t, q.Now) }
	for i, x := range fact.Of[*fact.Discard](facts) {
		var bin hotlab.Bin
		for _, b := range Kept[*fact.CloseBin](q) { // the last closing counts
			if b.Bin == x.Into && (bin.Closed == nil || !b.At.Before(bin.Closed.At)) {
				bin.Closed = b
			}
		}
		for _, b := range Kept[*fact.ReleaseBin](q) {
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
