// Package readings is how a reading comes from a meter that is connected into a
// form: what the meters say beside the fields, a reading taken with one key, and
// where each recorded figure came from.
package readings

import (
	"net/url"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/instrument"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
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

func reads(p kit.Part) bool { return p.Kind == "read" || p.Kind == "second-check" }

// Taker takes readings from the meters that are connected into the forms of one
// order. It is a [kit.Aid].
type Taker struct {
	Q *kit.Request
	// Meters are those that are connected; nil for none.
	Meters live.Meters
	// File is what the order is shown from, Zone the zone of its times.
	File *kit.File
	Zone words.Zoned
	// Action begins the address where a reading is taken without a script.
	Action string
	// Blind leaves the meters out of every form but that of the second check.
	Blind bool
}

// Connected tells that readings can be taken from a meter: what comes from paper
// comes from none.
func (x *Taker) Connected() bool { return x.Meters != nil && x.Q.Sheet() == nil }

// Show puts the meters beside the fields they can fill. One who may still check
// a dose sees them in the form of the check alone.
func (x *Taker) Show(e *kit.Form, all kit.FormFields, typed url.Values) {
	if !x.Connected() || e.Act != people.SecondCheck && x.Blind {
		return
	}
	for n, p := range e.Parts {
		for _, t := range taken {
			name := kit.Control(n, t.field)
			f := all.Named(name)
			if f == nil || !reads(p) {
				continue
			}
			l := &view.Live{ID: f.ID, Field: name, Token: typed.Get(name + lineOf), Action: x.Action + word(e)}
			of := ""
			if t.in {
				l.Of, of = kit.Control(n, "of"), live.NotChosen
				if in := all.Named(l.Of); in != nil && in.Value != "" {
					of = in.Value
				}
			}
			if line, ok := x.Meters.Find(l.Token); ok && holds(line, f.Value, f.Unit) {
				l.Taken = "Taken from " + line.Meter + " at " + x.Zone.Hour(line.At) + "."
			}
			if l.Meters = Lines(x.Q, x.Meters, x.File, []string{of}, x.Zone); len(l.Meters) > 0 {
				f.Live = l
			}
		}
	}
}

// word is the name of the form in the address where a reading is taken.
func word(e *kit.Form) string {
	if e.Act == people.SecondCheck {
		return string(procedure.SecondCheck)
	}
	return e.Action[strings.LastIndexByte(e.Action, '/')+1:]
}

// Lines is what the meters of a case say now of each of the wells; of a
// real meter nobody knows what stands in it, and it says the same of all.
func Lines(q *kit.Request, meters live.Meters, f *kit.File, wells []string, z words.Zoned) []view.Meter {
	known, now := kit.MeterIDs(f), q.Clock()
	var out []view.Meter
	for _, of := range wells {
		for _, m := range meters.Now(live.Query{Who: q.Who.ID, Records: f.Records, Of: of}) {
			if !slices.Contains(known, m.Meter) {
				continue
			}
			v := Words(m, now, z)
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

// FillIn puts a line into a field of a form; false where no meter fills it.
func FillIn(e *kit.Form, typed url.Values, name string, l live.Line) bool {
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
func (x *Taker) Stamp(e *kit.Form, typed url.Values) {
	if !x.Connected() {
		return
	}
	for n, p := range e.Parts {
		name := kit.Control(n, "gross")
		line, ok := x.Meters.Find(typed.Get(name + lineOf))
		if reads(p) && ok && holds(line, typed.Get(name), typed.Get(name+kit.UnitOf)) && strings.TrimSpace(typed.Get(kit.Control(n, "at"))) == "" {
			typed.Set(kit.Control(n, "at"), quantity.FormatTime(line.At.Truncate(time.Second), x.Zone.Loc()))
		}
	}
}

// recordedLine tells that a line is already in the record as a reading: two
// readings need two lines of the meter.
func recordedLine(f *kit.File, source, line string, at time.Time) bool {
	for _, r := range f.Records {
		got, meter, _ := words.SourcesOf(r.Fact)
		moment := fact.At(r.Fact)
		if c, ok := r.Fact.(*fact.Correct); ok && c.With != nil {
			moment = fact.At(c.With)
		}
		if meter != "" && got.Source == source && got.Line == line && moment.Equal(at) {
			return true
		}
	}
	return false
}

// Words is what a meter says, for a person.
func Words(m live.Meter, now time.Time, z words.Zoned) view.Meter {
	v := view.Meter{ID: m.Meter, Of: m.Of, Invented: m.Invented, Name: m.Meter + " shows"}
	switch {
	case m.Invented && m.Of == live.NotChosen:
		v.Name = "Invented meter " + m.Meter + ":"
	case m.Invented && m.Of == "":
		v.Name = "Invented meter " + m.Meter + ", empty:"
	case m.Invented:
		v.Name = "Invented meter " + m.Meter + " with " + m.Of + " in it:"
	}
	if !m.At.IsZero() {
		state := map[instrument.State]string{
			instrument.Stable: "stable", instrument.Unstable: "not stable", instrument.Unflagged: "stable or not: see the display",
		}[m.Reading.State]
		age := quantity.Span(now.Sub(m.At).Truncate(time.Second).Seconds())
		v.Says = m.Reading.Activity.Text + ", " + state + ", " + quantity.ShowSpan(max(0, age)) + " ago."
	}
	if why := m.Refuses(now); why != "" {
		v.Why = "It cannot be taken: " + why + "."
		return v
	}
	v.Value, v.Unit = m.Reading.Activity.Split()
	v.At, v.Token = quantity.FormatTime(m.At.Truncate(time.Second), z.Loc()), m.Token
	return v
}
