package preparation

import (
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// nearMisses counts the near misses of an order, and those of no one order, for
// anyone who reviews the record.
func nearMisses(f *kit.File, order string) []view.Notice {
	var all []string
	for _, e := range f.Entries() {
		if x, ok := e.Fact.(*fact.NearMiss); ok && (x.For == order || x.For == "") {
			all = append(all, "entry "+strconv.Itoa(e.Number)+": "+x.What)
		}
	}
	if len(all) == 0 {
		return nil
	}
	word := "near misses"
	if len(all) == 1 {
		word = "near miss"
	}
	return []view.Notice{{
		Kind: "note", Word: "Review", Text: strconv.Itoa(len(all)) + " " + word + ": " + strings.Join(all, "; ") + ".",
		Hint: "Write a deviation where one of them needs more than this.",
	}}
}
