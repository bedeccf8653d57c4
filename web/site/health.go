package site

import (
	"context"
	"crypto/subtle"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"vialwright/journal"
	"vialwright/people"
	"vialwright/store"
	"vialwright/web/kit"
	"vialwright/web/live"
	"vialwright/web/readings"
	"vialwright/web/words"
)

// healthPage says how the program is. Who is not signed in, such as a program
// that watches, gets one word and a status.
func healthPage(q *request) error {
	checks, sound := q.checks()
	if q.Known() != people.Fresh {
		status, word := http.StatusOK, "ok\n"
		if !sound {
			status, word = http.StatusServiceUnavailable, "not well\n"
		}
		q.W.Header().Set("Content-Type", "text/plain; charset=utf-8")
		q.W.WriteHeader(status)
		_, err := q.W.Write([]byte(word))
		return err
	}
	if err := people.May(q.Who.Person, people.SeeHealth); err != nil {
		return err
	}
	return q.Show(http.StatusOK, pages, Health{Page: q.Page("System status"), Checks: checks})
}

func (q *request) checks() (out []Check, sound bool) {
	sound = true
	add := func(kind, name, text string) {
		word := map[string]string{"done": "OK", "warn": "Check", "stop": "Stop", "note": "Note"}[kind]
		out = append(out, Check{Name: name, Kind: kind, Word: word, Text: text})
		sound = sound && kind != "stop"
	}
	report := q.Lab.Report()
	stops := q.Lab.Stops(q.R.Context(), q.Now)
	for _, s := range stops {
		add("stop", "Recording", words.Sentence(s.What)+". "+words.Sentence(s.Way)+".")
	}
	switch going := q.Verifying(); {
	case q.Lab.Broken() != nil:
	case going != "":
		add("note", "Journal", fmt.Sprintf("%s; the rest is as the program verified it before it was last ended. Head %s", going, report.Head.Hash))
	default:
		add("done", "Journal", fmt.Sprintf("%d records verified; head %s", report.Records, report.Head.Hash))
	}
	q.storeCheck(report.Head, add)
	ctx, cancel := context.WithTimeout(q.R.Context(), q.Patience)
	defer cancel()
	if err := q.Answers(ctx); err != nil {
		add("stop", "Accounts store", "it does not answer")
		q.Logger.Error("accounts store", "error", err)
	} else {
		add("done", "Accounts store", "OK")
	}
	switch {
	case report.Backwards > 0:
		add("warn", "Clock", words.Plural(int(report.Backwards), "record")+" made with the clock put back")
	default:
		add("done", "Clock", q.Now.UTC().Format(time.RFC3339))
	}
	kind, says := q.rulesSay()
	add(kind, "Rules", says)
	q.meterChecks(add)
	q.witnessChecks(add)
	add("note", "Live pages", strconv.Itoa(q.Lab.Listeners())+" open")
	return out, sound
}

// storeCheck asks the store for its head, which has to be that of the journal
// as it was read, or further on. It names the kind of store, never its address.
func (q *request) storeCheck(read journal.Head, add func(kind, name, text string)) {
	ctx, cancel := context.WithTimeout(q.R.Context(), q.Patience)
	defer cancel()
	name := "Store"
	if q.Store != "" {
		name += ", " + q.Store
	}
	head, err := q.Log.Head(ctx)
	switch {
	case err != nil:
		add("stop", name, "it does not answer")
		q.Logger.Error("store", "error", err)
	case head.Seq < read.Seq:
		add("stop", name, "it holds fewer records than were read from it: was an older copy put back?")
	case head.Seq == read.Seq && head != store.Head{Seq: read.Seq, Hash: read.Hash}:
		add("stop", name, "its last record is another one than was read from it: is it the same journal?")
	default:
		add("done", name, fmt.Sprintf("answers; %d records", head.Seq))
	}
}

// rulesSay names the rule profile, or what the site lacks without one: the program chooses
// none, since only the site knows which law applies.
func (q *request) rulesSay() (kind, text string) {
	if q.Rules == nil {
		return "note", "No rule profile is named, so that nothing is held against a limit of the law. Start the program with --rules and the profile that applies here, such as --rules us-nc."
	}
	return "done", "The rule profile is " + q.Rules.ID + "."
}

func (q *request) meterChecks(add func(kind, name, text string)) {
	if q.Meters == nil {
		add("note", "Meters", "none is connected; readings are typed")
		return
	}
	all := q.Meters.Now(live.Query{Who: q.Who.ID})
	if len(all) == 0 {
		add("note", "Meters", "invented ones, for practice")
	}
	for _, m := range all {
		kind, words := "done", readings.Words(m, q.Now, words.Zoned{})
		if words.Why != "" {
			kind = "warn"
		}
		add(kind, "Meter "+m.Meter, strings.TrimSpace(words.Says+" "+words.Why))
	}
}

// metricsPage gives the counters in the text form that Prometheus reads, to
// who has the token, or may see the health.
func metricsPage(q *request) error {
	token, bearer := strings.CutPrefix(q.R.Header.Get("Authorization"), "Bearer ")
	switch {
	case bearer && q.MetricsToken != "" && subtle.ConstantTimeCompare([]byte(token), []byte(q.MetricsToken)) == 1:
	case q.Known() != people.Fresh:
		return &kit.Refusal{Status: http.StatusUnauthorized, Heading: "Signed out", Text: "nobody is signed in", Hint: "sign in", Back: "/sign-in"}
	default:
		if err := people.May(q.Who.Person, people.SeeHealth); err != nil {
			return err
		}
	}
	q.W.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	q.W.WriteHeader(http.StatusOK)
	return q.WriteCounts(q.W)
}

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
