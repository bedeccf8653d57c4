package kit

import (
	"bytes"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"time"

	"vialwright/accounts"
	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/procedure"
	"vialwright/store"
	"vialwright/web/view"
	"vialwright/web/words"
	"vialwright/witness"
)

// mostBody is the largest form, in bytes.
const mostBody = 64 << 10

// Request is one request with who makes it.
type Request struct {
	*Server
	W     http.ResponseWriter
	R     *http.Request
	route Route
	// Who is the person signed in; zero for nobody.
	Who     accounts.Account
	Session people.Session
	token   people.Token
	Now     time.Time
	// Wall is the time that sessions and locks go by: that of the machine.
	Wall time.Time
	// caughtUp tells that what other benches had appended was read for this request.
	caughtUp bool
	// unknown is why it could not be found out who makes the request.
	unknown error
	// withheld is what the person is not shown of the state withheldOf.
	withheld   *procedure.Withheld
	withheldOf *State
}

// Refusal is a page that says why something is not done.
type Refusal struct {
	// Status is that of HTTP.
	Status int
	// Heading, Text and Hint say what is refused, why, and the way out; Back is
	// where the page leads.
	Heading, Text, Hint string
	Back                string
}

func (e *Refusal) Error() string { return e.Text }

// replied tells that the answer was given, and that nothing more is done.
type replied struct{}

func (replied) Error() string { return "replied" }

func (s *Server) serve(route Route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		rec := &recorder{ResponseWriter: w}
		s.Follow()
		q := &Request{Server: s, W: rec, R: r, route: route, Now: s.Clock(), Wall: s.machine()}
		q.answer(q.guarded())
		took := s.machine().Sub(q.Wall)
		s.counts.observe(route, rec.status, took)
		s.Logger.Info("request", "method", r.Method, "route", route.Path, "status", rec.status, "took", took)
	})
}

// guarded runs the request, and turns a fault of the program into an error, so
// that the person gets a page and the log says where it was.
func (q *Request) guarded() (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("fault: %v\n%s", fault, debug.Stack())
		}
	}()
	return q.run()
}

// run goes down what every request must pass: its body, who makes it, and
// whether that person may.
func (q *Request) run() error {
	if err := q.body(); err != nil {
		return err
	}
	if err := q.identify(); err != nil {
		return err
	}
	if err := q.notTheirs(); err != nil {
		return err
	}
	if q.route.Act != "" {
		if err := people.May(q.Who.Person, q.route.Act); err != nil {
			return err
		}
	}
	if q.route.Fresh {
		if err := q.CatchUp(); err != nil {
			return err
		}
	}
	return q.route.Do(q)
}

// body reads a form of limited size and right type.
func (q *Request) body() error {
	if q.R.Method != http.MethodPost {
		return nil
	}
	kind, _, err := mime.ParseMediaType(q.R.Header.Get("Content-Type"))
	if err != nil || kind != "application/x-www-form-urlencoded" {
		return &Refusal{http.StatusUnsupportedMediaType, "Not a form", "this address takes a form", "use the page", "/"}
	}
	q.R.Body = http.MaxBytesReader(q.W, q.R.Body, mostBody)
	err = q.R.ParseForm()
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return &Refusal{http.StatusRequestEntityTooLarge, "Too much", "the form is larger than 64 KiB", "write less", "/"}
	}
	if err != nil {
		return &Refusal{http.StatusBadRequest, "Not readable", "the form cannot be read", "go back and send it again", "/"}
	}
	return nil
}

// See sends the browser elsewhere.
func (q *Request) See(to string) error {
	http.Redirect(q.W, q.R, to, http.StatusSeeOther)
	return replied{}
}

// Show writes a page, one of those of pages.
func (q *Request) Show(status int, pages view.Pages, page any) error {
	var b bytes.Buffer // a page that cannot be made is an error, not half a page
	if err := pages.Write(&b, page); err != nil {
		return err
	}
	q.W.Header().Set("Content-Type", "text/html; charset=utf-8")
	q.W.Header().Set("Cache-Control", "no-store")
	q.W.WriteHeader(status)
	_, err := b.WriteTo(q.W)
	return err
}

// answer turns what went wrong into a page.
func (q *Request) answer(err error) {
	if err == nil {
		return
	}
	if _, done := errors.AsType[replied](err); done {
		return
	}
	w, ok := q.W.(*recorder)
	if q.R.Context().Err() != nil || ok && w.left {
		q.Logger.Info("the browser left", "route", q.route.Path)
		return // nobody reads the answer
	}
	if ok && w.status != 0 {
		q.Logger.Error("failed while answering", "route", q.route.Path, "error", err)
		return
	}
	page := refused(err)
	if page.Status >= 500 {
		q.Logger.Error("failed", "route", q.route.Path, "error", err)
	}
	back := view.Link{Text: "Go on", Href: page.Back}
	v := view.Refused{Page: q.Page(page.Heading), Heading: page.Heading, Text: page.Text, Hint: page.Hint, Back: back}
	if err := q.Show(page.Status, view.Common, v); err != nil && !(ok && w.left) {
		q.Logger.Error("failed", "route", q.route.Path, "error", err)
	}
}

// refused gives the page for an error.
func refused(err error) *Refusal {
	if e, ok := errors.AsType[*Refusal](err); ok {
		return e
	}
	if e, ok := errors.AsType[*people.Error](err); ok {
		return &Refusal{http.StatusForbidden, "Not allowed", e.Msg, e.Hint, "/"}
	}
	if e, ok := errors.AsType[*secret.Error](err); ok && e.Code == secret.CodeBusy {
		return &Refusal{http.StatusServiceUnavailable, "Busy", e.Msg, e.Hint, "/"}
	}
	if f, ok := errors.AsType[*witness.Fault](err); ok {
		return &Refusal{http.StatusServiceUnavailable, "Nothing is recorded", f.Says(), f.Hint, "/"}
	}
	if e, ok := errors.AsType[*store.Error](err); ok {
		return &Refusal{http.StatusServiceUnavailable, "The record cannot be written", e.Msg, e.Hint, "/"}
	}
	return &Refusal{
		http.StatusInternalServerError, "The program failed", "the program could not do this; nothing was recorded",
		"write it on a blank sheet, and tell the person who looks after the program", "/",
	}
}

// Page is what every page has, for this person.
func (q *Request) Page(title string) view.Page {
	p := view.Page{Title: title, Practice: q.Mark(), Now: q.Now.UTC().Format("2006-01-02T15:04:05.000Z"), Foot: q.foot(), Theme: q.theme(), Aids: q.Aids()}
	if q.Who.ID != "" && q.Session.State(q.Wall, q.Limits) == people.Fresh {
		p.Who = view.Who{ID: q.Who.ID, Name: q.Who.Name, Roles: words.Titles(q.Who.Roles)}
		p.Nav = q.nav()
	}
	if f, ok := errors.AsType[*witness.Fault](q.Lab.Broken()); ok {
		p.Notices = append(p.Notices, view.Notice{Kind: "stop", Word: "Stop", Text: "Nothing is recorded: the journal is not the one that was noted. " + f.Says() + ".", Hint: words.Sentence(f.Hint) + "."})
	} else {
		p.Notices = append(p.Notices, q.stops()...)
	}
	if s := q.Sheet(); s != nil && len(p.Nav) > 0 {
		p.Notices = append(p.Notices, q.sheetNotice(s))
	}
	if word, text := q.flash(); text != "" {
		p.Notices = append(p.Notices, view.Notice{Kind: "done", Word: word, Text: text})
	}
	return p
}

// stops says on every page why nothing is recorded, or why the times may be wrong.
func (q *Request) stops() (out []view.Notice) {
	for _, s := range q.Lab.Stops(q.R.Context(), q.Now) {
		since := ""
		if !s.Since.IsZero() {
			since = " Found at " + q.clockIn(s.Since) + "."
		}
		out = append(out, view.Notice{Kind: "stop", Word: "Stop", Text: words.Sentence(s.What) + "." + since, Hint: words.Sentence(s.Way) + "."})
	}
	return out
}

func (q *Request) foot() string {
	r := q.Lab.Report()
	if r.Records == 0 {
		return q.Version + " · the journal is empty"
	}
	if going := q.Verifying(); going != "" {
		return q.Version + " · record " + decimal(r.Head.Seq) + ", " + witness.Digits(r.Head.Hash, 12) + "; " + going
	}
	return q.Version + " · journal verified to record " + decimal(r.Head.Seq) + ", " + witness.Digits(r.Head.Hash, 12)
}

// nav are the places the person may go to.
func (q *Request) nav() []view.Link {
	var out []view.Link
	for _, l := range []struct {
		text, href string
		act        people.Act
	}{
		{"Board", "/", people.SeeBoard},
		{"Site experience", "/experience", people.SeeBoard},
		{"People", "/people", people.AddPerson},
		{"System status", "/health", people.SeeHealth},
		{"Blank sheet", "/blank.pdf", people.PrintSheet},
	} {
		if people.May(q.Who.Person, l.act) == nil {
			out = append(out, view.Link{Text: l.text, Href: l.href, Current: q.R.URL.Path == l.href})
		}
	}
	return out
}

// theme is the person's choice of light or dark, which is no secret.
func (q *Request) theme() string {
	c, err := q.R.Cookie("theme")
	if err != nil || c.Value != "light" && c.Value != "dark" {
		return ""
	}
	return c.Value
}

// themeDo goes from that of the system to light, dark, and back.
func themeDo(q *Request) error {
	next := map[string]string{"": "dark", "dark": "light", "light": ""}[q.theme()]
	q.SetCookie("theme", next, 365*24*3600)
	return q.See(q.CameFrom())
}

// CameFrom is the page of ours that a form stood on.
func (q *Request) CameFrom() string {
	u, err := url.Parse(q.R.Header.Get("Referer"))
	if err != nil || u.Host != q.R.Host {
		return "/"
	}
	return Local(u.RequestURI())
}

// Local is an address of ours to go on to, the board for any other.
func Local(to string) string {
	u, err := url.Parse(to)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.Contains(to, "\\") {
		return "/"
	}
	return to
}

// flash takes what the last request left to be said.
func (q *Request) flash() (word, text string) {
	said, err := url.QueryUnescape(q.Left("said"))
	if err != nil || len(said) > mostSaid {
		return "", ""
	}
	word, text, _ = strings.Cut(said, "\n")
	return word, text
}

// leave keeps something for the next page of this browser.
func (q *Request) leave(name, text string) {
	q.SetCookie(name, text, 60)
}

// Left takes what was kept for this page, once; empty for nothing.
func (q *Request) Left(name string) string {
	if q.R.Header.Get("X-Live") != "" {
		return ""
	}
	c, err := q.R.Cookie(name)
	if err != nil || c.Value == "" {
		return ""
	}
	q.SetCookie(name, "", -1)
	return c.Value
}

// unsay takes back what was left for the next page.
func (q *Request) unsay() {
	for _, name := range []string{"said", "print"} {
		q.SetCookie(name, "", -1)
	}
}

// mostSaid is the longest sentence left for a next page, in bytes.
const mostSaid = 400

// What a sentence is about: only what is in the journal is called recorded.
const (
	SaidRecorded = "Recorded"
	SaidScanned  = "Scanned"
	SaidDone     = "Done"
)

// Say leaves a sentence for the next page.
func (q *Request) Say(word, text string) {
	q.leave("said", url.QueryEscape(word+"\n"+text))
}

// LateWitnesses are the places that take no notes of the journal's head, with since
// when and why. Nothing waits for them.
func (q *Request) LateWitnesses() (out []view.Notice) {
	w := q.Lab.Witness()
	if w == nil {
		return nil
	}
	for _, s := range w.Standing() {
		if s.Since.IsZero() {
			continue
		}
		out = append(out, view.Notice{
			Kind: "warn", Word: "Check",
			Text: "The witness " + s.Place + " has taken no note of the journal since " + words.Zoned{Location: q.Location()}.Wall(s.Since, q.Now) + ": " + s.Why + ".",
			Hint: "Entries are recorded as before. Make room there, or bring it back: until then it does not show what is changed in the journal.",
		})
	}
	return out
}
