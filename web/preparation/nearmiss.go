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

// uncompleted says beside them, where the record of an order that was given is to be
// closed, that no physician has completed it as it stands.
func (b *bench) uncompleted() []view.Notice {
	if !b.Prep.Given || b.Prep.After.Completed() {
		return nil
	}
	return []view.Notice{{
		Kind: "note", Word: "Order", Text: "No physician has completed the order with what was delivered.",
		Hint: "The physician completes it on this bench, before the record is closed or after.",
	}}
}
