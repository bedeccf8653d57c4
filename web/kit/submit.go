package kit

import (
	"cmp"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/replica"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Form is a form that adds facts.
type Form struct {
	ID, Title, Action, Button string
	Parts                     []Part
	// Act is what the person must be granted; signed where people say so.
	Act people.Act
	// Permit refuses by the rules of the procedure, asked with the case as it
	// is; nil for no further rule.
	Permit func(*State, []fact.Fact) error
	// After refuses by what the case would be with the new facts; nil for no
	// such rule.
	After func(before, after *State) error
	// Ask gives a question about what is to be recorded, or refuses it, before
	// anybody signs; nil for neither.
	Ask func(st *State, facts []fact.Fact) (*Doubt, error)
	// Amend changes the facts once the case is known, such as to number a
	// copy; nil for nothing.
	Amend func(*State, []fact.Fact) error
	// Setting reads what was typed as facts of the head of a case; nil where the
	// parts are entries.
	Setting func(parts []Part, typed url.Values, zone string) ([]fact.Fact, error)
	// Second is the signature of another person on the same form; nil for
	// none.
	Second *Second
	Lines  []view.Pair
	Notes  []view.Notice
	Danger bool
	// Expanded folds away what is seldom filled in, and nothing else.
	Expanded bool
	// Done: it is done by sending it, such as a release, so that a time that
	// was left empty is that of the sending that succeeds. What was measured
	// keeps the time at which it was first sent.
	Done bool
	// To is where it leads when it was recorded, said what is then said.
	To, Said string
	// Back is where a page of the form alone leads back to; the board where it is empty.
	Back view.Link
	// Prints is the serial of the label that the form prints; empty for none.
	Prints string
	// Also gives what is recorded with the facts, such as what was learned by
	// then; nil for nothing.
	Also func(now *State, facts []fact.Fact) []fact.Fact
	// Refused is told of what the form was refused for; nil for nobody.
	Refused func(err error, typed url.Values)
	// TypedAs is the input in which a field of a setting is asked; nil where
	// they have the same name.
	TypedAs func(field string) string
	// Unread are the inputs of the first part that its page shows and that are not read as
	// it was filled in, such as the fields of an entry that is struck out.
	Unread []string
	// Aid fills the form in beside the person; nil for nobody.
	Aid Aid
}

// Aid is who fills a form in beside the person, such as a meter that is connected.
type Aid interface {
	// Stamp writes into what was kept of a form when it happened.
	Stamp(e *Form, typed url.Values)
	// Show puts what may be taken beside the fields of a form.
	Show(e *Form, all FormFields, typed url.Values)
	// Sources says in the parts of a form where what was typed came from, before
	// it is read. It refuses what was taken wrongly.
	Sources(e *Form, st *State, typed url.Values) error
}

// FormFields are the fields of a form, wherever they stand in it.
type FormFields [][]view.Field

// Named finds a field; nil for none.
func (l FormFields) Named(name string) *view.Field {
	for _, some := range l {
		for i := range some {
			if some[i].Name == name {
				return &some[i]
			}
		}
	}
	return nil
}

// draftAge is how long what was typed is taken to be of now.
const draftAge = 2 * time.Minute

// FormOf gives the form as it is shown.
func (q *Request) FormOf(e *Form, behind uint64, typed url.Values, wrong Faults) view.Form {
	e = e.declared()
	s := q.Sheet()
	if s != nil {
		e = s.Form(e, "")
	}
	f := view.Form{
		ID: e.ID, Title: e.Title, Action: e.Action, Button: e.Button, Nonce: q.Nonce(), Head: decimal(behind),
		Notices: e.Notes, Lines: e.Lines, Danger: e.Danger, Keep: keeper(e.Action), Meaning: e.Act.Meaning(),
	}
	answered := yeses(typed)
	if typed == nil {
		kept, d := q.Draft(e.Action)
		if kept != nil {
			typed = kept
			unstamp(typed, q.Location())
			changed := e.settle(typed)
			if e.Aid != nil {
				e.Aid.Stamp(e, typed)
			}
			if s == nil && !e.Done && (d.Sent || q.Now.Sub(d.At) > draftAge) {
				fillNow(e.Parts, typed, d.At, q.Location()) // it happened then, and not when it is sent
			}
			f.Draft = q.keptSays(kept, d, changed)
		}
	}
	if typed == nil {
		typed = url.Values{}
	}
	e.settle(typed)
	folds := Input.folds
	switch {
	case s != nil:
		folds = func(Input, view.Field) bool { return false }
	case e.Expanded:
		folds = func(in Input, _ view.Field) bool { return in.Collapsible }
	}
	f.Fields, f.Rest = fields(e.ID, e.Parts, typed, wrong, folds)
	all := FormFields{f.Fields, f.Rest}
	if e.Aid != nil {
		e.Aid.Show(e, all, typed)
	}
	showStamps(all, typed, q.Now.In(q.Location()))
	q.beside(e, all, s)
	f.RestSays = restSays(f.Rest, q.Now)
	f.RestOpen = slices.ContainsFunc(f.Rest, func(f view.Field) bool { return f.Error != "" })
	if s != nil {
		s.fields(f.Fields)
	}
	for _, key := range answered {
		f.Fields = append(f.Fields, view.Field{Kind: "hidden", Name: answeredIn, Value: key})
	}
	if f.Meaning != "" {
		f.Fields = append(f.Fields, q.SignatureField(e.ID, wrong, len(f.Fields) == 0))
	}
	if e.Second != nil {
		f.Fields = append(f.Fields, e.Second.field(e.ID, wrong))
	}
	q.supervise(e, &f, typed, wrong)
	f.Fields = append(f.Fields, view.Field{Kind: "hidden", Name: askedIn, Value: typed.Get(askedIn)})
	if stamped := typed.Get(stampedIn); stamped != "" {
		f.Fields = append(f.Fields, view.Field{Kind: "hidden", Name: stampedIn, Value: stamped})
	}
	f.Notices = append(elsewhere(f, wrong), f.Notices...)
	return f
}

// beside says beside a field what may be typed in practice, and gives it the button
// that fills in the time of now, which no sheet of paper is about.
func (q *Request) beside(e *Form, all FormFields, s *Sheet) {
	for name, in := range inputs(e.Parts) {
		f := all.Named(name)
		if f == nil {
			continue
		}
		if q.Practice && in.Practice != "" {
			f.Hint = strings.TrimSpace(f.Hint + " " + in.Practice)
		}
		if in.Now != "" && s == nil {
			f.Now = &view.Now{Text: in.Now, Zone: q.Location().String()}
		}
	}
}

// elsewhere are the faults that stand beside no field of a form: those of the
// form as a whole, and of what it does not ask.
func elsewhere(f view.Form, wrong Faults) (out []view.Notice) {
	for _, name := range slices.Sorted(maps.Keys(wrong)) {
		at := func(f view.Field) bool { return f.Name == name && f.Kind != "hidden" }
		if slices.ContainsFunc(f.Fields, at) || slices.ContainsFunc(f.Rest, at) {
			continue
		}
		w := wrong[name]
		out = append(out, view.Notice{Kind: "stop", Word: "Error", Text: w.Text, Hint: w.Way})
	}
	return out
}

// clockIn shows a time in the zone of the site.
func (s *Server) clockIn(t time.Time) string {
	return words.Zoned{Location: s.Location()}.Hour(t)
}

// SignatureField is the field that signs.
func (q *Request) SignatureField(id string, wrong Faults, focus bool) view.Field {
	f := view.Field{Kind: "pin", Name: "pin", ID: id + "-pin", Label: "Your PIN signs", Signs: true, Required: true, Focus: focus && !wrong.ofField()}
	if !q.Who.HasPIN {
		f.Kind, f.Label = "password", "Your password signs"
	} else if q.Practice && q.Invented.PIN != "" {
		f.Hint = "In practice enter " + q.Invented.PIN + "."
	}
	wrong.put(&f)
	return f
}

// Enter records what a form says, by the list in the package comment. again
// shows the page with the form as it was sent.
func (q *Request) Enter(e *Form, st *State, again func(status int, f view.Form) error) error {
	e = e.declared()
	typed := q.R.PostForm
	if err := q.Numbered(e.To); err != nil {
		return cmp.Or(people.May(q.Who.Person, e.Act), err)
	}
	key, content := q.nonceKey(e.Action), bare(typed).Encode()
	sheet := q.Sheet()
	if sheet != nil {
		e = sheet.Form(e, "")
	}
	unstamp(typed, st.Zone.Loc())
	a, first := q.nonces.begin(key, content)
	if !first {
		return q.sentBefore(e, a, content, sheet, st, again)
	}
	to, err := "", error(nil)
	defer func() { q.nonces.end(key, a, to, err) }()
	changed := e.settle(typed)
	understood := answered(e.Parts, typed)
	if e.Aid != nil {
		err = e.Aid.Sources(e, st, typed)
	}
	d := q.dated(e, st, sheet, typed)
	if changed != "" {
		err = cmp.Or(err, people.May(q.Who.Person, e.Act))
		d.ahead[""] = Fault{changed, "Nothing was recorded. This is the form of now: look whether it is still right, write what is missing where it belongs, and send it again."}
	}
	if err != nil || len(d.ahead) > 0 {
		err = q.all(e, st, typed, d.ahead, err)
	} else {
		err = q.record(e, st, typed, content)
	}
	if err != nil {
		return q.redisplay(e, err, typed, d.undone(e, typed), st, again)
	}
	if err := q.Kept.DropDraft(q.R.Context(), q.Who.ID, e.Action); err != nil {
		q.Logger.Error("draft", "error", err)
	}
	if q.goBackAfterEntry() {
		understood = nil // who has the page now may be blind to it
	}
	q.Say(SaidRecorded, strings.Join(append([]string{e.Said}, understood...), " "))
	if to = e.To; e.Prints != "" && sheet == nil {
		q.leave("print", e.Prints)
	}
	return q.See(to)
}

// all are the faults of what was typed beside those found already, so that all
// are told at once; err where it is of another kind.
func (q *Request) all(e *Form, st *State, typed url.Values, found Faults, err error) error {
	_, _, unreadable := q.read(e, typed, st.Zone.Loc().String())
	for _, err := range []error{err, unreadable} {
		wrong, ok := errors.AsType[Faults](err)
		if err != nil && !ok {
			return err
		}
		for name, w := range wrong {
			if found[name].Text == "" {
				found[name] = w
			}
		}
	}
	return found
}

// nonceKey is under what the answer to a form is known: forms of two people,
// or two forms of one, never meet.
func (q *Request) nonceKey(action string) string {
	return q.Who.ID + " " + action + " " + q.R.PostForm.Get("nonce")
}

// Numbered refuses a form without its number, as no page of ours sends one; back is
// its page.
func (q *Request) Numbered(back string) error {
	if n := q.R.PostFormValue("nonce"); n == "" || len(n) > mostNonce {
		return &Refusal{http.StatusBadRequest, "Not recorded", "the form has no number, so the program cannot tell whether it was sent before; nothing was recorded", "open the page again, and fill the form in there", back}
	}
	return nil
}

// sentBefore answers a form that was sent before: recorded once, the answer is
// the same; with other content, or refused before, nothing was recorded of it.
func (q *Request) sentBefore(e *Form, a *answer, content string, sheet *Sheet, st *State, again func(int, view.Form) error) error {
	select {
	case <-a.done:
	case <-q.R.Context().Done():
		return q.R.Context().Err()
	}
	err := a.err
	switch {
	case a.content == content && a.to != "":
		q.goBackAfterEntry() // the browser may have lost the answer that did
		q.Say(SaidRecorded, e.Said)
		return q.See(a.to)
	case a.content != content && a.to != "":
		err = saidOther(e.To)
	case a.content != content:
		err = &Refusal{http.StatusConflict, "Not recorded", "this form was sent twice at the same time with different content; nothing was recorded", "look at what stands in it, and send it once", e.To}
	}
	typed := q.R.PostForm // with the time of now, as the first was
	return q.redisplay(e, err, typed, q.dated(e, st, sheet, typed).undone(e, typed), st, again)
}

// redisplay keeps what was typed, and shows the form as shown with what is wrong. It
// rests on what it rested on, until its person was shown what has moved since: an
// act then holds what was seen, a consent is made on the page of now.
func (q *Request) redisplay(e *Form, err error, typed, shown url.Values, st *State, show func(int, view.Form) error) error {
	if kept := q.KeepDraft(e.Action, typed, true); kept != nil {
		q.Logger.Error("draft", "error", kept)
	}
	if e.Refused != nil {
		e.Refused(err, typed)
	}
	behind, seen := number(typed, "head"), number(typed, "seen")
	moved, old := errors.AsType[*replica.MovedError](err)
	switch {
	case old && moved.Class == fact.Act:
		seen = moved.UpTo()
	case old:
		behind, seen = moved.UpTo(), 0
	}
	once := show
	show = func(status int, f view.Form) error {
		if seen > 0 {
			f.Seen = decimal(seen)
		}
		return once(status, f)
	}
	if old {
		f := q.FormOf(e, behind, shown, nil)
		f.Notices = append([]view.Notice{q.moved(moved, st)}, f.Notices...)
		return show(http.StatusConflict, f)
	}
	if asked, ok := errors.AsType[*questions](err); ok {
		f := q.FormOf(e, behind, shown, asked.Faults)
		asked.put(&f, q.Now)
		return show(http.StatusUnprocessableEntity, f)
	}
	if wrong, ok := errors.AsType[Faults](err); ok {
		return show(http.StatusUnprocessableEntity, q.FormOf(e, behind, shown, wrong))
	}
	status, msg, hint := http.StatusForbidden, "", ""
	if q.BlindAnywhere(st) {
		err = procedure.WithoutFigures(err)
	}
	if p, ok := errors.AsType[*procedure.Error](err); ok {
		msg, hint = p.Msg, p.Hint
	} else if p, ok := errors.AsType[*people.Error](err); ok {
		msg, hint = p.Msg, p.Hint
	} else {
		r := refused(err)
		status, msg, hint = r.Status, r.Text, r.Hint
		q.Logger.Error("entry failed", "route", q.route.Path, "error", err)
	}
	return show(status, q.FormOf(e, behind, shown, Faults{"": {msg, hint}}))
}

// Download gives a file to the browser, and notes in the log who took what.
func (q *Request) Download(name, kind string, data []byte) error {
	q.Logger.Info("export", "who", q.Who.ID, "file", name, "bytes", len(data), "head", q.Lab.Report().Head.Hash.String())
	h := q.W.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
	h.Set("Cache-Control", "no-store")
	q.W.WriteHeader(http.StatusOK)
	_, err := q.W.Write(data)
	return err
}
