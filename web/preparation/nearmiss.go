package preparation

import (
	"net/url"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// refusedScan records a near miss for the refusals of a step that keep a dose
// from the wrong hands: a wrong label, or a time-out that does not agree.
func (q *request) refusedScan(err error, typed url.Values) {
	e, ok := err.(*procedure.Error)
	if !ok || !e.NearMiss() {
		return
	}
	step := q.R.PathValue("key")
	if e.Code == procedure.CodeReadOut {
		step = string(procedure.TimeOut)
	}
	books.NearMiss(q.Request, fact.NearMiss{For: q.R.PathValue("order"), Step: step, What: e.Msg, Scanned: books.ShownScan(typed.Get(kit.Control(0, "serial")), q.Now)})
}

// nearMisses counts the near misses of an order, and those of no one order, for
// whoever reviews the record.
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
