package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"time"

	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

// sheet is a sheet of paper that a person is entering into a case, after the
// work on it was done. While it is set every form of the case asks for the
// time on the sheet in place of now, each entry is marked as coming from it,
// and the procedure is asked as of the times on the sheet.
type sheet struct {
	// number is the number or name of the sheet, writer who wrote it, day the date
	// its times of day belong to.
	number, writer, day string
}

const sheetCookie = "sheet"

// sheet is the one that this person is entering into the case of the address;
// nil for none. A correction is made now, and not on the sheet.
func (q *request) sheet() *sheet {
	c, err := q.r.Cookie(sheetCookie)
	if err != nil || q.r.PathValue("entry") != "" {
		return nil
	}
	v, err := url.ParseQuery(c.Value)
	if err != nil || v.Get("who") != q.who.ID {
		return nil
	}
	s := &sheet{v.Get("sheet"), v.Get("by"), v.Get("day")}
	if s.wrong() != nil {
		return nil
	}
	return s
}

// wrong is what is wrong with the sheet; nothing where it can be entered.
func (s *sheet) wrong() faults {
	out := faults{}
	for name, text := range map[string]string{"sheet": s.number, "by": s.writer} {
		if text == "" || len(text) > 80 {
			out[name] = fault{"it has 1 to 80 characters", "write what stands on the sheet"}
		}
	}
	if _, err := time.Parse(time.DateOnly, s.day); err != nil {
		out["day"] = fault{"it is no date", "such as 2027-03-04"}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// sheetPage asks for the sheet, or says which one is being entered.
func sheetPage(q *request) error { return q.sheetShow(http.StatusOK, q.sheet(), nil) }

func (q *request) sheetShow(status int, s *sheet, wrong faults) error {
	p := view.FormPage{
		Page: q.page("Late entry"), Heading: "Late entry", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "For what was written on paper first, such as without power. Every form then asks for the time on the sheet, and each entry says that it came from paper, who wrote it and who entered it. " +
			"Enter the steps in the order in which they were done. What was signed on the sheet, such as the second check and the release, is entered by who signed it.",
	}
	day, number, writer := q.clockDay(), "", q.who.ID
	if s != nil {
		day, number, writer = s.day, s.number, s.writer
	}
	fields := []view.Field{
		{Kind: "text", Name: "sheet", Label: "Number or name of the sheet", Value: number, Required: true, Focus: true},
		{Kind: "id", Name: "by", Label: "Who wrote it: id", Value: writer, Required: true},
		{Kind: "text", Name: "day", Label: "Day of the sheet", Value: day, Required: true, Small: true, Hint: "Times such as 11:10 are then of this day."},
	}
	for i := range fields {
		if w, bad := wrong[fields[i].Name]; bad {
			fields[i].Error, fields[i].Way = w.text, w.way
		}
	}
	begin := plain("sheet", "Which sheet", "/paper", "Enter from this sheet", fields...)
	p.Forms = append(p.Forms, begin)
	if q.sheet() != nil {
		p.Forms = append(p.Forms, plain("sheet-end", "The sheet is entered", "/paper", "Go back to entering what happens now", view.Field{Kind: "hidden", Name: "end", Value: "yes"}))
	}
	return q.show(status, p)
}

// clockDay is today, in the zone of the site.
func (s *Server) clockDay() string {
	return s.Clock().In(s.loc()).Format(time.DateOnly)
}

// sheetDo begins to enter a sheet, or ends it. It is kept in the browser, since
// it says how this person at this desk types, and nothing of what was done.
func sheetDo(q *request) error {
	c := &http.Cookie{Name: sheetCookie, Path: "/", SameSite: http.SameSiteStrictMode, HttpOnly: true, Secure: !q.PlainHTTP, MaxAge: 12 * 3600}
	if q.r.PostForm.Get("end") != "" {
		c.MaxAge = -1
		http.SetCookie(q.w, c)
		return q.see("/")
	}
	get := func(field string) string { return strings.TrimSpace(q.r.PostForm.Get(field)) }
	s := &sheet{get("sheet"), get("by"), get("day")}
	if wrong := s.wrong(); wrong != nil {
		return q.sheetShow(http.StatusUnprocessableEntity, s, wrong)
	}
	c.Value = url.Values{"who": {q.who.ID}, "sheet": {s.number}, "by": {s.writer}, "day": {s.day}}.Encode()
	http.SetCookie(q.w, c)
	return q.see("/")
}

// sheetNotice says that forms are entered from paper.
func (q *request) sheetNotice(s *sheet) view.Notice {
	return view.Notice{
		Kind: "warn", Word: "From paper", Text: "You are entering sheet " + s.number + " of " + s.day + ", written by " + s.writer + ". Every form asks for the time on the sheet.",
		Hint: "When it is entered, end it under “Late entry”.",
	}
}

// hourOnly is a time of day without its date.
var hourOnly = regexp.MustCompile(`^\d{1,2}:\d\d(:\d\d)?$`)

// isTime tells whether an input takes a time that stands on the sheet.
func (in input) isTime() bool {
	return in.kind == "time" || in.name == "start" || in.name == "stop" || in.name == "agitated"
}

// dated puts the day of the sheet before times of day.
func (s *sheet) dated(parts []part, typed url.Values) {
	for p, part := range parts {
		for _, in := range part.inputs {
			name := control(p, in.name)
			if text := strings.TrimSpace(typed.Get(name)); in.isTime() && hourOnly.MatchString(text) {
				if len(text) == 4 || len(text) == 7 {
					text = "0" + text
				}
				typed.Set(name, s.day+"T"+text)
			}
		}
	}
}

// fields ask for the times on the sheet in place of now.
func (s *sheet) fields(list []view.Field) {
	for i := range list {
		if f := &list[i]; f.Kind == "time" {
			f.Kind, f.Required, f.Small, f.Label = "text", true, true, f.Label+", on the sheet"
			f.Hint = "Such as 11:10; it is of " + s.day + "."
		}
	}
}

// form is a form as it is asked from a sheet: what was signed on the sheet
// with ink needs no second PIN, and the label that was written by hand has no
// serial to be scanned.
func (s *sheet) form(e *entryForm, label string) *entryForm {
	out := *e
	out.live = nil // what comes from paper comes from no meter
	if e.second != nil {
		x := *e.second
		x.must, x.hint = false, "Empty where they signed on the sheet."
		out.second = &x
	}
	out.parts = append([]part(nil), e.parts...)
	for i, p := range out.parts {
		out.parts[i].inputs = append([]input(nil), p.inputs...)
		for k := range out.parts[i].inputs {
			if in := &out.parts[i].inputs[k]; in.name == "serial" && label != "" {
				in.value, in.hint = label, "That of the record: a label written by hand has none."
			}
		}
	}
	return &out
}

// asOf is the moment as of which a case is shown: while a sheet is entered that
// of the last thing that was done, else now.
func (q *request) asOf(f *file) time.Time {
	if q.sheet() == nil {
		return q.now
	}
	last := time.Time{}
	for _, r := range f.Records {
		if at := journal.At(r.Fact); at.After(last) && !at.After(q.now) {
			last = at
		}
	}
	if last.IsZero() {
		return q.now
	}
	return last
}

// moment is the time of what is entered from the sheet; it is refused where it
// lies ahead.
func (s *sheet) moment(parts []part, facts []journal.Fact, from []int, now time.Time) (time.Time, error) {
	last := time.Time{}
	for i, f := range facts {
		at := journal.At(f)
		if at.After(now) {
			name := ""
			for _, in := range parts[from[i]].inputs {
				if in.isTime() && name == "" {
					name = control(from[i], in.name)
				}
			}
			return last, faults{name: {"this lies ahead", "a sheet tells what was done; check the day"}}
		}
		if at.After(last) {
			last = at
		}
	}
	if last.IsZero() {
		return now, nil
	}
	return last, nil
}

// mark is the entry which says that those before it came from the sheet.
func (s *sheet) mark(before, count int) journal.Fact {
	return &journal.Paper{First: before + 1, Last: before + count, Sheet: s.number, By: s.writer}
}

// mayStep asks the procedure for a step, and while a sheet is entered whether
// this person may enter it. That the dose is outside its time now is no reason
// against what was done then; it is asked again with the time on the sheet.
func (b *bench) mayStep(key procedure.Key) error {
	who, s := b.q.who.Person, b.q.sheet()
	err := procedure.Permit(who, key, b.prep, b.prep.Deeds)
	if s == nil {
		return err
	}
	if e, ok := err.(*procedure.Error); ok {
		outside := e.Code == procedure.CodeHeld && b.prep.Holds[0].Code == procedure.OutsideWindow
		if e.Code != procedure.CodeWindow && !outside {
			return err
		}
	} else if err != nil {
		return err
	}
	return procedure.FromPaper(who, key.Act(), s.writer)
}

// papers are the entries of a case that came from paper, by their numbers. The
// last that speaks of an entry holds.
func papers(f *file) map[int]*journal.Paper {
	out := map[int]*journal.Paper{}
	for _, e := range f.Entries() {
		if p, ok := e.Fact.(*journal.Paper); ok {
			for k := p.First; k <= p.Last && k < e.Number; k++ {
				out[k] = p
			}
		}
	}
	return out
}

// fromPaper says of an entry that it came from paper.
func fromPaper(p *journal.Paper, r journal.Record, z zoned) string {
	text := "late entry from paper, sheet " + p.Sheet + ", written by " + p.By
	if at := journal.At(r.Fact); !at.IsZero() {
		text += " at " + z.clock(at)
	}
	return text + ", entered by " + r.By + " at " + z.clock(r.Recorded)
}

// sheetMay is the refusal to enter a form from the sheet; nil without one.
func (q *request) sheetMay(a people.Act) error {
	if s := q.sheet(); s != nil {
		return procedure.FromPaper(q.who.Person, a, s.writer)
	}
	return nil
}
