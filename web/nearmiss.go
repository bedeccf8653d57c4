package web

import (
	"strings"
	"time"

	"vialwright/identity"
	"vialwright/journal"
	"vialwright/procedure"
	"vialwright/replica"
	"vialwright/web/view"
)

// nearMiss records what was refused before it could do harm. That it could not
// be recorded keeps nobody from the refusal.
func (q *request) nearMiss(miss journal.NearMiss) {
	miss.At = q.now.Truncate(time.Second)
	if z, err := q.Zones(q.Zone); err == nil {
		miss.At = miss.At.In(z)
	}
	err := q.lab.Append(q.r.Context(), replica.Entry{
		IDs: about("", []journal.Fact{&miss}), Class: journal.Observation,
		Decide: func(*file, int) ([]journal.Record, error) {
			return []journal.Record{{Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: &miss}}, nil
		},
	})
	if err != nil {
		q.Logger.Error("near miss", "error", err)
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
	q.nearMiss(journal.NearMiss{For: q.r.PathValue("order"), Step: step, What: e.Msg, Scanned: shownScan(serial, q.now)})
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

// missedAt finds the order of the page that a scan came from; empty for none.
func (q *request) missedAt(back string) (order string) {
	rest, ok := strings.CutPrefix(back, "/order/")
	if !ok {
		return ""
	}
	order, _, _ = strings.Cut(rest, "/")
	if _, known := q.orderFile(order); !known {
		return ""
	}
	return order
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
