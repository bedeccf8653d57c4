package web

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
)

// state is what the records of a page come to, at a moment.
type state struct {
	*procedure.Reckoned
	file *file
	zone zoned
}

// reckonFor works records out, a draw still to be made as that of who is about
// to draw. It fails where the facts cannot stand together, which an entry by this
// program does not lead to.
func (s *Server) reckonFor(f *file, now time.Time, drawer string) (*state, error) {
	k, err := procedure.Reckon(f.Records, s.Zones, now, drawer)
	if err != nil {
		return nil, err
	}
	return &state{k, f, zoned{k.Case.Zone}}, nil
}

// caseState works out what the address names.
func (q *request) caseState() (*state, error) {
	f, err := q.addressed()
	if err != nil {
		return nil, err
	}
	st, err := q.reckon(f, q.asOf(f))
	if err != nil {
		return nil, &refusal{http.StatusConflict, "This cannot be reckoned", err.Error(), "correct the entry it names", "/history"}
	}
	return st, nil
}

// entryForm is a form that adds facts.
type entryForm struct {
	id, title, action, button string
	parts                     []part
	// act is what the person must be granted; signed where people say so.
	act people.Act
	// permit refuses by the rules of the procedure, asked with the case as it
	// is; nil for no further rule.
	permit func(*state, []fact.Fact) error
	// after refuses by what the case would be with the new facts; nil for no
	// such rule.
	after func(before, after *state) error
	// ask gives a question about what is to be recorded, or refuses it, before
	// anybody signs; nil for neither.
	ask func(st *state, facts []fact.Fact) (*doubt, error)
	// amend changes the facts once the case is known, such as to number a
	// copy; nil for nothing.
	amend func(*state, []fact.Fact) error
	// head reads what was typed as facts of the head of a case; nil where the
	// parts are entries.
	head func(parts []part, typed url.Values, zone string) ([]fact.Fact, error)
	// second is the signature of another person on the same form; nil for
	// none.
	second *second
	lines  []view.Pair
	notes  []view.Notice
	danger bool
	// flat folds nothing away.
	flat bool
	// done: it is done by sending it, such as a release, so that a time that
	// was left empty is that of the sending that succeeds. What was measured
	// keeps the time at which it was first sent.
	done bool
	// to is where it leads when it was recorded, said what is then said.
	to, said string
	// prints is the serial of the label that the form prints; empty for none.
	prints string
	// also gives what is recorded with the facts, such as what was learned by
	// then; nil for nothing.
	also func(now *state, facts []fact.Fact) []fact.Fact
	// refused is told of what the form was refused for; nil for nobody.
	refused func(err error, typed url.Values)
	// typedAs is the input in which a field of a setting is asked; nil where
	// they have the same name.
	typedAs func(field string) string
	// aid fills the form in beside the person; nil for nobody.
	aid aid
}

// aid is who fills a form in beside the person, such as a meter that is connected.
type aid interface {
	// stamp writes into what was kept of a form when it happened.
	stamp(e *entryForm, typed url.Values)
	// show puts what may be taken beside the fields of a form.
	show(e *entryForm, all formFields, typed url.Values)
	// sources says in the parts of a form where what was typed came from, before
	// it is read. It refuses what was taken wrongly.
	sources(e *entryForm, st *state, typed url.Values) error
}

// formFields are the fields of a form, wherever they stand in it.
type formFields [][]view.Field

// named finds a field; nil for none.
func (l formFields) named(name string) *view.Field {
	for _, some := range l {
		for i := range some {
			if some[i].Name == name {
				return &some[i]
			}
		}
	}
	return nil
}

// soon is how long what was typed is taken to be of now.
const soon = 2 * time.Minute

// form gives the form as it is shown.
func (q *request) form(e *entryForm, behind uint64, typed url.Values, wrong faults) view.Form {
	e = e.declared()
	s := q.sheet()
	if s != nil {
		e = s.form(e, "")
	}
	f := view.Form{
		ID: e.id, Title: e.title, Action: e.action, Button: e.button, Nonce: q.nonce(), Head: decimal(behind),
		Notices: e.notes, Lines: e.lines, Danger: e.danger, Keep: keeper(e.action), Meaning: e.act.Meaning(),
	}
	if typed == nil {
		kept, d := q.draft(e.action)
		if kept != nil {
			typed = kept
			if e.aid != nil {
				e.aid.stamp(e, typed)
			}
			if zone, err := q.Zones(q.Zone); err == nil && s == nil && !e.done && (d.Sent || q.now.Sub(d.At) > soon) {
				stamp(e.parts, typed, d.At, zone) // it happened then, and not when it is sent
			}
			f.Draft = "What you typed by " + q.clockIn(d.At) + " is here again. It is not recorded yet."
		}
	}
	if typed == nil {
		typed = url.Values{}
	}
	f.Fields, f.Rest = fields(e.id, e.parts, typed, wrong, e.flat || s != nil)
	all := formFields{f.Fields, f.Rest}
	if e.aid != nil {
		e.aid.show(e, all, typed)
	}
	q.practise(e, all)
	f.RestSays = restSays(f.Rest, q.now)
	f.RestOpen = slices.ContainsFunc(f.Rest, func(f view.Field) bool { return f.Error != "" })
	if s != nil {
		s.fields(f.Fields)
	}
	if f.Meaning != "" {
		f.Fields = append(f.Fields, q.signature(e.id, wrong, len(f.Fields) == 0))
	}
	if e.second != nil {
		f.Fields = append(f.Fields, e.second.field(e.id, wrong))
	}
	f.Notices = append(elsewhere(f, wrong), f.Notices...)
	return f
}

// practise says beside a field what may be typed in practice.
func (q *request) practise(e *entryForm, all formFields) {
	if !q.Practice {
		return
	}
	for n, p := range e.parts {
		for _, in := range p.inputs {
			if f := all.named(control(n, in.name)); f != nil && in.practice != "" {
				f.Hint = strings.TrimSpace(f.Hint + " " + in.practice)
			}
		}
	}
}

// elsewhere are the faults that stand beside no field of a form: those of the
// form as a whole, and of what it does not ask.
func elsewhere(f view.Form, wrong faults) (out []view.Notice) {
	for _, name := range slices.Sorted(maps.Keys(wrong)) {
		at := func(f view.Field) bool { return f.Name == name && f.Kind != "hidden" }
		if slices.ContainsFunc(f.Fields, at) || slices.ContainsFunc(f.Rest, at) {
			continue
		}
		w := wrong[name]
		out = append(out, view.Notice{Kind: "stop", Word: "Error", Text: w.text + ".", Hint: w.way})
	}
	return out
}

// clockIn shows a time in the zone of the site.
func (s *Server) clockIn(t time.Time) string {
	return zoned{s.loc()}.hour(t)
}

// signature is the field that signs.
func (q *request) signature(id string, wrong faults, focus bool) view.Field {
	f := view.Field{Kind: "pin", Name: "pin", ID: id + "-pin", Label: "Your PIN signs", Small: true, Required: true, Focus: focus && len(wrong) == 0}
	if q.who.PIN == "" {
		f.Kind, f.Label = "password", "Your password signs"
	} else if q.Practice && q.Invented.PIN != "" {
		f.Hint = "In practice enter " + q.Invented.PIN + "."
	}
	if w, bad := wrong["pin"]; bad {
		f.Error, f.Way, f.Focus = w.text, w.way, true
	}
	return f
}

// enter records what a form says, by the list in the package comment. again
// shows the page with the form as it was sent.
func (q *request) enter(e *entryForm, st *state, again func(status int, f view.Form) error) error {
	e = e.declared()
	typed := q.r.PostForm
	if n := typed.Get("nonce"); n == "" || len(n) > mostNonce {
		return cmp.Or(people.May(q.who.Person, e.act), noNonce(e))
	}
	key, content := q.nonceKey(e.action), bare(typed).Encode()
	a, first := q.nonces.begin(key, content)
	if !first {
		return q.sentBefore(e, a, content, st, again)
	}
	to, err := "", error(nil)
	defer func() { q.nonces.end(key, a, to, err) }()
	sheet := q.sheet()
	if sheet != nil {
		e = sheet.form(e, "")
	}
	understood := answered(e.parts, typed)
	if e.aid != nil {
		err = e.aid.sources(e, st, typed)
	}
	d := q.dated(e, st, sheet, typed)
	if err != nil || len(d.ahead) > 0 {
		err = q.all(e, st, typed, d.ahead, err)
	} else {
		err = q.record(e, st, typed)
	}
	if err != nil {
		return q.again(e, err, typed, d.undone(e, typed), st, again)
	}
	if err := q.kept.dropDraft(q.r.Context(), q.who.ID, e.action); err != nil {
		q.Logger.Error("draft", "error", err)
	}
	q.say(saidRecorded, strings.Join(append([]string{e.said}, understood...), " "))
	if to = e.to; e.prints != "" && sheet == nil {
		q.leave("print", e.prints)
	}
	return q.see(to)
}

// all are the faults of what was typed beside those found already, so that all
// are told at once; err where it is of another kind.
func (q *request) all(e *entryForm, st *state, typed url.Values, found faults, err error) error {
	for _, err := range []error{err, q.readable(e, typed, st)} {
		wrong, ok := errors.AsType[faults](err)
		if err != nil && !ok {
			return err
		}
		for name, w := range wrong {
			if found[name].text == "" {
				found[name] = w
			}
		}
	}
	return found
}

// readable asks whether what was typed can be read.
func (q *request) readable(e *entryForm, typed url.Values, st *state) error {
	_, _, err := q.read(e, typed, st.zone.loc().String())
	return err
}

// nonceKey is under what the answer to a form is known: forms of two people,
// or two forms of one, never meet.
func (q *request) nonceKey(action string) string {
	return q.who.ID + " " + action + " " + q.r.PostForm.Get("nonce")
}

// noNonce refuses a form that no page of ours can have sent.
func noNonce(e *entryForm) error {
	return &refusal{http.StatusBadRequest, "Not recorded", "the form came without its number, so nobody can tell whether it was sent before; nothing was recorded", "open the page again, and fill the form in there", e.to}
}

// sentBefore answers a form that was sent before: recorded once, the answer is
// the same; with other content, or refused before, nothing was recorded of it.
func (q *request) sentBefore(e *entryForm, a *answer, content string, st *state, again func(int, view.Form) error) error {
	select {
	case <-a.done:
	case <-q.r.Context().Done():
		return q.r.Context().Err()
	}
	switch {
	case a.content != content && a.to != "":
		return &refusal{http.StatusConflict, "Not recorded", "this form was recorded before with other content, and that stands; what was sent now is not recorded", "look at what was recorded, and correct it there or fill in a new form", e.to}
	case a.content != content:
		return &refusal{http.StatusConflict, "Not recorded", "this form was sent twice at once with different content, and neither is recorded", "open the page again, and send the form once", e.to}
	case a.to == "":
		return q.again(e, a.err, q.r.PostForm, q.r.PostForm, st, again)
	}
	q.say(saidRecorded, e.said)
	return q.see(a.to)
}

// again keeps what was typed, and shows the form as shown with what is wrong. It
// rests on what it rested on, until its person was shown what has moved since: an
// act then holds what was seen, a consent is made on the page of now.
func (q *request) again(e *entryForm, err error, typed, shown url.Values, st *state, show func(int, view.Form) error) error {
	if kept := q.keepDraft(e.action, typed, true); kept != nil {
		q.Logger.Error("draft", "error", kept)
	}
	if e.refused != nil {
		e.refused(err, typed)
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
		f := q.form(e, behind, shown, nil)
		f.Notices = append([]view.Notice{q.moved(moved, st)}, f.Notices...)
		return show(http.StatusConflict, f)
	}
	if asked, ok := errors.AsType[*questions](err); ok {
		f := q.form(e, behind, shown, asked.faults)
		asked.put(&f, q.now)
		return show(http.StatusUnprocessableEntity, f)
	}
	if wrong, ok := errors.AsType[faults](err); ok {
		return show(http.StatusUnprocessableEntity, q.form(e, behind, shown, wrong))
	}
	status, msg, hint := http.StatusForbidden, "", ""
	if q.blindAnywhere(st) {
		err = procedure.Discreet(err)
	}
	if p, ok := errors.AsType[*procedure.Error](err); ok {
		msg, hint = p.Msg, p.Hint
	} else if p, ok := errors.AsType[*people.Error](err); ok {
		msg, hint = p.Msg, p.Hint
	} else {
		r := refused(err)
		status, msg, hint = r.status, r.text, r.hint
		q.Logger.Error("entry failed", "route", q.route.Path, "error", err)
	}
	return show(status, q.form(e, behind, shown, faults{"": {msg, hint}}))
}

// reckon works a case out for nobody in particular.
func (s *Server) reckon(f *file, now time.Time) (*state, error) { return s.reckonFor(f, now, "") }

// reckon works a case out, with a draw still to be made planned for the person
// who looks, if they may draw.
func (q *request) reckon(f *file, now time.Time) (*state, error) {
	drawer := ""
	if people.May(q.who.Person, people.Draw) == nil {
		drawer = q.who.ID
	}
	return q.reckonFor(f, now, drawer)
}

// blind tells that the person may still do the second check of an order, so
// that no page shows its figures.
func (q *request) blind(st *state, order string) bool {
	return st.Preparation(order).Blind(q.who.Person)
}

// blindAnywhere tells it of one of the orders that a page is made from.
func (q *request) blindAnywhere(st *state) bool { return st.Blind(q.who.Person) }

// hand gives a file to the browser, and notes in the log who took what.
func (q *request) hand(name, kind string, data []byte) error {
	q.Logger.Info("export", "who", q.who.ID, "file", name, "bytes", len(data), "head", q.lab.Report().Head.Hash.String())
	h := q.w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
	h.Set("Cache-Control", "no-store")
	q.w.WriteHeader(http.StatusOK)
	_, err := q.w.Write(data)
	return err
}
