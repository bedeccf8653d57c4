package site

import (
	"fmt"
	"time"
)

// witnessChecks are the places that keep notes of the journal's head, and what was
// found there when the program was started.
func (q *request) witnessChecks(add func(kind, name, text string)) {
	w := q.Lab.Witness()
	if w == nil || len(w.Standing()) == 0 {
		add("note", "Witness", "none is named: anybody who can write the journal's file or database can change its past, and nothing here would show it")
	}
	for _, n := range q.LateWitnesses() {
		add(n.Kind, "Witness", n.Text)
	}
	if w == nil {
		return
	}
	for _, s := range w.Standing() {
		if s.Since.IsZero() && s.Last.Head.Seq > 0 {
			add("done", "Witness "+s.Place, fmt.Sprintf("has the head of record %d, noted on %s", s.Last.Head.Seq, s.Last.At.Format(time.RFC3339)))
		}
	}
	for _, f := range w.Faults() {
		if !f.Stop {
			add("warn", "Witness at the start", f.Error())
		}
	}
}
