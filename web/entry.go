package web

import (
	"cmp"
	"encoding/json"
	"net/url"
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
	"vialwright/web/view"
)

// input is one field of a fact as it is asked. Its name is the path of the
// field in the fact, such as "before.rate".
type input struct {
	name, label, kind, hint string
	// practice says what may be typed in practice, where there is no meter to read.
	practice string
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

// practiceSays is what may be typed in practice, in a sentence.
func practiceSays(text string) string { return "In practice enter e.g. " + text + "." }

// part is one fact of a form.
type part struct {
	kind string
	// fixed are the fields that are not asked.
	fixed  map[string]any
	inputs []input
	// optional: left out where everything asked is blank.
	optional bool
}

// fault is what is wrong with one field of a form, and the way out.
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
				f.Answers = readings(in, f)
			}
			f.Focus = !focused && (f.Error != "" || len(wrong) == 0 && (in.focus || in.must && f.Value == "" && in.kind != "time"))
			focused = focused || f.Focus
			f.Focus = f.Focus && f.Answers == nil // the first answer has it
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
func restSays(rest []view.Field, now time.Time) []view.Pair {
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
		case f.Kind == "time":
			value = onTheWall(value, now)
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
				wrong[name] = fault{text: "there is no unit", way: "choose one beside the number"}
				continue
			}
			out[in.name] = amounts(in, text, unit)
			if one, is := out[in.name].(string); is && quantity.Readings(one) != nil {
				wrong[name] = ambiguous(one)
				delete(out, in.name)
			}
			continue
		}
		if in.kind == "list" {
			out[in.name] = strings.Split(text, ", ")
			continue
		}
		if in.kind == "number" {
			text = quantity.DecimalComma(text)
		}
		if in.kind == "number" && !json.Valid([]byte(text)) {
			wrong[name] = fault{text: "it is no number", way: "write digits"}
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
			wrong[name] = fault{text: "it is empty", way: "fill it in"}
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
