package preparation

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
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/live"
	"vialwright/web/view"
	"vialwright/web/words"
)

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
func reads(p kit.Part) bool { return p.Kind == "read" || p.Kind == "second-check" }

// connected tells that readings can be taken from a meter: what comes from paper
// comes from none.
func (b *bench) connected() bool { return b.q.Meters != nil && b.q.Sheet() == nil }

// Show puts the meters beside the fields they can fill. One who may still check
// a dose sees them in the form of the check alone.
func (b *bench) Show(e *kit.Form, all kit.FormFields, typed url.Values) {
	q := b.q
	if !b.connected() || e.Act != people.SecondCheck && b.Blind() {
		return
	}
	for n, p := range e.Parts {
		for _, t := range taken {
			name := kit.Control(n, t.field)
			f := all.Named(name)
			if f == nil || !reads(p) {
				continue
			}
			l := &view.Live{ID: f.ID, Field: name, Token: typed.Get(name + lineOf), Action: b.Href() + "/take/" + word(e)}
			of := ""
			if t.in {
				l.Of = kit.Control(n, "of")
				of = wellOf(all, l.Of)
			}
			if line, ok := q.Meters.Find(l.Token); ok && holds(line, f.Value, f.Unit) {
				l.Taken = "Taken from " + line.Meter + " at " + b.Zone.Hour(line.At) + "."
			}
			if l.Meters = q.meterLines(b.File, []string{of}, b.Zone); len(l.Meters) > 0 {
				f.Live = l
			}
		}
	}
}

// wellOf is what the form says stands in the well.
func wellOf(all kit.FormFields, name string) string {
	if f := all.Named(name); f != nil && f.Value != "" {
		return f.Value
	}
	return live.NotChosen
}

// word is the name of the form in the address where a reading is taken.
func word(e *kit.Form) string {
	if e.Act == people.SecondCheck {
		return string(procedure.SecondCheck)
	}
	return e.Action[strings.LastIndexByte(e.Action, '/')+1:]
}

// meterLines is what the meters of a case say now of each of the wells; of a
// real meter nobody knows what stands in it, and it says the same of all.
func (q *request) meterLines(f *kit.File, wells []string, z words.Zoned) []view.Meter {
	known, now := kit.MeterIDs(f), q.Clock()
	var out []view.Meter
	for _, of := range wells {
		for _, m := range q.Meters.Now(live.Query{Who: q.Who.ID, Records: f.Records, Of: of}) {
			if !slices.Contains(known, m.Meter) {
				continue
			}
			v := books.MeterWords(m, now, z)
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
	if kit.BareNumber(text) {
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
	word := q.R.PathValue("form")
	e, back := b.other(word), b.Href()
	if e == nil {
		e, back = b.stepForm(procedure.Key(word)), b.Href()+"/step/"+word
	}
	if e == nil || e.Aid == nil || !b.connected() {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "nothing is taken from a meter into this form", Hint: "go to the bench", Back: b.Href()}
	}
	if e.Act == people.SecondCheck {
		back = b.Href() + "/check"
	}
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	name, token, _ := strings.Cut(q.R.PostForm.Get("take"), " ")
	line, ok := q.Meters.Find(token)
	why := "the meter did not send this, or sent it too long ago"
	if ok {
		why = line.Refuses(q.Clock())
	}
	if why != "" {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "It was not taken", Text: why, Hint: "wait until the meter has settled, and take it then", Back: back}
	}
	typed, _ := q.Draft(e.Action)
	if typed == nil {
		typed = url.Values{}
	}
	if !fillIn(e, typed, name, line) {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such field", Text: "nothing is taken from a meter into this field", Hint: "go back to the form", Back: back}
	}
	if err := q.KeepDraft(e.Action, typed, false); err != nil {
		return err
	}
	return q.See(back)
}

// fillIn puts a line into a field of a form; false where no meter fills it.
func fillIn(e *kit.Form, typed url.Values, name string, l live.Line) bool {
	for n, p := range e.Parts {
		for _, t := range taken {
			if !reads(p) || kit.Control(n, t.field) != name {
				continue
			}
			value, unit := l.Reading.Activity.Split()
			if !slices.Contains(kit.ActivityUnits, unit) {
				value = l.Reading.Activity.Text
			}
			typed.Set(name, value)
			typed.Set(name+kit.UnitOf, unit)
			typed.Set(name+lineOf, l.Token)
			typed.Set(kit.Control(n, "meter"), l.Meter)
			if t.in {
				typed.Del(kit.Control(n, "at"))
				if l.Of != "" {
					typed.Set(kit.Control(n, "of"), l.Of)
				}
			}
			return true
		}
	}
	return false
}

// Stamp writes the time of a reading that was taken from a meter, where none was
// typed.
func (b *bench) Stamp(e *kit.Form, typed url.Values) {
	q := b.q
	if !b.connected() {
		return
	}
	for n, p := range e.Parts {
		name := kit.Control(n, "gross")
		line, ok := q.Meters.Find(typed.Get(name + lineOf))
		if reads(p) && ok && holds(line, typed.Get(name), typed.Get(name+kit.UnitOf)) && strings.TrimSpace(typed.Get(kit.Control(n, "at"))) == "" {
			typed.Set(kit.Control(n, "at"), quantity.FormatTime(line.At.Truncate(time.Second), b.Zone.Loc()))
		}
	}
}

// recordedLine tells that a line is already in the record as a reading: two
// readings are two looks at the meter.
func recordedLine(f *kit.File, source, line string, at time.Time) bool {
	for _, r := range f.Records {
		got, meter, _ := words.SourcesOf(r.Fact)
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
