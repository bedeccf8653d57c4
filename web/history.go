package web

import (
	"net/http"
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/web/view"
)

// late is how far the time of a fact may lie before its recording without
// being marked as a late entry.
const late = 10 * time.Minute

// mostHistory is how many records the page of the whole site shows.
const mostHistory = 300

// historyPage shows what was recorded: of the order or container that is asked
// for, or the newest of the site.
func historyPage(q *request) error {
	if err := q.catchUp(); err != nil {
		return err
	}
	of := q.r.URL.Query().Get("of")
	f, heading := q.lab.File(of), "History of "+of
	report := q.lab.Report()
	if of == "" {
		f, heading = &file{Records: q.lab.Last(mostHistory)}, "History"
	}
	p := view.History{Page: q.page(heading), Case: "Board", CaseHref: "/"}
	p.Live = "/events"
	z := zoned{}
	if loc, err := q.Zones(q.Zone); err == nil {
		z = zoned{loc}
	}
	st, err := q.reckon(q.openFile(q.now), q.now)
	if err == nil && q.blindAnywhere(st) {
		return blindHere()
	}
	p.Verified = plural(int(report.Records), "record") + " of the journal verified, " + plural(len(f.Records), "record") + " shown. Nothing is ever changed: a correction is one more record."
	p.Entries = q.history(f, st, z)
	return q.show(http.StatusOK, p)
}

// blindHere refuses a page with figures to who may still do a second check.
func blindHere() error {
	return &refusal{http.StatusForbidden, "Blind", "you may do the second check of a dose that is open, and this page would show you the first figures", "do the check first, or let somebody else", "/"}
}

// history are the records of a case in words, each with what corrects it.
func (q *request) history(f *file, st *state, z zoned) []view.Entry {
	var out []view.Entry
	place := map[int]int{} // number of an entry to its place in out
	sheets := papers(f)
	for _, r := range f.Records {
		n := r.N
		e := view.Entry{
			Kind: fact.KindOf(r.Fact).Past, By: r.By, Recorded: z.clock(r.Recorded), Fields: pairs(r.Fact, z),
			Hash: "record " + strconv.Itoa(n) + " · " + q.lab.Hash(n).String(),
		}
		who, acts := signatures(r)
		for k, act := range acts {
			e.Fields = append(e.Fields, view.Pair{Name: "signed by " + who[k], Value: act.Meaning()})
		}
		if at := fact.At(r.Fact); !at.IsZero() && r.Recorded.Sub(at) > late {
			e.Late = "late entry: it happened at " + z.clock(at)
		}
		if p := sheets[n]; p != nil {
			e.Late = fromPaper(p, r, z)
		}
		if !fact.IsSetting(r.Fact) {
			e.Number = strconv.Itoa(n)
			place[n] = len(out)
			_, correction := r.Fact.(*fact.Correct)
			if !correction && q.mayCorrect(st, r.Fact, r.By, "?") == nil {
				e.CorrectHref = "/entry/" + e.Number + "/correct"
			}
		}
		if c, ok := r.Fact.(*fact.Correct); ok {
			e.Corrects = "Corrects entry " + strconv.Itoa(c.Entry) + ": " + c.Reason
			e.Fields = append(e.Fields, q.reopening(r)...)
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

// toCorrect finds the entry that the address names.
func (q *request) toCorrect() (*state, target, error) {
	st, err := q.caseState()
	if err != nil {
		return nil, target{}, err
	}
	n, _ := strconv.Atoi(q.r.PathValue("entry")) // 0 is the number of none
	e, ok := st.file.Entry(n)
	back := "/history"
	if !ok {
		return nil, target{}, &refusal{http.StatusNotFound, "There is no such entry", "no entry has this number", "look for it in the history", back}
	}
	t := target{e, st.file.Records[e.Place]}
	if _, ok := t.First.(*fact.Correct); ok {
		return nil, target{}, &refusal{http.StatusConflict, "That is a correction", "a correction is not corrected", "correct the first entry once more: its last correction holds", back}
	}
	_, check := t.First.(*fact.SecondCheck)
	own := check && t.record.By == q.who.ID // holds no figure of anybody else's
	if order := orderOf(st, t.fact()); !own && q.blindAnywhere(st) && (order == "" || q.blind(st, order)) {
		return nil, target{}, &refusal{http.StatusForbidden, "Blind", "you may do the second check of this dose, and this page would show you the first figures", "do the check first, or let somebody else", "/"}
	}
	return st, t, nil
}

func correctPage(q *request) error {
	st, t, err := q.toCorrect()
	if err != nil {
		return err
	}
	return q.correctShow(st, t, http.StatusOK, nil)
}

func correctDo(q *request) error {
	st, t, err := q.toCorrect()
	if err != nil {
		return err
	}
	e := q.correctForm(st, t, q.r.PostForm.Get("p0.strike") == "yes")
	return q.enter(e, st, func(status int, f view.Form) error {
		st, t, err := q.toCorrect()
		if err != nil {
			return err
		}
		return q.correctShow(st, t, status, &f)
	})
}

// correctForm asks for the entry as it should have been, field by field, or
// strikes it out.
func (q *request) correctForm(st *state, t target, strike bool) *entryForm {
	n := t.Number
	action := "/entry/" + strconv.Itoa(n) + "/correct"
	p := part{kind: "correct", fixed: map[string]any{"entry": n}, inputs: []input{
		{name: "reason", label: "What was wrong, and how it is known", kind: "text", must: true, focus: true},
	}}
	if fact.KindOf(t.First).Mend == fact.Replace {
		p.inputs = append(p.inputs, replacing(t.fact(), strike)...)
	}
	to := "/history"
	if v, ok := t.First.(*fact.SecondCheck); ok {
		to = benchHref(v.For) + "/check"
	}
	e := &entryForm{
		id: "correct", title: "Correct entry " + strconv.Itoa(n), action: action, button: "Record the correction", act: people.Correct, flat: true,
		parts: []part{p}, to: to, said: "The correction is recorded beside the old entry.",
		amend: func(now *state, facts []fact.Fact) error {
			e, _ := now.file.Entry(n)
			keepUntyped(target{Entry: e}.fact(), facts)
			return nil
		},
		permit: func(now *state, facts []fact.Fact) error {
			for _, f := range facts {
				if c, ok := f.(*fact.Correct); ok {
					if err := q.mayCorrect(now, t.First, t.record.By, c.Reason); err != nil {
						return err
					}
				}
			}
			if len(now.ClosedWith(n)) > 0 {
				return mayReopen(q.who.Person)
			}
			return nil
		},
	}
	e.ask = askElsewhere(t.fact())
	if orders := st.ClosedWith(n); len(orders) > 0 {
		q.reopens(e, orders)
	}
	return e
}

// askElsewhere asks before a correction takes activity from another container
// than the entry did: it joins or parts what is reckoned together.
func askElsewhere(was fact.Fact) func(*state, []fact.Fact) (*doubt, error) {
	return func(_ *state, facts []fact.Fact) (*doubt, error) {
		for _, f := range facts {
			c, ok := f.(*fact.Correct)
			if !ok || c.With == nil {
				continue
			}
			switch c.With.(type) {
			case *fact.Draw, *fact.Return, *fact.Transfer:
			default:
				continue
			}
			before, after := takenFrom(was), takenFrom(c.With)
			if before == after {
				continue
			}
			return &doubt{
				control: control(0, "reason"), yes: "Yes: it came from " + after, way: "Nothing is recorded before the answer.",
				text: "The entry takes it from " + before + ", and the correction from " + after + ". The figures of both, and of every order drawn from them, are worked out again.",
			}, nil
		}
		return nil, nil
	}
}

// takenFrom is the container that a fact takes activity from.
func takenFrom(f fact.Fact) string {
	for _, l := range fact.Fields(f) {
		if l.Path == "from" {
			return l.Text
		}
	}
	return ""
}

// replacing are the fields of an entry, filled with what they hold, those that
// it may leave out included. With strike they are not read.
func replacing(f fact.Fact, strike bool) []input {
	var out []input
	if strike {
		return out
	}
	for _, l := range fact.Fields(f) {
		if sourceFields[l.Path] || clockFields[l.Path] {
			continue
		}
		in := input{name: "with." + f.Kind() + "." + l.Path, label: l.Label, kind: "text", value: l.Text}
		switch {
		case l.List:
			in.kind, in.hint = "list", "Several with a comma between."
		case l.Number:
			in.kind = "number"
		case !l.Must:
			in.hint = "It may be left empty."
		}
		out = append(out, in)
	}
	return out
}

func (q *request) correctShow(st *state, t target, status int, sent *view.Form) error {
	r, title := t.record, "Correct entry "+strconv.Itoa(t.Number)
	back := "/history"
	p := view.FormPage{
		Page: q.page(title), Heading: title + ": " + fact.KindOf(r.Fact).Past,
		Back: view.Link{Text: "History", Href: back}, Facts: pairs(r.Fact, st.zone),
		Intro: "The old entry stays as it is, and yours stands beside it. Recorded by " + r.By + " at " + st.zone.clock(r.Recorded) + ".",
	}
	replaced := fact.KindOf(r.Fact).Mend == fact.Replace
	if !replaced {
		p.Cautions = append(p.Cautions, view.Notice{Kind: "note", Word: "Note", Text: "This entry can only be struck out.", Hint: "Do the step again after that."})
	}
	if sent != nil {
		p.Form = sent
		return q.show(status, p)
	}
	f := q.form(q.correctForm(st, t, false), st.file.Taken, nil, nil)
	if replaced {
		f.Fields = append(f.Fields, view.Field{Kind: "check", Name: "p0.strike", ID: "correct-strike", Label: "Strike it out: it did not happen at all"})
	}
	p.Form = &f
	return q.show(status, p)
}
