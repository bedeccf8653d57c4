package practice

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/drill"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

func (q *request) drills() (all []drill.Drill, err error) {
	if q.list == nil {
		q.list, err = drill.All(q.Zones)
	}
	return q.list, err
}

// run is one start of a drill. Its entries follow the record that started it.
type run struct {
	n     int
	by    string
	start *fact.Drill
	// drill is nil in all fields where this program knows no such drill.
	drill drill.Drill
}

func (r run) title() string { return cmp.Or(r.drill.Title, r.start.Drill) }
func (r run) href() string  { return "/practice/drill/" + strconv.Itoa(r.n) }

// wrong tells whether a record is one of those with the fault.
func (r run) wrong(n int) bool { return slices.Contains(r.drill.Fault, n-r.n) }

// holds tells whether a record is one of the entries that were played.
func (r run) holds(n int) bool { return r.n < n && n <= r.n+r.entries() }

func (r run) entries() int {
	return len(slices.DeleteFunc(slices.Clone(r.drill.Facts), fact.IsHeader))
}

// caught is one thing that a person did in a drill.
type caught struct {
	run run
	who string
	at  time.Time
	n   int // of the record
	did string
	// fault tells that the fault was caught, stopped that nothing more can happen
	// with the dose, over that the drill is at its end.
	fault, stopped, over bool
}

func (c caught) result() string {
	switch {
	case c.fault:
		return "Caught"
	case c.stopped:
		return "Stopped, fault not named"
	}
	return "Not caught"
}

// notFound is what a person says who gives up.
const notFound = "not found"

// runs are all drills that were started, and what was done in each until it was
// over, in the order of the journal.
func (q *request) runs() (all []run, done []caught) {
	drills, err := q.drills()
	if err != nil {
		return nil, nil
	}
	practice, _ := q.Lab.Kept(fact.OfPractice)
	for _, rec := range practice {
		if start, ok := rec.Fact.(*fact.Drill); ok {
			r := run{n: rec.N, by: rec.By, start: start}
			if i := slices.IndexFunc(drills, func(d drill.Drill) bool { return d.Name == start.Drill }); i >= 0 {
				r.drill = drills[i]
			}
			all = append(all, r)
			done = append(done, q.doneIn(r, practice)...)
		}
	}
	return all, done
}

// doneIn is what was done in one drill, until it was over. The answers are among
// the records of practice, all else is in the books of its orders and vials.
func (q *request) doneIn(r run, practice []journal.Record) (done []caught) {
	records := slices.Clone(practice)
	if ids := r.ids(); len(ids) > 0 {
		records = append(records, q.Lab.File(ids...).Records...)
	}
	slices.SortStableFunc(records, func(a, b journal.Record) int { return a.N - b.N })
	for _, rec := range records {
		c, ok := r.done(rec)
		if !ok || r.holds(rec.N) {
			continue
		}
		if done = append(done, c); c.over {
			break
		}
	}
	return done
}

// done is what a record says of a drill; false for one that says nothing of it.
func (r run) done(rec journal.Record) (caught, bool) {
	c := caught{run: r, who: rec.By, at: rec.Recorded, n: rec.N}
	order := ""
	switch x := rec.Fact.(type) {
	case *fact.DrillAnswer:
		c.fault = x.Result == fact.Pass
		c.over = c.fault || x.Accident == notFound
		c.did = "Said: entry " + strconv.Itoa(x.Entry) + ", " + x.Accident
		if x.Accident == notFound {
			c.did = "Said: I cannot find it"
		}
		return c, x.Started == r.n
	case *fact.Correct:
		c.fault = r.wrong(x.Entry)
		c.over = c.fault
		c.did = "Corrected entry " + strconv.Itoa(x.Entry)
		return c, r.holds(x.Entry)
	case *fact.Cancel:
		order, c.did, c.stopped = x.For, "Cancelled the preparation", true
	case *fact.Release:
		order, c.did = x.For, "Released the dose"
	case *fact.Infuse:
		order, c.did = x.For, "Recorded an infusion"
	case *fact.Close:
		order, c.did = x.For, "Closed the record"
	}
	c.over = true
	return c, order != "" && strings.HasPrefix(order, r.start.Prefix)
}

func (q *request) competence() (all []run, done []caught) {
	all, done = q.runs()
	slices.SortFunc(done, func(a, b caught) int { return cmp.Or(cmp.Compare(a.who, b.who), cmp.Compare(a.n, b.n)) })
	return all, done
}

// drillDo starts a drill: its morning is played into the books under new ids, as
// the work of who starts it, and ends now.
func drillDo(q *request) error {
	drills, err := q.drills()
	if err != nil {
		return err
	}
	zone := q.Location()
	i := slices.IndexFunc(drills, func(d drill.Drill) bool { return d.Name == q.R.PostFormValue("drill") })
	if i < 0 {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such drill", Text: "this program has no drill of this name", Hint: "choose one from the list", Back: "/practice"}
	}
	err = q.keepOfPractice(func(next int) ([]fact.Fact, error) {
		start := &fact.Drill{Drill: drills[i].Name, Prefix: "D" + strconv.Itoa(next) + "-", At: q.WallTime()}
		played, err := drills[i].Play(start.Prefix, q.Now, zone)
		return append([]fact.Fact{start}, played...), err
	})
	if refusedFold, ok := err.(*fact.Refusal); ok {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "This drill cannot be played here", Text: refusedFold.Error(), Hint: "the settings of this laboratory are not those of the drills; begin a new practice laboratory", Back: "/practice"}
	}
	if err != nil {
		return err
	}
	all, _ := q.runs()
	for _, r := range slices.Backward(all) {
		if r.by == q.Who.ID {
			q.Say(kit.SaidRecorded, "The drill has begun.")
			return q.See(r.href())
		}
	}
	return q.See("/practice")
}

// theRun is the run that the address names, and what was done in it.
func (q *request) theRun() (run, []caught, error) {
	all, done := q.runs()
	n, _ := strconv.Atoi(q.R.PathValue("run"))
	i := slices.IndexFunc(all, func(r run) bool { return r.n == n })
	if i < 0 {
		return run{}, nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such drill", Text: "no drill was started in this entry", Hint: "go to the list of drills", Back: "/practice"}
	}
	if all[i].entries() == 0 {
		return run{}, nil, &kit.Refusal{Status: http.StatusNotFound, Heading: "This drill is gone", Text: "this program has no drill called " + all[i].start.Drill + " any more; what was done in it stays in the record of practice", Hint: "go to the list of drills", Back: "/practice"}
	}
	return all[i], slices.DeleteFunc(done, func(c caught) bool { return c.run.n != n }), nil
}

func runPage(q *request) error { return q.runShow(http.StatusOK, nil) }

// runShow shows a drill to who started it, with what to look at and the question
// which entry is wrong; once it is over, with the answer.
func (q *request) runShow(status int, wrong error) error {
	r, done, err := q.theRun()
	if err != nil {
		return err
	}
	f := q.Lab.File(r.ids()...)
	st, err := q.Reckon(f, q.Now)
	if err != nil {
		return err
	}
	p := view.FormPage{
		Page: q.Page("Drill"), Heading: r.title(), Intro: r.drill.Told, Back: view.Link{Text: "Practice", Href: "/practice"},
	}
	for _, id := range r.orders() {
		p.Links = append(p.Links, view.Link{Text: "Bench of " + id, Href: kit.OrderHref(id), Main: true})
	}
	p.Links = append(p.Links, view.Link{Text: "Its history", Href: "/history?of=" + r.orders()[0]})
	for _, c := range done {
		word := map[bool]string{true: "done", false: "warn"}[c.fault]
		p.Cautions = append(p.Cautions, view.Notice{Kind: word, Word: c.result(), Text: q.NameOf(c.who) + ", " + st.Zone.Clock(c.at) + ": " + c.did + "."})
	}
	switch {
	case len(done) > 0 && done[len(done)-1].over:
		p.Facts = r.debrief()
	case r.by != q.Who.ID:
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Not yours", Text: "This drill is played by " + q.NameOf(r.by) + ".", Hint: "Start one of your own."})
	default:
		answer := kit.WithError(q.answerForm(r, st), wrong)
		p.Form = &answer
	}
	return q.Show(status, pages, p)
}

func (r run) orders() []string {
	var out []string
	for _, f := range r.drill.Facts {
		if o, ok := f.(*fact.Order); ok {
			out = append(out, r.start.Prefix+o.ID)
		}
	}
	return out
}

func (r run) ids() []string {
	var out []string
	for _, f := range r.drill.Facts {
		if s, ok := fact.Opens(f); ok && !slices.Contains(out, r.start.Prefix+s.ID) {
			out = append(out, r.start.Prefix+s.ID)
		}
	}
	return out
}

func (r run) debrief() []view.Pair {
	var wrong []string
	for _, n := range r.drill.Fault {
		wrong = append(wrong, strconv.Itoa(r.n+n))
	}
	return []view.Pair{
		{Name: "What it was", Value: r.drill.Accident + ", entry " + strings.Join(wrong, " or ")},
		{Name: "Why", Value: r.drill.Explains},
		{Name: "What to do", Value: r.drill.Right},
		{Name: "Modelled on", Value: r.drill.Source},
	}
}

func (q *request) answerForm(r run, st *kit.State) view.Form {
	entry := view.Field{Kind: "choice", Name: "entry", Label: "Which entry is wrong, or shows the fault?"}
	for _, rec := range st.File.Records {
		if r.holds(rec.N) {
			n := strconv.Itoa(rec.N)
			told := n
			if at := fact.At(rec.Fact); !at.IsZero() {
				told += ", " + st.Zone.Wall(at, q.Now)
			}
			entry.Choices = append(entry.Choices, view.Choice{Value: n, Text: told + ": " + words.Say(rec.Fact, st.Zone), Picked: n == q.R.PostFormValue("entry")})
		}
	}
	accident := view.Field{Kind: "choice", Name: "accident", Label: "What kind of accident is it?", Required: true}
	words := []string{}
	if drills, err := q.drills(); err == nil {
		for _, d := range drills {
			words = append(words, d.Accident)
		}
	}
	slices.SortFunc(words, func(a, b string) int { return cmp.Compare(strings.ToLower(a), strings.ToLower(b)) })
	for _, w := range words {
		accident.Choices = append(accident.Choices, view.Choice{Value: w, Text: w, Picked: w == q.R.PostFormValue("accident")})
	}
	accident.Choices = append(accident.Choices, view.Choice{Value: notFound, Text: "I cannot find it: show me"})
	f := kit.PlainForm("answer", "What is wrong?", r.href(), "Answer", entry, accident)
	f.Nonce, f.Intro = q.Nonce(), "You may also correct the entry or cancel the preparation at the bench: that is an answer too. Every answer stays in the record of practice."
	return f
}

func answerDo(q *request) error {
	r, done, err := q.theRun()
	if err != nil {
		return err
	}
	said := q.R.PostFormValue("accident")
	n, bad := strconv.Atoi(q.R.PostFormValue("entry"))
	if said == notFound {
		n, bad = r.n, nil
	}
	known := said == notFound
	if drills, err := q.drills(); err == nil {
		known = known || slices.ContainsFunc(drills, func(d drill.Drill) bool { return d.Accident == said })
	}
	switch {
	case r.by != q.Who.ID || len(done) > 0 && done[len(done)-1].over:
		return q.See(r.href()) // the page says why
	case bad != nil || said != notFound && !r.holds(n):
		return q.runShow(http.StatusUnprocessableEntity, &kit.Refusal{Text: "no entry is chosen", Hint: "choose one of the entries"})
	case !known:
		return q.runShow(http.StatusUnprocessableEntity, &kit.Refusal{Text: "no kind of accident is chosen", Hint: "choose one of the kinds"})
	}
	answer := &fact.DrillAnswer{Started: r.n, Entry: n, Accident: said, Result: fact.Fail, At: q.WallTime()}
	if r.wrong(n) && said == r.drill.Accident {
		answer.Result = fact.Pass
	}
	if err := q.keepOfPractice(func(int) ([]fact.Fact, error) { return []fact.Fact{answer}, nil }); err != nil {
		return err
	}
	return q.See(r.href())
}
