package web

import (
	"cmp"
	"encoding/json"
	"errors"
	"net/url"
	"strconv"
	"strings"
	"time"

	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/view"
)

// input is one field of a fact as it is asked. Its name is the path of the
// field in the fact, such as "before.rate".
type input struct {
	name, label, kind, hint string
	// units are those a number may have; with one, it is not asked.
	units   []string
	choices []view.Choice
	// value and unit are proposed.
	value, unit string
	must, focus bool
	// small puts it beside others; same is the control it takes its text
	// from, and is not shown.
	small bool
	same  string
	// aside does not make a part filled in by itself.
	aside bool
	// fold puts it with what is seldom filled in.
	fold bool
}

// part is one fact of a form.
type part struct {
	kind string
	// fixed are the fields that are not asked.
	fixed  map[string]any
	inputs []input
	// optional: left out where everything asked is blank.
	optional bool
}

// fault is what is wrong with one field of a form.
type fault struct{ text, way string }

// faults are those of a form, under the names of its controls; those under ""
// are of the form as a whole.
type faults map[string]fault

func (f faults) Error() string { return "the form is not complete" }

// control is the name of a control in the form.
func control(part int, path string) string { return "p" + strconv.Itoa(part) + "." + path }

const unitOf = ".unit"

// fields are the controls of the parts, with what was typed, kept or
// proposed, in this order. rest are those that need no hand: they hold what was
// proposed, or the time of now; none of a flat form.
func fields(id string, parts []part, typed url.Values, wrong faults, flat bool) (out, rest []view.Field) {
	focused := false
	for p, part := range parts {
		for _, in := range part.inputs {
			if in.same != "" {
				continue
			}
			name := control(p, in.name)
			f := view.Field{
				Small: in.small || in.kind == "time" || in.kind == "id" && !in.focus,
				Kind:  shown(in.kind), Name: name, ID: id + "-" + strings.ReplaceAll(name, ".", "-"), Label: in.label, Hint: in.hint,
				Value: in.value, Unit: in.unit, Units: in.units, UnitName: name + unitOf, Required: in.must && in.kind != "time",
			}
			if typed.Has(name) {
				f.Value = typed.Get(name)
			}
			if typed.Has(name + unitOf) {
				f.Unit = typed.Get(name + unitOf)
			}
			for _, c := range in.choices {
				c.Picked = c.Value == f.Value
				f.Choices = append(f.Choices, c)
			}
			if w, bad := wrong[name]; bad {
				f.Error, f.Way = w.text, w.way
			}
			f.Focus = !focused && (f.Error != "" || len(wrong) == 0 && (in.focus || in.must && f.Value == "" && in.kind != "time"))
			focused = focused || f.Focus
			if !flat && in.folds(f) {
				rest = append(rest, f)
			} else {
				out = append(out, f)
			}
		}
	}
	return out, rest
}

// folds tells whether a field may be folded away as it stands. One with an
// error may: the fold is open then.
func (in input) folds(f view.Field) bool {
	asProposed := f.Value == in.value && (f.Unit == in.unit || in.unit == "")
	switch {
	case in.focus || f.Focus && f.Error == "":
		return false
	case in.fold:
		return true
	case in.kind == "time" && in.must && f.Value == "":
		return true
	}
	return in.value != "" && (asProposed || f.Error != "")
}

// restSays are the folded fields in words.
func restSays(rest []view.Field) []view.Pair {
	var out []view.Pair
	for _, f := range rest {
		value := f.Value
		for _, c := range f.Choices {
			if c.Picked {
				value = c.Text
			}
		}
		switch {
		case value == "" && f.Kind == "time":
			value = "now"
		case value == "":
			value = "none"
		case len(f.Units) > 0 && bareNumber(value):
			value += " " + f.Unit
		}
		out = append(out, view.Pair{Name: f.Label, Value: value})
	}
	return out
}

// shown is how a kind of input looks.
func shown(kind string) string {
	switch kind {
	case "amounts":
		return "amount"
	case "list", "number":
		return "text"
	}
	return kind
}

// stamp writes the time into each time that was left empty: what is sent again
// later happened now, and not then. It gives the controls it wrote into.
func stamp(parts []part, typed url.Values, now time.Time, zone *time.Location) (stamped []string) {
	for p, part := range parts {
		for _, in := range part.inputs {
			if name := control(p, in.name); in.kind == "time" && in.must && strings.TrimSpace(typed.Get(name)) == "" {
				typed.Set(name, quantity.FormatTime(now.Truncate(time.Second), zone))
				stamped = append(stamped, name)
			}
		}
	}
	return stamped
}

// texts are the fields of one part as they are entered: fixed, typed, or none.
func (p part) texts(n int, typed url.Values, wrong faults) map[string]any {
	out := map[string]any{}
	blank := true
	for _, in := range p.inputs {
		name := control(n, in.name)
		if in.same != "" {
			name = in.same
		}
		text := strings.TrimSpace(typed.Get(name))
		if text == "" {
			continue
		}
		blank = blank && (in.kind == "time" || in.value != "" || in.same != "" || in.aside)
		if len(in.units) > 0 {
			unit := typed.Get(name + unitOf)
			if unit == "" && bareNumber(text) {
				wrong[name] = fault{"there is no unit", "choose one beside the number"}
				continue
			}
			out[in.name] = amounts(in, text, unit)
			continue
		}
		if in.kind == "list" {
			out[in.name] = strings.Split(text, ", ")
			continue
		}
		if in.kind == "number" && !json.Valid([]byte(text)) {
			wrong[name] = fault{"it is no number", "write digits"}
			continue
		}
		if in.kind == "number" {
			out[in.name] = json.Number(text)
			continue
		}
		out[in.name] = text
	}
	if blank && p.optional {
		return nil
	}
	for _, in := range p.inputs {
		name := cmp.Or(in.same, control(n, in.name))
		if _, given := out[in.name]; in.must && !given && wrong[name].text == "" {
			wrong[name] = fault{"it is empty", "fill it in"}
		}
	}
	for path, value := range p.fixed {
		out[path] = value
	}
	return out
}

// bareNumber tells a number without a unit of its own.
func bareNumber(text string) bool {
	return !strings.ContainsAny(text, "BbCcLlSsUuµm%hr")
}

// amounts puts the unit behind the number, or behind each of a list. A number
// typed with its unit keeps that.
func amounts(in input, text, unit string) any {
	one := func(s string) string {
		s = strings.TrimSpace(s)
		if bareNumber(s) {
			s += " " + unit
		}
		return s
	}
	if in.kind != "amounts" {
		return one(text)
	}
	var out []string
	for s := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == ' ' || r == '/' }) {
		out = append(out, one(s))
	}
	return out
}

// nest turns paths with dots into groups.
func nest(flat map[string]any) map[string]any {
	out := map[string]any{}
	for path, v := range flat {
		m := out
		keys := strings.Split(path, ".")
		for _, k := range keys[:len(keys)-1] {
			sub, ok := m[k].(map[string]any)
			if !ok {
				sub = map[string]any{}
				m[k] = sub
			}
			m = sub
		}
		m[keys[len(keys)-1]] = v
	}
	return out
}

// facts reads what was typed as entries of a case file. part[i] is the part
// that fact i comes from. What is wrong is given as faults.
func (s *Server) facts(parts []part, typed url.Values, zone string) (out []journal.Fact, from []int, err error) {
	wrong := faults{}
	entries := []any{}
	for n, p := range parts {
		if flat := p.texts(n, typed, wrong); flat != nil {
			entries = append(entries, map[string]any{p.kind: numbered(nest(flat))})
			from = append(from, n)
		}
	}
	if len(wrong) > 0 {
		return nil, nil, wrong
	}
	if len(entries) == 0 {
		return nil, nil, faults{"": {"nothing was filled in", "fill in one at least"}}
	}
	file, err := decode(map[string]any{"case": 1, "zone": zone, "entries": entries}, s.Zones)
	if err != nil {
		if e, ok := errors.AsType[*journal.FileError](err); ok {
			return nil, nil, place(parts, from, 0, e.Path, e.Code, e.Msg, e.Hint)
		}
		return nil, nil, err
	}
	return file[1:], from, nil
}

// decode reads a case file that was put together here. Numbers such as a
// factor are written without quotes where the format asks for them.
func decode(doc map[string]any, zones journal.Zones) ([]journal.Fact, error) {
	data, err := json.Marshal(doc)
	if err != nil {
		return nil, err
	}
	file, err := journal.Decode(data, zones)
	if err != nil {
		return nil, err
	}
	return file.Facts, nil
}

// place puts a refusal beside the control it is about. before is the number of
// entries that stand above those of the form.
func place(parts []part, from []int, before int, path, code, msg, hint string) faults {
	name := ""
	if rest, ok := strings.CutPrefix(path, "entries["); ok {
		number, field, _ := strings.Cut(rest, "].")
		if n, err := strconv.Atoi(strings.TrimSuffix(number, "]")); err == nil && n > before && n-before <= len(from) {
			name = controlFor(parts, from[n-before-1], field)
		}
	}
	if name == "" && path != "" {
		msg = path + ": " + msg
	}
	if hint == "" && code == "" {
		hint = "check it"
	}
	return faults{name: {msg, hint}}
}

// controlFor finds the control of a field, given with its kind in front; empty
// for one that is not asked.
func controlFor(parts []part, n int, field string) string {
	_, field, _ = strings.Cut(field, ".")
	field = strings.TrimPrefix(field, "with."+parts[n].kind+".")
	bare, _, _ := strings.Cut(field, "[")
	row := strings.NewReplacer("[", ".", "]", "").Replace(field) // readings[3].gross is asked as readings.3.gross
	for _, in := range parts[n].inputs {
		if in.name == bare || in.name == row || row != field && strings.HasPrefix(in.name, row+".") {
			return cmp.Or(in.same, control(n, in.name))
		}
	}
	return ""
}

// lately puts the day before a time of day that was typed: the clock said so
// last today or, where that lies ahead, yesterday. now is in the zone of the
// case. What was typed with its day stays.
func lately(parts []part, typed url.Values, now time.Time) {
	for p, part := range parts {
		for _, in := range part.inputs {
			name := control(p, in.name)
			text := strings.TrimSpace(typed.Get(name))
			if !in.isTime() || !hourOnly.MatchString(text) {
				continue
			}
			layout := "15:04"
			if strings.Count(text, ":") == 2 {
				layout = "15:04:05"
			}
			clock, err := time.Parse(layout, text)
			if err != nil {
				continue // the journal says what is wrong with it
			}
			at := time.Date(now.Year(), now.Month(), now.Day(), clock.Hour(), clock.Minute(), clock.Second(), 0, now.Location())
			if at.After(now) {
				at = time.Date(now.Year(), now.Month(), now.Day()-1, clock.Hour(), clock.Minute(), clock.Second(), 0, now.Location())
			}
			typed.Set(name, quantity.FormatTime(at, now.Location()))
		}
	}
}
