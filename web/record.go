package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/url"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
)

// observe records what was seen beside a form, by itself.
func (q *request) observe(f fact.Fact) error {
	return q.lab.Append(q.r.Context(), replica.Entry{
		IDs: about("", []fact.Fact{f}), Class: fact.Observation,
		Decide: func(*file, int) ([]journal.Record, error) {
			return []journal.Record{{Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: f}}, nil
		},
	})
}

// once records facts of the site itself, once for a form that asks for no entry;
// back is its page. decide gives the records, the first of which has the number
// next.
func (q *request) once(back string, decide func(f *file, next int) ([]journal.Record, error)) error {
	nonce := q.r.PostFormValue("nonce")
	if nonce == "" || len(nonce) > mostNonce {
		return noNonce(&entryForm{to: back})
	}
	err := q.lab.Append(q.r.Context(), replica.Entry{Site: true, Class: fact.Observation, By: q.who.ID, Form: mark(q.r.URL.Path, nonce), Decide: decide})
	if _, before := errors.AsType[*replica.SentError](err); before {
		return nil
	}
	return err
}

// record reads the form, asks for the signature, and appends.
func (q *request) record(e *entryForm, st *state, typed url.Values) error {
	if err := people.May(q.who.Person, e.act); err != nil {
		return err
	}
	if err := q.sheetMay(e.act); err != nil {
		return err
	}
	facts, from, err := q.read(e, typed, st.zone.loc().String())
	if err != nil {
		return err
	}
	if e.ask != nil {
		w, err := e.ask(st, facts)
		if err == nil {
			err = w.unanswered(typed)
		}
		if err != nil {
			return err
		}
	}
	if e.act.Meaning() != "" {
		if err := q.sign(typed.Get("pin")); err != nil {
			if p, ok := errors.AsType[*people.Error](err); ok {
				return faults{"pin": {p.Msg, p.Hint}}
			}
			return err
		}
	}
	also, err := q.countersign(e, typed)
	if err != nil {
		return err
	}
	if also != "" {
		e.second.mark(facts, also)
	}
	entry := replica.Entry{IDs: about(q.r.PathValue("order"), facts), Behind: number(typed, "head"), Seen: number(typed, "seen"), Class: fact.Observation, Site: e.head != nil, By: q.who.ID, Form: mark(e.action, typed.Get("nonce"))}
	for _, f := range facts {
		entry.Class = min(entry.Class, fact.ClassOf(f))
	}
	if n, err := strconv.Atoi(q.r.PathValue("entry")); err == nil {
		entry.IDs = append(entry.IDs, q.lab.FileOf(n).IDs...)
	}
	entry.Decide = func(f *file, next int) ([]journal.Record, error) { return q.decide(e, f, next, facts, from, typed) }
	err = q.lab.Append(q.r.Context(), entry)
	if _, before := errors.AsType[*replica.SentError](err); before {
		return nil // by the program that ran before this one, or at another bench
	}
	if used, ok := errors.AsType[*replica.UsedError](err); ok {
		return q.used(e.parts, from, facts, used)
	}
	return err
}

// number is that of a record as a form holds it; 0 for none.
func number(typed url.Values, name string) uint64 {
	n, err := strconv.ParseUint(typed.Get(name), 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// mark is that of a form in the record: the same for the same form, and of no use
// to whoever reads it.
func mark(action, nonce string) string {
	sum := sha256.Sum256([]byte(action + "\n" + nonce))
	return hex.EncodeToString(sum[:9])
}

// read reads what was typed as entries, or as facts of the head of the case.
func (q *request) read(e *entryForm, typed url.Values, zone string) ([]fact.Fact, []int, error) {
	if e.head == nil {
		return q.facts(e.parts, typed, zone)
	}
	facts, err := e.head(e.parts, typed, zone)
	return facts, make([]int, len(facts)), err
}
