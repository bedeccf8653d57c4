package record

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// late is how far the time of a fact may lie before its recording without
// being marked as a late entry.
const late = 10 * time.Minute

// mostHistory is how many records the page of the whole site shows.
const mostHistory = 300

// historyPage shows what was recorded: of the orders or containers that are asked
// for, on a day, or the newest of the site.
func historyPage(q *request) error {
	of, day := q.R.URL.Query()["of"], q.R.URL.Query().Get("day")
	report, order, heading := q.Lab.Report(), "", "History of "+strings.Join(of, ", ")
	var f *kit.File
	newest := false // first
	switch from, end, err := quantity.ParseDay(day, q.Location()); {
	case strings.Join(of, "") != "":
		f = q.Lab.Remarked(q.Lab.File(of...))
	case err == nil:
		f, heading = &kit.File{Records: q.Lab.RecordedIn(from, end, mostHistory)}, "History of "+day
		if len(f.Records) == mostHistory {
			order = ", the first of that day"
		}
	default:
		newest = true
		f, heading, order = &kit.File{Records: q.Lab.Last(mostHistory)}, "History", ", the newest first"
	}
	p := History{Page: q.Page(heading), Heading: heading, Case: "Board", CaseHref: "/", Find: kit.PlainForm("find", "Find", "/history", "Find",
		view.Field{Kind: "text", Name: "find", Label: "An order, a container, an identifier of a patient, or the day of recording", Hint: "A day is written such as " + q.Now.In(q.Location()).Format(time.DateOnly) + ".", Required: true})}
	p.Find.Quiet = true
	p.Live = "/events"
	z := words.Zoned{Location: q.Location()}
	st, err := q.Reckon(q.OpenFile(q.Now), q.Now)
	if err == nil && q.BlindAnywhere(st) {
		return blindHere()
	}
	p.Verified = words.Plural(int(report.Records), "record") + " of the journal verified, " + words.Plural(len(f.Records), "record") + " shown" + order + ". Nothing is ever changed: a correction is one more record."
	p.Entries = q.history(f, st, z)
	if newest {
		slices.Reverse(p.Entries)
	}
	return q.Show(http.StatusOK, pages, p)
}

// historyFind leads to the history of what was typed. An identifier of a patient is in
// no address: the orders of the patient are.
func historyFind(q *request) error {
	typed := strings.TrimSpace(q.R.PostForm.Get("find"))
	if _, err := time.Parse(time.DateOnly, typed); err == nil {
		return q.See("/history?day=" + typed)
	}
	ids := []string{typed}
	if _, used := q.Lab.Used(typed); !used && !slices.Contains(q.Lab.Bins(), typed) {
		ids = q.Lab.OrdersOf(typed)
	}
	if len(ids) == 0 || typed == "" {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "Not known", Text: "no order and no container has this id, and no order this identifier of a patient", Hint: "write it as it stands on the order or the label; a day is written such as 2027-03-04", Back: "/history"}
	}
	return q.See("/history?" + url.Values{"of": ids}.Encode())
}

// blindHere refuses a page with figures to who may still do a second check.
func blindHere() error {
	return &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of a dose that is open, and this page would show you the first figures", Hint: "do the check first, or let another person do this", Back: "/"}
}

func (q *request) history(f *kit.File, st *kit.State, z words.Zoned) []Entry {
	var out []Entry
	place := map[int]int{} // number of an entry to its place in out
	sheets := kit.Papers(f)
	for _, r := range f.Records {
		n := r.N
		e := Entry{Recorded: z.Clock(r.Recorded), Hash: "record " + strconv.Itoa(n) + " · " + q.Lab.Hash(n).String()}
		if q.Withholds(r.Fact) {
			e.Kind, e.By, e.Number = kit.WithheldWord, kit.WithheldWord, strconv.Itoa(n)
			out = append(out, e)
			continue
		}
		e.Kind, e.By, e.Fields = fact.KindOf(r.Fact).Past, r.By, words.Pairs(q.Shown(st, r), z)
		who, acts := words.Signatures(r)
		for k, act := range acts {
			e.Fields = append(e.Fields, view.Pair{Name: "signed by " + q.NameAt(who[k], n), Value: act.Meaning()})
		}
		if at := fact.At(r.Fact); !at.IsZero() && r.Recorded.Sub(at) > late {
			e.Late = "late entry: it happened at " + z.Clock(at)
		}
		if p := sheets[n]; p != nil {
			e.Late = kit.FromPaper(p, r, z)
		}
		if !fact.IsSetting(r.Fact) {
			e.Number = strconv.Itoa(n)
			place[n] = len(out)
			_, correction := r.Fact.(*fact.Correct)
			if !correction && books.MayCorrect(q.Request, st, r.Fact, r.By, "?") == nil {
				e.CorrectHref = "/entry/" + e.Number + "/correct"
			}
		}
		if c, ok := r.Fact.(*fact.Correct); ok {
			e.Corrects = "Corrects entry " + strconv.Itoa(c.Entry) + ": " + c.Reason
			e.Fields = append(e.Fields, books.Reopening(q.Request, r)...)
			if at, ok := place[c.Entry]; ok {
				out[at].Struck = true
				out[at].By2 = "by " + r.By + " at " + e.Recorded + ", entry " + e.Number + ": " + c.Reason
			}
		}
		out = append(out, e)
	}
	return out
}

// target is an entry that is to be corrected, with its record.
type target struct {
	fold.Entry
	record journal.Record
}

// fact is the entry as it was last written; one that was struck out keeps what
// it said first.
func (t target) fact() fact.Fact {
	if t.Fact == nil {
		return t.First
	}
	return t.Fact
}

func (q *request) toCorrect() (*kit.State, target, error) {
	st, err := q.CaseState()
	if err != nil {
		return nil, target{}, err
	}
	n, _ := strconv.Atoi(q.R.PathValue("entry")) // 0 is the number of none
	e, ok := st.File.Entry(n)
	back := "/history"
	if !ok {
		return nil, target{}, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such entry", Text: "no entry has this number", Hint: "look for it in the history", Back: back}
	}
	t := target{e, st.File.Records[e.Place]}
	if q.Withholds(t.First) || q.Withholds(t.fact()) {
		return nil, target{}, &kit.Refusal{Status: http.StatusForbidden, Heading: "Withheld", Text: "this entry is private to a person", Hint: "ask that person, the medical physicist or the administrator", Back: back}
	}
	if _, ok := t.First.(*fact.Correct); ok {
		return nil, target{}, &kit.Refusal{Status: http.StatusConflict, Heading: "That is a correction", Text: "a correction is not corrected", Hint: "correct the first entry once more: its last correction holds", Back: back}
	}
	_, check := t.First.(*fact.SecondCheck)
	own := check && t.record.By == q.Who.ID // holds no figure of anybody else's
	if order := books.OrderOf(st, t.fact()); !own && q.BlindAnywhere(st) && (order == "" || q.Blind(st, order)) {
		return nil, target{}, &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of this dose, and this page would show you the first figures", Hint: "do the check first, or let another person do this", Back: "/"}
	}
	return st, t, nil
}

func correctPage(q *request) error {
	var t target
	read := func() (st *kit.State, err error) {
		st, t, err = q.toCorrect()
		return st, err
	}
	form := func(st *kit.State) *kit.Form { return q.correctForm(st, t, q.R.PostForm.Get("p0.strike") == "yes") }
	return q.PageOf(read, form, func(st *kit.State, status int, sent *view.Form) error { return q.correctShow(st, t, status, sent) })
}

// correctForm asks for the entry as it should have been, field by field, or
// strikes it out.
func (q *request) correctForm(st *kit.State, t target, strike bool) *kit.Form {
	n, title, button := t.Number, "Correct entry ", "Record the correction"
	if fact.KindOf(t.First).Mend != fact.Replace {
		title, button = "Strike out entry ", "Strike it out"
	}
	action := "/entry/" + strconv.Itoa(n) + "/correct"
	p := kit.Part{Kind: "correct", Fixed: map[string]any{"entry": n}, Inputs: []kit.Input{
		{Name: "reason", Label: "What was wrong, and how you know", Kind: "text", Must: true, Focus: true},
	}}
	if fact.KindOf(t.First).Mend == fact.Replace {
		p.Inputs = append(p.Inputs, replacing(t.fact(), strike, q.Now.In(st.Zone.Loc()))...)
	}
	to := q.bench(st, t)
	if v, ok := t.First.(*fact.SecondCheck); ok {
		to = kit.OrderHref(v.For) + "/check"
	}
	e := &kit.Form{
		ID: "correct", Title: title + strconv.Itoa(n), Action: action, Button: button, Act: people.Correct, Expanded: true,
		Parts: []kit.Part{p}, To: to, Said: "The correction is recorded beside the old entry.",
		Amend: func(now *kit.State, facts []fact.Fact) error {
			e, _ := now.File.Entry(n)
			keepUntyped(target{Entry: e}.fact(), facts)
			return identified(t.fact(), facts)
		},
		Permit: func(now *kit.State, facts []fact.Fact) error {
			for _, c := range fact.Of[*fact.Correct](facts) {
				if err := books.MayCorrect(q.Request, now, t.First, t.record.By, c.Reason); err != nil {
					return err
				}
			}
			if len(now.ClosedWith(n)) > 0 {
				return mayReopen(q.Who.Person)
			}
			return nil
		},
	}
	e.Ask, e.Unread = askElsewhere(t.fact()), []string{"strike"}
	if strike {
		e.Unread = append(e.Unread, "with")
		e.Lines = []view.Pair{{Name: "Strike it out", Value: "It did not happen at all."}}
	}
	if orders := st.ClosedWith(n); len(orders) > 0 {
		q.reopens(e, orders)
	}
	return e
}

// bench is where the work goes on after a correction: at the bench it was called
// for from, or that of the order which the entry is about; else the history.
func (q *request) bench(st *kit.State, t target) string {
	order := books.OrderOf(st, t.fact())
	if from, err := url.Parse(q.CameFrom()); err == nil && from.Query().Get("for") != "" {
		order = from.Query().Get("for")
	}
	// Not of the case: a vial that nothing was drawn from is in none of an order.
	for _, r := range q.Lab.File(order).Records {
		if o, ok := r.Fact.(*fact.Order); ok && o.ID == order {
			return kit.OrderHref(order)
		}
	}
	return "/history"
}

// identified refuses a correction that takes the second identifier of an order away
// and says no word why there is one only.
func identified(was fact.Fact, facts []fact.Fact) error {
	old, ok := was.(*fact.Order)
	if !ok || old.SecondID+old.OneIdentifier == "" {
		return nil
	}
	for _, c := range fact.Of[*fact.Correct](facts) {
		if o, ok := c.With.(*fact.Order); ok && o.SecondID+o.OneIdentifier == "" {
			return kit.Faults{kit.Control(0, "with.order.one-identifier"): {Text: "the order would have one identifier of the patient", Way: "write why there is one only"}}
		}
	}
	return nil
}

// askElsewhere asks before a correction takes activity from another container
// than the entry did: it joins or parts what is reckoned together.
func askElsewhere(was fact.Fact) func(*kit.State, []fact.Fact) (*kit.Doubt, error) {
	return func(_ *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
		for _, c := range fact.Of[*fact.Correct](facts) {
			switch c.With.(type) {
			case *fact.Draw, *fact.Return, *fact.Transfer:
			default:
				continue
			}
			before, after := takenFrom(was), takenFrom(c.With)
			if before == after {
				continue
			}
			return &kit.Doubt{
				Control: kit.Control(0, "reason"), Yes: "Yes: it came from " + after, Way: "Nothing is recorded before the answer.",
				Text: "The entry takes it from " + before + ", and the correction from " + after + ". The figures of both, and of every order drawn from them, are worked out again.",
			}, nil
		}
		return nil, nil
	}
}

func takenFrom(f fact.Fact) string {
	for _, l := range fact.Fields(f) {
		if l.Path == "from" {
			return l.Text
		}
	}
	return ""
}

// replacing are the fields of an entry, each as it stands, from where the one that is
// wrong is opened. Those that it is without are folded away behind them, so that a
// correction can give it one. With strike they are not read.
func replacing(f fact.Fact, strike bool, now time.Time) []kit.Input {
	var out []kit.Input
	if strike {
		return out
	}
	for _, l := range fact.Fields(f) {
		if !words.SourceFields[l.Path] && !clockFields[l.Path] {
			in := replaced(f, l)
			in.Was, in.Collapsible = words.OnTheWall(l.Text, now), l.Text == ""
			out = append(out, in)
		}
	}
	for _, l := range fact.Absent(f) {
		in := replaced(f, l)
		in.Collapsible = true
		out = append(out, in)
	}
	return out
}

// replaced is one field of an entry, as a correction asks for it.
func replaced(f fact.Fact, l fact.Field) kit.Input {
	in := kit.Input{Name: "with." + fact.Word(f) + "." + cmp.Or(l.Control, l.Path), Label: l.Label, Kind: "text", Value: l.Text}
	if l.Row > 0 {
		in.Label = strconv.Itoa(l.Row) + ": " + l.Label
	}
	switch {
	case l.List:
		in.Kind, in.Hint = "list", "Several with a comma between, each with its unit if it has one."
	case l.Number:
		in.Kind = "number"
	case !l.Must:
		in.Hint = "It may be left empty."
	}
	return in
}

func (q *request) correctShow(st *kit.State, t target, status int, sent *view.Form) error {
	r, e := t.record, q.correctForm(st, t, false)
	p := view.FormPage{
		Page: q.Page(e.Title), Heading: e.Title + ": " + fact.KindOf(r.Fact).Past,
		Back:  view.Link{Text: "History", Href: "/history"},
		Intro: "The old entry stays as it is, and yours stands beside it. Recorded by " + r.By + " at " + st.Zone.Clock(r.Recorded) + ".",
	}
	replaced := fact.KindOf(r.Fact).Mend == fact.Replace
	if !replaced || q.R.PostForm.Get("p0.strike") == "yes" { // no field of it says what it is
		p.Facts = words.Pairs(q.Shown(st, r), st.Zone)
	}
	if !replaced {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Note", Text: "This entry can only be struck out.", Hint: "Do the step again after that."})
	}
	if sent != nil {
		p.Form = sent
		return q.Show(status, pages, p)
	}
	f := q.FormOf(e, st.File.Taken, nil, nil)
	if replaced {
		f.Fields = append(f.Fields, view.Field{Kind: "check", Name: "p0.strike", ID: "correct-strike", Label: "Strike it out: it did not happen at all"})
	}
	p.Form = &f
	return q.Show(status, pages, p)
}
