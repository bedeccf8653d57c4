package web

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

	"vialwright/people"
	"vialwright/people/secret"
	"vialwright/store"
	"vialwright/web/view"
)

// mostBody is the largest form, in bytes.
const mostBody = 64 << 10

// request is one request with who makes it.
type request struct {
	*Server
	w     http.ResponseWriter
	r     *http.Request
	route Route
	// who is the person signed in; zero for nobody.
	who     account
	session people.Session
	token   people.Token
	now     time.Time
	// wall is the time that sessions and locks go by: that of the machine.
	wall time.Time
}

// refusal is a page that says why something is not done.
type refusal struct {
	status              int
	heading, text, hint string
	back                string
}

func (e *refusal) Error() string { return e.text }

// redirected tells that the answer was given by a redirect.
type redirected struct{ to string }

func (redirected) Error() string { return "redirected" }

func (s *Server) serve(route Route) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		rec := &recorder{ResponseWriter: w}
		s.follow()
		q := &request{Server: s, w: rec, r: r, route: route, now: s.Clock(), wall: s.machine()}
		q.answer(q.guarded())
		took := s.machine().Sub(q.wall)
		s.counts.seen(route, rec.status, took)
		s.Logger.Info("request", "method", r.Method, "route", route.Path, "status", rec.status, "took", took)
	})
}

// guarded runs the request, and turns a fault of the program into an error, so
// that the person gets a page and the log says where it was.
func (q *request) guarded() (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("fault: %v\n%s", fault, debug.Stack())
		}
	}()
	return q.run()
}

// run goes down what every request must pass: its body, who makes it, and
// whether that person may.
func (q *request) run() error {
	if err := q.body(); err != nil {
		return err
	}
	if err := q.identify(); err != nil {
		return err
	}
	if q.route.Act != "" {
		if err := people.May(q.who.Person, q.route.Act); err != nil {
			return err
		}
	}
	return q.route.do(q)
}

// body reads a form of limited size and right type.
func (q *request) body() error {
	if q.r.Method != http.MethodPost {
		return nil
	}
	kind, _, err := mime.ParseMediaType(q.r.Header.Get("Content-Type"))
	if err != nil || kind != "application/x-www-form-urlencoded" {
		return &refusal{http.StatusUnsupportedMediaType, "Not a form", "this address takes a form", "use the page", "/"}
	}
	q.r.Body = http.MaxBytesReader(q.w, q.r.Body, mostBody)
	err = q.r.ParseForm()
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return &refusal{http.StatusRequestEntityTooLarge, "Too much", "the form is larger than 64 KiB", "write less", "/"}
	}
	if err != nil {
		return &refusal{http.StatusBadRequest, "Not readable", "the form cannot be read", "go back and send it again", "/"}
	}
	return nil
}

// see sends the browser elsewhere.
func (q *request) see(to string) error {
	http.Redirect(q.w, q.r, to, http.StatusSeeOther)
	return redirected{to}
}

// show writes a page.
func (q *request) show(status int, page any) error {
	var b bytes.Buffer // a page that cannot be made is an error, not half a page
	if err := view.Write(&b, page); err != nil {
		return err
	}
	q.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	q.w.Header().Set("Cache-Control", "no-store")
	q.w.WriteHeader(status)
	_, err := b.WriteTo(q.w)
	return err
}

// answer turns what went wrong into a page.
func (q *request) answer(err error) {
	if err == nil {
		return
	}
	if _, done := errors.AsType[redirected](err); done {
		return
	}
	w, ok := q.w.(*recorder)
	if q.r.Context().Err() != nil || ok && w.left {
		q.Logger.Info("the browser left", "route", q.route.Path)
		return // nobody reads the answer
	}
	if ok && w.status != 0 {
		q.Logger.Error("failed while answering", "route", q.route.Path, "error", err)
		return
	}
	page := refused(err)
	if page.status >= 500 {
		q.Logger.Error("failed", "route", q.route.Path, "error", err)
	}
	back := view.Link{Text: "Go on", Href: page.back}
	v := view.Refused{Page: q.page(page.heading), Heading: page.heading, Text: page.text, Hint: page.hint, Back: back}
	if err := q.show(page.status, v); err != nil && !(ok && w.left) {
		q.Logger.Error("failed", "route", q.route.Path, "error", err)
	}
}

// refused gives the page for an error.
func refused(err error) *refusal {
	if e, ok := errors.AsType[*refusal](err); ok {
		return e
	}
	if e, ok := errors.AsType[*people.Error](err); ok {
		return &refusal{http.StatusForbidden, "Not allowed", e.Msg, e.Hint, "/"}
	}
	if e, ok := errors.AsType[*secret.Error](err); ok && e.Code == secret.CodeBusy {
		return &refusal{http.StatusServiceUnavailable, "Busy", e.Msg, e.Hint, "/"}
	}
	if e, ok := errors.AsType[*store.Error](err); ok {
		return &refusal{http.StatusServiceUnavailable, "The record cannot be written", e.Msg, e.Hint, "/"}
	}
	return &refusal{
		http.StatusInternalServerError, "Something is wrong here", "the program could not do this; nothing was recorded",
		"write it on a blank sheet, and tell who looks after the program", "/",
	}
}

// page is what every page has, for this person.
func (q *request) page(title string) view.Page {
	p := view.Page{Title: title, Practice: q.mark(), Foot: q.foot(), Theme: q.theme()}
	if q.who.ID != "" && q.session.State(q.wall, q.Limits) == people.Fresh {
		p.Who = view.Who{ID: q.who.ID, Name: q.who.Name, Roles: titles(q.who.Roles)}
		p.Nav = q.nav()
	}
	if err := q.lab.Broken(); err != nil {
		p.Notices = append(p.Notices, view.Notice{Kind: "stop", Word: "Stop", Text: "The journal does not hold: " + err.Error() + ".", Hint: "Nothing more is recorded. Work on paper, and tell who looks after the program."})
	}
	if s := q.sheet(); s != nil && len(p.Nav) > 0 {
		p.Notices = append(p.Notices, q.sheetNotice(s))
	}
	if word, text := q.flash(); text != "" {
		p.Notices = append(p.Notices, view.Notice{Kind: "done", Word: word, Text: text})
	}
	return p
}

func (q *request) foot() string {
	r := q.lab.Report()
	if r.Records == 0 {
		return q.Version + " · the journal is empty"
	}
	return q.Version + " · journal verified to record " + decimal(r.Head.Seq) + ", " + r.Head.Hash.String()[:12]
}

func titles(roles []people.Role) string {
	out := make([]string, len(roles))
	for i, r := range roles {
		out[i] = r.Title()
	}
	return strings.Join(out, ", ")
}

// nav are the places the person may go to.
func (q *request) nav() []view.Link {
	var out []view.Link
	for _, l := range []struct {
		text, href string
		act        people.Act
	}{
		{"Board", "/", people.SeeBoard},
		{"Learned", "/experience", people.SeeBoard},
		{"People", "/people", people.AddPerson},
		{"System status", "/health", people.SeeHealth},
		{"Blank sheet", "/blank.pdf", people.PrintSheet},
	} {
		if people.May(q.who.Person, l.act) == nil {
			out = append(out, view.Link{Text: l.text, Href: l.href, Current: q.r.URL.Path == l.href})
		}
	}
	return out
}

// theme is the person's choice of light or dark, which is no secret.
func (q *request) theme() string {
	c, err := q.r.Cookie("theme")
	if err != nil || c.Value != "light" && c.Value != "dark" {
		return ""
	}
	return c.Value
}

// themeDo goes from that of the system to light, dark, and back.
func themeDo(q *request) error {
	next := map[string]string{"": "dark", "dark": "light", "light": ""}[q.theme()]
	http.SetCookie(q.w, &http.Cookie{Name: "theme", Value: next, Path: "/", SameSite: http.SameSiteStrictMode, MaxAge: 365 * 24 * 3600})
	return q.see(q.cameFrom())
}

// cameFrom is the page of ours that a form stood on.
func (q *request) cameFrom() string {
	u, err := url.Parse(q.r.Header.Get("Referer"))
	if err != nil || u.Host != q.r.Host {
		return "/"
	}
	return local(u.RequestURI())
}

// local is an address of ours to go on to, the board for any other.
func local(to string) string {
	u, err := url.Parse(to)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.Contains(to, "\\") {
		return "/"
	}
	return to
}

// flash takes what the last request left to be said.
func (q *request) flash() (word, text string) {
	said, err := url.QueryUnescape(q.left("said"))
	if err != nil || len(said) > mostSaid {
		return "", ""
	}
	word, text, _ = strings.Cut(said, "\n")
	return word, text
}

// leave keeps something for the next page of this browser.
func (q *request) leave(name, text string) {
	http.SetCookie(q.w, &http.Cookie{Name: name, Value: text, Path: "/", MaxAge: 60, SameSite: http.SameSiteStrictMode, HttpOnly: true})
}

// left takes what was kept for this page, once; empty for nothing.
func (q *request) left(name string) string {
	if q.r.Header.Get("X-Live") != "" {
		return ""
	}
	c, err := q.r.Cookie(name)
	if err != nil || c.Value == "" {
		return ""
	}
	http.SetCookie(q.w, &http.Cookie{Name: name, Path: "/", MaxAge: -1, SameSite: http.SameSiteStrictMode, HttpOnly: true})
	return c.Value
}

// mostSaid is the longest sentence left for a next page, in bytes.
const mostSaid = 400

// What a sentence is about: only what is in the journal is called recorded.
const (
	saidRecorded = "Recorded"
	saidScanned  = "Scanned"
	saidDone     = "Done"
)

// say leaves a sentence for the next page.
func (q *request) say(word, text string) {
	q.leave("said", url.QueryEscape(word+"\n"+text))
}
