package kit

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/replica"
)

// Records are facts as the person at this request records them now, the first under
// the number next.
func (q *Request) Records(facts []fact.Fact, next int) []journal.Record {
	return journal.Entered(facts, q.Now.Truncate(time.Millisecond), q.Who.ID, next)
}

// Observe records what was seen beside a form, by itself.
func (q *Request) Observe(f fact.Fact) error {
	return q.Lab.Append(q.R.Context(), replica.Entry{
		IDs: about("", []fact.Fact{f}), Class: fact.Observation, Site: replica.OfSite(f),
		Decide: func(_ *File, next int) ([]journal.Record, error) { return q.Records([]fact.Fact{f}, next), nil },
	})
}

// Once records facts of the site itself, once for a form that asks for no entry;
// back is its page. decide gives the records, the first of which has the number
// next.
func (q *Request) Once(back string, decide func(f *File, next int) ([]journal.Record, error)) error {
	if err := q.Numbered(back); err != nil {
		return err
	}
	err := sentOther(q.Lab.Append(q.R.Context(), replica.Entry{
		Site: true, Class: fact.Observation, By: q.Who.ID, Form: mark(q.R.URL.Path, q.R.PostFormValue("nonce"), bare(q.R.PostForm).Encode()), Decide: decide,
	}), back)
	if err == nil {
		q.goBackAfterEntry()
	}
	return err
}

// sentOther is what was recorded before as no error, and where it said something
// else then, the refusal of what it says now.
func sentOther(err error, back string) error {
	e, before := errors.AsType[*replica.SentError](err)
	switch {
	case !before:
		return err
	case e.Other:
		return saidOther(back)
	}
	return nil
}

// saidOther refuses a form that was recorded before with other content.
func saidOther(back string) error {
	return &Refusal{http.StatusConflict, "Not recorded", "this form was already recorded with other content, which stays. This time nothing was recorded", "look at what was recorded, and correct it there; send this only if it is to be recorded as well", back}
}

// record reads the form, asks for the signature, and appends.
func (q *Request) record(e *Form, st *State, typed url.Values, content string) error {
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	if err := q.sheetMay(e.Act); err != nil {
		return err
	}
	if e.Second != nil && typed.Has(e.Second.Who) {
		typed.Set(e.Second.Who, q.Spelt(typed.Get(e.Second.Who)))
	}
	facts, from, err := q.read(e, typed, st.Zone.Loc().String())
	if err != nil {
		return err
	}
	if e.Ask != nil {
		w, err := e.Ask(st, facts)
		if err == nil {
			err = w.unanswered(typed)
		}
		if err != nil {
			return err
		}
	}
	if e.Act.Meaning() != "" {
		if err := q.Sign(typed.Get("pin")); err != nil {
			if p, ok := errors.AsType[*people.Error](err); ok {
				return Faults{"pin": {p.Msg, p.Hint}}
			}
			return err
		}
	}
	var others []signer
	if err := q.countersigned(e, facts, typed, &others); err != nil {
		return err
	}
	beside, err := q.supervised(facts, typed, &others)
	if err != nil {
		return err
	}
	entry := replica.Entry{IDs: about(q.R.PathValue("order"), facts), Behind: number(typed, "head"), Seen: number(typed, "seen"), Class: fact.Observation, Site: slices.ContainsFunc(facts, replica.OfSite), By: q.Who.ID, Form: mark(e.Action, typed.Get("nonce"), content)}
	for _, f := range facts {
		entry.Class = min(entry.Class, fact.ClassOf(f))
	}
	if n, err := strconv.Atoi(q.R.PathValue("entry")); err == nil {
		entry.IDs, entry.Of = append(entry.IDs, q.Lab.FileOf(n).IDs...), n
	}
	entry.Decide = func(f *File, next int) ([]journal.Record, error) {
		return q.decide(e, f, next, facts, from, typed, beside)
	}
	err = sentOther(q.appendSigned(entry, q.signing(others, typed)), e.To) // by the program that ran before this one, or at another bench
	if used, ok := errors.AsType[*replica.UsedError](err); ok {
		return q.used(e.Parts, from, facts, used)
	}
	return err
}

// errUnsigned stands for the records of an entry that could be recorded but for signatures.
var errUnsigned = errors.New("not signed yet")

// appendSigned appends an entry once sign, which compares signatures, finds no fault; it is
// asked last, so that a wrong PIN hides nothing else that is wrong. nil asks for none.
func (q *Request) appendSigned(entry replica.Entry, sign func() error) error {
	if sign != nil {
		unsigned := entry
		unsigned.Decide = func(f *File, next int) ([]journal.Record, error) {
			_, err := entry.Decide(f, next)
			return nil, cmp.Or(err, errUnsigned)
		}
		if err := q.Lab.Append(q.R.Context(), unsigned); !errors.Is(err, errUnsigned) {
			return err
		}
		if err := sign(); err != nil {
			return err
		}
	}
	return q.Lab.Append(q.R.Context(), entry)
}

// number is that of a record as a form holds it; 0 for none.
func number(typed url.Values, name string) uint64 {
	n, err := strconv.ParseUint(typed.Get(name), 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// mark is that of a form in the record: the same for the same form with the same
// content, and of no use to anyone who reads it.
func mark(action, nonce, content string) string { return replica.Mark(action+"\n"+nonce, content) }

// read reads what was typed as entries, or as facts of the head of the case.
func (q *Request) read(e *Form, typed url.Values, zone string) ([]fact.Fact, []int, error) {
	if e.Setting == nil {
		return q.facts(e.Parts, typed, zone)
	}
	facts, err := e.Setting(e.Parts, typed, zone)
	return facts, make([]int, len(facts)), err
}
