package board

import (
	"cmp"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/meterbook"
	"vialwright/nuclide"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/words"
)

const (
	// decayHalfLives is how long waste is held before it is measured for its
	// release: ten half-lives by common practice, and in some places by law. The
	// measurement decides, not the time (10 CFR 35.92, from memory).
	decayHalfLives = 10
	// calibrationHolds is how long a calibration is gone by: a year, by common
	// practice, no source.
	calibrationHolds = 365 * 24 * time.Hour
	// mostDue bounds how many waste items are listed, mostFirst how much of all that is
	// due stands on the board at once.
	mostDue, mostFirst = 3, 10
)

// firstDue puts what is due by its time, the nearest to now first, and parts what stands
// on the board at once from the rest: what nobody did for years hides nothing of today.
func firstDue(all []Due, now time.Time) (first, rest []Due) {
	slices.SortStableFunc(all, func(a, b Due) int { return cmp.Compare(now.Sub(a.At).Abs(), now.Sub(b.At).Abs()) })
	n := min(len(all), mostFirst)
	return all[:n], all[n:]
}

// due is what is due now, apart from the orders: what may leave the waste, what
// has expired, the meters.
func (q *request) due(st *kit.State) []Due {
	out := append(q.dueReports(st), q.dueMeters(st)...)
	for _, v := range st.Result.Vials {
		if !v.Vial.Expiry.IsZero() && q.Now.After(v.Vial.Expiry) && !q.usedUp(st, v) && !st.Case.Gone(v.Vial.ID, q.Now) {
			out = append(out, q.offer(people.Discard, Due{Kind: "warn", Text: "Vial " + v.Vial.ID + " has expired: add it to waste.", Do: "Add to waste", Href: entering + "discard", At: v.Vial.Expiry}))
		}
	}
	for _, p := range st.Preparations() {
		if p.StillIn != "" {
			out = append(out, Due{Kind: "warn", Text: p.Order + " was cancelled, and its dose is still in " + p.StillIn + ".", Do: "See " + p.Order, Href: kit.OrderHref(p.Order), At: q.Now})
		}
	}
	items := q.Lab.Unsurveyed(q.Now, (decayHalfLives * st.Result.HalfLife).Duration())
	gone := books.BinsLeft(q.Request)
	items = slices.DeleteFunc(items, func(id string) bool { return gone[id] != nil && !gone[id].At.After(q.Now) })
	for _, id := range items[:min(len(items), mostDue)] {
		out = append(out, q.offer(people.Survey, Due{
			Kind: "note", Text: "Waste item " + id + " was held for ten half-lives: survey it for release.", Do: "Survey " + id, Href: entering + "survey?place=" + id,
		}))
	}
	if n := len(items) - mostDue; n > 0 {
		out = append(out, q.offer(people.Discard, Due{Kind: "note", Text: words.Plural(n, "more waste item") + " to survey for release.", Do: "Waste", Href: "/waste"}))
	}
	return out
}

// dueReports are what a rule profile asks for after an infusion, which outlasts the
// record of the order: the clocks that run, to complete the order, to tell of an event,
// to revise the order. What it cannot decide without stands before the first of them.
func (q *request) dueReports(st *kit.State) (out []Due) {
	for _, o := range st.Case.Orders {
		b, _ := books.BenchOf(q.Request, st, o.ID)
		if b.Blind() {
			continue
		}
		c, d, ok := b.Event()
		if !ok || b.Prep.Over() && !d.Unfinished() {
			continue
		}
		say := func(at time.Time, says string) {
			out = append(out, Due{Kind: "warn", Text: o.ID + ": " + words.TimesOnTheWall(says, q.Now), Do: "See " + o.ID, Href: kit.OrderHref(o.ID) + "/step/residual", At: at})
		}
		open := ""
		if d.Undecided {
			open = "Whether it was an event: " + d.Headline(c.Zone) + ". "
		}
		for _, k := range d.Clocks {
			if k.Runs() {
				say(k.Due, open+k.What+" "+k.Says(st.Zone.Loc())+" ("+k.Left(q.Now)+").")
				open = ""
			}
		}
		if open != "" {
			say(o.At, strings.TrimSpace(open))
		}
	}
	return out
}

// offer leaves the link out for who may not do it.
func (q *request) offer(a people.Act, d Due) Due {
	if people.May(q.Who.Person, a) != nil {
		d.Do, d.Href = "", ""
	}
	return d
}

// dueMeters are the instruments of the book of which something is overdue, and of the
// meters that are not in it those whose check of the day is not recorded or whose
// calibration is older than a year.
func (q *request) dueMeters(st *kit.State) (out []Due) {
	z := st.Zone.Loc()
	day := func(t time.Time) string { return t.In(z).Format(time.DateOnly) }
	done := map[string]bool{}
	for _, e := range fold.Entries(q.Lab.OfDay(q.Now)) {
		c, ok := e.Fact.(*fact.Check)
		if ok && day(c.At) == day(q.Now) && c.Result == fact.Pass {
			done[string(c.What)+" "+c.Of] = true
		}
	}
	b := q.instruments.Book(q.Now, z)
	out = q.dueInstruments(b)
	_, _, all := q.SettingsInForce(q.Now)
	for _, m := range all {
		if _, known := b.Ready(m.ID); known {
			continue // the book says what is due of it
		}
		var open []string
		for _, c := range []struct{ what, word string }{{"meter-background", "background"}, {"meter-constancy", "constancy"}} {
			if !done[c.what+" "+m.ID] {
				open = append(open, c.word)
			}
		}
		if len(open) == 1 {
			out = append(out, Due{Kind: "note", Text: "Meter " + m.ID + ": " + open[0] + " is not checked today.", At: q.Now})
		} else if len(open) == 2 {
			out = append(out, Due{Kind: "note", Text: "Meter " + m.ID + ": " + open[0] + " and " + open[1] + " are not checked today.", At: q.Now})
		}
		if !m.From.IsZero() && q.Now.Sub(m.From) > calibrationHolds {
			out = append(out, q.offer(people.SetMeter, Due{Kind: "warn", Text: "Meter " + m.ID + " was calibrated more than a year ago: recalibration is due (common practice, no source).", Do: "Meters", Href: "/meters", At: m.From.Add(calibrationHolds)}))
		}
	}
	return out
}

func (q *request) dueInstruments(b *meterbook.Book) (out []Due) {
	for _, i := range b.Instruments {
		var late []meterbook.Due
		for _, d := range i.Due {
			if d.Overdue {
				late = append(late, d)
			}
		}
		if len(late) == 0 {
			continue
		}
		d := Due{Kind: "warn", Text: late[0].Text(b.Zone), Do: "See " + i.ID, Href: "/instruments/of/" + url.PathEscape(i.ID), At: late[0].At}
		if n := len(late) - 1; n > 0 {
			d.Text += " " + words.Plural(n, "more thing") + " of it."
		}
		out = append(out, d)
	}
	return out
}

// pastWaste keeps what the groups that are over have left in the waste, by one
// of their ids, so that the sum of the site opens none of them again.
type pastWaste struct {
	mu sync.Mutex
	of map[string]wasteShare
}

// wasteShare is an activity at a moment.
type wasteShare struct {
	activity quantity.Activity
	at       time.Time
	known    bool
}

// keep takes what a group has left in the waste; a group that is not over has
// nothing here.
func (w *pastWaste) keep(f *kit.File, st *kit.State, over bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.of == nil {
		w.of = map[string]wasteShare{}
	}
	for _, id := range f.IDs { // of the groups that were joined to this one, too
		delete(w.of, id)
	}
	if !over || len(f.IDs) == 0 {
		return
	}
	p := wasteShare{at: st.Result.At, known: true}
	for _, k := range st.Result.Containers {
		if k.Container.Kind == ledger.WasteItem {
			p.activity += k.Activity
			p.known = p.known && k.Withheld == ""
		}
	}
	w.of[f.IDs[0]] = p
}

// sum is what is left of it now, leaving out the groups of some ids.
func (w *pastWaste) sum(now time.Time, halfLife quantity.Span, but []string) (a quantity.Activity, known bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	known = true
	for id, p := range w.of {
		switch {
		case now.Sub(p.at) > kit.Dormant:
			delete(w.of, id) // 22 half-lives: a four millionth is left
		case !slices.Contains(but, id):
			a += p.activity * quantity.Activity(nuclide.Factor(halfLife, nuclide.Elapsed(p.at, now)))
			known = known && p.known
		}
	}
	return a, known
}

// onSite is the activity in all containers and in the waste, in words. Each set
// is reckoned alone, so that the sum is said without an uncertainty of its own.
func (q *request) onSite(st *kit.State) string {
	if q.BlindAnywhere(st) {
		return "Not shown before your second check."
	}
	if !q.Looked() {
		return "Being added up: the program was started a moment ago."
	}
	sum, known := q.waste.sum(q.Now, st.Result.HalfLife, st.File.IDs)
	for _, k := range st.Result.Containers {
		if k.Container.Kind == ledger.Territory || !k.Here || st.Case.Gone(k.Container.ID, q.Now) {
			continue
		}
		known = known && k.Withheld == ""
		sum += k.Activity
	}
	switch {
	case sum < 1 && known:
		return "No activity."
	case sum < 1:
		return "Withheld, since entries contradict one another."
	}
	says := "About " + quantity.FormatDigits(sum, 3, "GBq") + " in all, waste included."
	if !known {
		says += " Withheld figures are not included."
	}
	return says
}
