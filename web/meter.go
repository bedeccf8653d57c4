package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/live"
	"vialwright/web/view"
)

// Meters are the activity meters that are connected; [live.Board] is one, and
// [live.Invented]. It is asked by many goroutines at once.
type Meters interface {
	// Now gives what each meter says of a well.
	Now(live.Well) []live.Meter
	// Find gives a line that Now has given, by its token; false for any other.
	Find(token string) (live.Line, bool)
}

// lineOf is what is put behind the name of a control for the token of the line
// that was taken into it.
const lineOf = ".line"

// taken are the fields of a reading that a meter can fill, and whether the
// container stands in the well for it.
var taken = []struct {
	field string
	in    bool
}{{"gross", true}, {"background", false}}

// reads tells that a part is a reading of a meter.
func (p part) reads() bool { return p.kind == "read" || p.kind == "second-check" }

// connected tells that readings can be taken from a meter: what comes from paper
// comes from none.
func (b *bench) connected() bool { return b.q.Meters != nil && b.q.sheet() == nil }

// show puts the meters beside the fields they can fill. One who may still check
// a dose sees them in the form of the check alone.
func (b *bench) show(e *entryForm, all formFields, typed url.Values) {
	q := b.q
	if !b.connected() || e.act != people.SecondCheck && b.blind() {
		return
	}
	for n, p := range e.parts {
		for _, t := range taken {
			name := control(n, t.field)
			f := all.named(name)
			if f == nil || !p.reads() {
				continue
			}
			l := &view.Live{ID: f.ID, Field: name, Token: typed.Get(name + lineOf), Action: b.href() + "/take/" + e.word()}
			of := ""
			if t.in {
				l.Of = control(n, "of")
				of = wellOf(all, l.Of)
			}
			if line, ok := q.Meters.Find(l.Token); ok && holds(line, f.Value, f.Unit) {
				l.Taken = "Taken from " + line.Meter + " at " + b.zone.hour(line.At) + "."
			}
			if l.Meters = q.meterLines(b.file, []string{of}, b.zone); len(l.Meters) > 0 {
				f.Live = l
			}
		}
	}
}

// wellOf is what the form says stands in the well.
func wellOf(all formFields, name string) string {
	if f := all.named(name); f != nil && f.Value != "" {
		return f.Value
	}
	return live.NotChosen
}

// word is the name of the form in the address where a reading is taken.
func (e *entryForm) word() string {
	if e.act == people.SecondCheck {
		return string(procedure.SecondCheck)
	}
	return e.action[strings.LastIndexByte(e.action, '/')+1:]
}

// meterLines is what the meters of a case say now of each of the wells; of a
// real meter nobody knows what stands in it, and it says the same of all.
func (q *request) meterLines(f *file, wells []string, z zoned) []view.Meter {
	known, now := meters(f), q.Clock()
	var out []view.Meter
	for _, of := range wells {
		for _, m := range q.Meters.Now(live.Well{Who: q.who.ID, Records: f.Records, Of: of}) {
			if !slices.Contains(known, m.Meter) {
				continue
			}
			v := meterWords(m, now, z)
			if !slices.ContainsFunc(out, func(o view.Meter) bool { return o.ID == v.ID && o.Of == v.Of }) {
				out = append(out, v)
			}
		}
	}
	return out
}

// holds tells that what stands in a field is what a line says, to the digit.
func holds(l live.Line, value, unit string) bool {
	text := strings.TrimSpace(value)
	if bareNumber(text) {
		text += " " + unit
	}
	got, err := quantity.Parse[quantity.Activity](text)
	return err == nil && got == l.Reading.Activity
}

// takeDo takes a reading into a form without a script: it keeps it as typed
// there, with the token of its line, and leads back to the form.
func takeDo(q *request) error {
	b, err := q.theBench()
	if err != nil {
		return err
	}
	word := q.r.PathValue("form")
	e, back := b.other(word), b.href()
	if e == nil {
		e, back = b.stepForm(procedure.Key(word)), b.href()+"/step/"+word
	}
	if e == nil || e.aid == nil || !b.connected() {
		return &refusal{http.StatusNotFound, "There is no such form", "nothing is taken from a meter into this form", "go to the bench", b.href()}
	}
	if e.act == people.SecondCheck {
		back = b.href() + "/check"
	}
	if err := people.May(q.who.Person, e.act); err != nil {
		return err
	}
	name, token, _ := strings.Cut(q.r.PostForm.Get("take"), " ")
	line, ok := q.Meters.Find(token)
	why := "the meter did not say this, or too long ago"
	if ok {
		why = line.Refuses(q.Clock())
	}
	if why != "" {
		return &refusal{http.StatusConflict, "It was not taken", why, "wait until the meter has settled, and take it then", back}
	}
	typed, _ := q.draft(e.action)
	if typed == nil {
		typed = url.Values{}
	}
	if !fillIn(e, typed, name, line) {
		return &refusal{http.StatusNotFound, "There is no such field", "nothing is taken from a meter into this field", "go back to the form", back}
	}
	if err := q.keepDraft(e.action, typed, false); err != nil {
		return err
	}
	return q.see(back)
}

// fillIn puts a line into a field of a form; false where no meter fills it.
func fillIn(e *entryForm, typed url.Values, name string, l live.Line) bool {
	for n, p := range e.parts {
		for _, t := range taken {
			if !p.reads() || control(n, t.field) != name {
				continue
			}
			value, unit := l.Reading.Activity.Split()
			if !slices.Contains(activityUnits, unit) {
				value = l.Reading.Activity.Text
			}
			typed.Set(name, value)
			typed.Set(name+unitOf, unit)
			typed.Set(name+lineOf, l.Token)
			typed.Set(control(n, "meter"), l.Meter)
			if t.in {
				typed.Del(control(n, "at"))
				if l.Of != "" {
					typed.Set(control(n, "of"), l.Of)
				}
			}
			return true
		}
	}
	return false
}

// stamp writes the time of a reading that was taken from a meter, where none was
// typed.
func (b *bench) stamp(e *entryForm, typed url.Values) {
	q := b.q
	if !b.connected() {
		return
	}
	for n, p := range e.parts {
		name := control(n, "gross")
		line, ok := q.Meters.Find(typed.Get(name + lineOf))
		if p.reads() && ok && holds(line, typed.Get(name), typed.Get(name+unitOf)) && strings.TrimSpace(typed.Get(control(n, "at"))) == "" {
			typed.Set(control(n, "at"), quantity.FormatTime(line.At.Truncate(time.Second), b.zone.loc()))
		}
	}
}

// recordedLine tells that a line is already in the record as a reading: two
// readings are two looks at the meter.
func recordedLine(f *file, source, line string, at time.Time) bool {
	for _, r := range f.Records {
		got, meter, _ := sourcesOf(r.Fact)
		if meter != "" && got.Source == source && got.Line == line && momentOf(r.Fact).Equal(at) {
			return true
		}
	}
	return false
}

// momentOf is the time of a reading, corrected or not.
func momentOf(f fact.Fact) time.Time {
	if c, ok := f.(*fact.Correct); ok && c.With != nil {
		f = c.With
	}
	return fact.At(f)
}
