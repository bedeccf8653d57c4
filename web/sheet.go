package web

import (
	"net/url"
	"regexp"
	"strings"
	"time"

	"vialwright/fact"
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
		if at := fact.At(r.Fact); at.After(last) && !at.After(q.now) {
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
func (s *sheet) moment(parts []part, facts []fact.Fact, from []int, now time.Time) (time.Time, error) {
	last := time.Time{}
	for i, f := range facts {
		at := fact.At(f)
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
func (s *sheet) mark(before, count int) fact.Fact {
	return &fact.Paper{First: before + 1, Last: before + count, Sheet: s.number, By: s.writer}
}

// papers are the entries of a case that came from paper, by their numbers. The
// last that speaks of an entry holds.
func papers(f *file) map[int]*fact.Paper {
	out := map[int]*fact.Paper{}
	for _, e := range f.Entries() {
		if p, ok := e.Fact.(*fact.Paper); ok {
			for k := p.First; k <= p.Last && k < e.Number; k++ {
				out[k] = p
			}
		}
	}
	return out
}

// fromPaper says of an entry that it came from paper.
func fromPaper(p *fact.Paper, r journal.Record, z zoned) string {
	text := "late entry from paper, sheet " + p.Sheet + ", written by " + p.By
	if at := fact.At(r.Fact); !at.IsZero() {
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
