package kit

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
	"vialwright/web/words"
)

// Sheet is a sheet of paper that a person is entering into a case, after the
// work on it was done. While it is set every form of the case asks for the
// time on the sheet in place of now, each entry is marked as coming from it,
// and the procedure is asked as of the times on the sheet.
type Sheet struct {
	// Number is the number or name of the sheet, writer who wrote it, day the date
	// its times of day belong to.
	Number, Writer, Day string
}

// sheetCookie is the name under which a browser keeps the sheet being entered.
const sheetCookie = "sheet"

// Sheet is the one that this person is entering into the case of the address;
// nil for none. A correction is made now, and not on the sheet.
func (q *Request) Sheet() *Sheet {
	c, err := q.R.Cookie(sheetCookie)
	if err != nil || q.R.PathValue("entry") != "" {
		return nil
	}
	v, err := url.ParseQuery(c.Value)
	if err != nil || v.Get("who") != q.Who.ID {
		return nil
	}
	s := &Sheet{v.Get("sheet"), v.Get("by"), v.Get("day")}
	if s.Wrong() != nil {
		return nil
	}
	return s
}

// KeepSheet begins to enter a sheet, or ends it where there is none. It is kept in
// the browser, since it says how this person at this desk types, and nothing of
// what was done.
func (q *Request) KeepSheet(s *Sheet) {
	if s == nil {
		q.SetCookie(sheetCookie, "", -1)
		return
	}
	q.SetCookie(sheetCookie, url.Values{"who": {q.Who.ID}, "sheet": {s.Number}, "by": {s.Writer}, "day": {s.Day}}.Encode(), 12*3600)
}

// Wrong is what is wrong with the sheet; nothing where it can be entered.
func (s *Sheet) Wrong() Faults {
	out := Faults{}
	for name, text := range map[string]string{"sheet": s.Number, "by": s.Writer} {
		if text == "" || len(text) > 80 {
			out[name] = Fault{"it has 1 to 80 characters", "write what stands on the sheet"}
		}
	}
	if _, err := time.Parse(time.DateOnly, s.Day); err != nil {
		out["day"] = Fault{"it is no date", "such as 2027-03-04"}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// sheetNotice says that forms are entered from paper.
func (q *Request) sheetNotice(s *Sheet) view.Notice {
	return view.Notice{
		Kind: "warn", Word: "From paper", Text: "You are entering sheet " + s.Number + " of " + s.Day + ", written by " + s.Writer + ". Every form asks for the time on the sheet.",
		Hint: "When you have finished, end it under “Late entry”.",
	}
}

// HourOnly is a time of day without its date.
var HourOnly = regexp.MustCompile(`^\d{1,2}:\d\d(:\d\d)?$`)

// isTime tells whether an input takes a time that stands on the sheet.
func (in Input) isTime() bool {
	return in.Kind == "time" || in.Name == "start" || in.Name == "stop" || in.Name == "agitated"
}

// dated puts the day of the sheet before times of day.
func (s *Sheet) dated(parts []Part, typed url.Values) {
	for name, in := range inputs(parts) {
		if text := strings.TrimSpace(typed.Get(name)); in.isTime() && HourOnly.MatchString(text) {
			if len(text) == 4 || len(text) == 7 {
				text = "0" + text
			}
			typed.Set(name, s.Day+"T"+text)
		}
	}
}

// fields ask for the times on the sheet in place of now.
func (s *Sheet) fields(list []view.Field) {
	for i := range list {
		if f := &list[i]; f.Kind == "time" {
			f.Kind, f.Required, f.Small, f.Label = "text", true, true, f.Label+", on the sheet"
			f.Hint = "Such as 11:10, on " + s.Day + "."
		}
	}
}

// Form is a form as it is asked from a sheet: what was signed on the sheet
// with ink needs no second PIN, and the label that was written by hand has no
// serial to be scanned.
func (s *Sheet) Form(e *Form, label string) *Form {
	out := *e
	if e.Second != nil {
		x := *e.Second
		x.Must, x.Hint = false, "Empty where they signed on the sheet."
		out.Second = &x
	}
	out.Parts = append([]Part(nil), e.Parts...)
	for i, p := range out.Parts {
		out.Parts[i].Inputs = append([]Input(nil), p.Inputs...)
		for k := range out.Parts[i].Inputs {
			if in := &out.Parts[i].Inputs[k]; in.Name == "serial" && label != "" {
				in.Value, in.Hint = label, "That of the record: a label written by hand has none."
			}
		}
	}
	return &out
}

// asOf is the moment as of which a case is shown: while a sheet is entered that
// of the last thing that was done, else now.
func (q *Request) asOf(f *File) time.Time {
	if q.Sheet() == nil {
		return q.Now
	}
	last := time.Time{}
	for _, r := range f.Records {
		if at := fact.At(r.Fact); at.After(last) && !at.After(q.Now) {
			last = at
		}
	}
	if last.IsZero() {
		return q.Now
	}
	return last
}

// moment is the time of what is entered from the sheet, never after now; it is refused
// where it lies ahead.
func (s *Sheet) moment(parts []Part, facts []fact.Fact, from []int, now time.Time) (time.Time, error) {
	last := time.Time{}
	for i, f := range facts {
		at := fact.At(f)
		if at.Sub(now) > Soonest {
			name := ""
			for _, in := range parts[from[i]].Inputs {
				if in.isTime() && name == "" {
					name = Control(from[i], in.Name)
				}
			}
			return last, Faults{name: {"this is in the future", "a sheet is about the past; check the day"}}
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
func (s *Sheet) mark(before, count int) fact.Fact {
	return &fact.Paper{First: before + 1, Last: before + count, Sheet: s.Number, By: s.Writer}
}

// Papers are the entries of a case that came from paper, by their numbers. The
// last that speaks of an entry holds.
func Papers(f *File) map[int]*fact.Paper {
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

// FromPaper says of an entry that it came from paper.
func FromPaper(p *fact.Paper, r journal.Record, z words.Zoned) string {
	text := "late entry from paper, sheet " + p.Sheet + ", written by " + p.By
	if at := fact.At(r.Fact); !at.IsZero() {
		text += " at " + z.Clock(at)
	}
	return text + ", entered by " + r.By + " at " + z.Clock(r.Recorded)
}

// sheetMay is the refusal to enter a form from the sheet; nil without one.
func (q *Request) sheetMay(a people.Act) error {
	if s := q.Sheet(); s != nil {
		return procedure.FromPaper(q.Who.Person, a, s.Writer)
	}
	return nil
}
