package web

import (
	"net/http"
	"strings"
	"time"

	"vialwright/identity"
	"vialwright/journal"
	"vialwright/procedure"
	"vialwright/web/view"
)

// nearMiss records what was refused before it could do harm, in a case. That it
// cannot be recorded never stands in the way of the refusal.
func (q *request) nearMiss(name string, miss journal.NearMiss) {
	miss.At = q.now.Truncate(time.Second)
	if f, ok := q.lab.Case(name); ok {
		miss.At = miss.At.In(q.caseZone(f).loc())
	}
	for range 3 { // others may record something meanwhile
		f, ok := q.lab.Case(name)
		if !ok {
			return
		}
		err := q.lab.Append(q.r.Context(), name, f.Last(), func(f *file) ([]journal.Record, error) {
			return []journal.Record{{Case: f.Name, Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: &miss}}, nil
		})
		if _, moved := err.(*MovedError); !moved {
			if err != nil {
				q.Logger.Error("near miss", "error", err)
			}
			return
		}
	}
}

// refusedScan records a near miss for the refusals of a step that keep a dose
// from the wrong hands: a wrong label, or a time-out that does not agree.
func (q *request) refusedScan(st *state, err error, serial string) {
	e, ok := err.(*procedure.Error)
	if !ok || !e.NearMiss() {
		return
	}
	step := q.r.PathValue("key")
	if e.Code == procedure.CodeReadOut {
		step = string(procedure.TimeOut)
	}
	q.nearMiss(st.file.Name, journal.NearMiss{For: q.r.PathValue("order"), Step: step, What: e.Msg, Scanned: shownScan(serial, q.now)})
}

// shownScan is what was scanned as it may be kept: the serial of a label or the
// code of a pack. Anything else may name a person, and is left out.
func shownScan(raw string, now time.Time) string {
	switch scan := identity.Read(raw, now.Year()); {
	case scan.Kind == identity.Label:
		return scan.Serial.String()
	case scan.Kind == identity.GS1 && scan.GTIN != "":
		return elements(scan)
	}
	return ""
}

// missedAt finds the case and the order of the page that a scan came from; else
// the newest case that is not over, and no order.
func (q *request) missedAt(back string) (name, order string) {
	rest, ok := strings.CutPrefix(back, "/case/")
	if ok {
		name, rest, _ = strings.Cut(rest, "/")
		if _, known := q.lab.Case(name); known {
			at, _ := strings.CutPrefix(rest, "order/")
			order, _, _ = strings.Cut(at, "/")
			if st, err := q.reckonCase(name); err != nil || st.order(order) < 0 {
				order = ""
			}
			return name, order
		}
	}
	for _, st := range q.states() {
		if !over(st) {
			return st.file.Name, ""
		}
	}
	return "", ""
}

// reckonCase works a case out as it is now.
func (q *request) reckonCase(name string) (*state, error) {
	f, ok := q.lab.Case(name)
	if !ok {
		return nil, &refusal{http.StatusNotFound, "There is no such case", "no case has this name", "go to the board", "/"}
	}
	return q.reckon(f, q.now)
}

// nearMisses counts the near misses of an order, and those of no one order, for
// whoever reviews the record.
func nearMisses(f *file, order string) []view.Notice {
	var all []string
	for _, e := range f.Entries() {
		if x, ok := e.Fact.(*journal.NearMiss); ok && (x.For == order || x.For == "") {
			all = append(all, "entry "+decimal(uint64(e.Number))+": "+x.What)
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
		Kind: "note", Word: "Review", Text: decimal(uint64(len(all))) + " " + word + ": " + strings.Join(all, "; ") + ".",
		Hint: "Write a deviation where one of them needs more than this.",
	}}
}
