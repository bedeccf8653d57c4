package kit

import (
	"cmp"
	"encoding/json"
	"iter"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Input is one field of a fact as it is asked. Its name is the path of the
// field in the fact, such as "before.rate".
type Input struct {
	Name, Label, Kind, Hint string
	// Practice says what may be typed in practice, where there is no meter to read.
	Practice string
	// Units are those a number may have; with one, it is not asked.
	Units   []string
	Choices []view.Choice
	// Value and unit are proposed.
	Value, Unit string
	Must, Focus bool
	// Was is what the entry says that the form corrects: the control is opened from there.
	Was string
	// Now is on the button that fills in the time of now; empty for no button.
	Now string
	// Small puts it beside others; same is the control it takes its text
	// from, and is not shown.
	Small      bool
	SharedWith string
	// Incidental does not make a part filled in by itself.
	Incidental bool
	// Collapsible puts it with what is seldom filled in.
	Collapsible bool
}

// PracticeSays is what may be typed in practice, in a sentence.
func PracticeSays(text string) string { return "In practice enter e.g. " + text + "." }

// Part is one fact of a form.
type Part struct {
	Kind string
	// Fixed are the fields that are not asked.
	Fixed  map[string]any
	Inputs []Input
	// Optional: left out where everything asked is blank.
	Optional bool
}

// Fault is what is wrong with one field of a form, and the way out.
type Fault struct{ Text, Way string }

// Faults are those of a form, under the names of its controls; those under ""
// are of the form as a whole.
type Faults map[string]Fault

// ofField tells that a fault is of a field, and not of the form as a whole alone.
func (f Faults) ofField() bool {
	_, whole := f[""]
	return len(f) > 1 || len(f) == 1 && !whole
}

func (f Faults) Error() string { return "the form is not complete" }

// put puts the fault of a field beside it, and leads the person there.
func (f Faults) put(field *view.Field) {
	if w, bad := f[field.Name]; bad {
		field.Error, field.Way, field.Focus = w.Text, w.Way, true
	}
}

// Beside puts the faults of fields beside them.
func (f Faults) Beside(fields []view.Field) {
	for i := range fields {
		fields[i].Error, fields[i].Way = f[fields[i].Name].Text, f[fields[i].Name].Way
	}
}

// Control is the name of a control in the form.
func Control(part int, path string) string { return "p" + strconv.Itoa(part) + "." + path }

// inputs are those of the parts of a form, in this order, each with the name of its control.
func inputs(parts []Part) iter.Seq2[string, Input] {
	return func(yield func(string, Input) bool) {
		for p, part := range parts {
			for _, in := range part.Inputs {
				if !yield(Control(p, in.Name), in) {
					return
				}
			}
		}
	}
}

// UnitOf is put behind the name of a control for that of its unit.
const UnitOf = ".unit"

// fields are the controls of the parts, with what was typed, kept or
// proposed, in this order. rest are those that need no hand: they hold what was
// proposed, or the time of now, as folds tells.
func fields(id string, parts []Part, typed url.Values, wrong Faults, folds func(Input, view.Field) bool) (out, rest []view.Field) {
	focused := false
	for p, part := range parts {
		for _, in := range part.Inputs {
			if in.SharedWith != "" {
				continue
			}
			name := Control(p, in.Name)
			f := view.Field{
				Small: in.Small || in.Kind == "time" || in.Kind == "id" && !in.Focus,
				Kind:  shown(in.Kind), Name: name, ID: id + "-" + strings.ReplaceAll(name, ".", "-"), Label: in.Label, Hint: in.Hint,
				Value: in.Value, Was: in.Was, Unit: in.Unit, Units: in.Units, UnitName: name + UnitOf, Required: in.Must && in.Kind != "time" && !part.Optional,
			}
			if typed.Has(name) {
				f.Value = typed.Get(name)
			}
			if typed.Has(name + UnitOf) {
				f.Unit = typed.Get(name + UnitOf)
			}
			for _, c := range in.Choices {
				c.Picked = c.Value == f.Value
				f.Choices = append(f.Choices, c)
			}
			if w, bad := wrong[name]; bad {
				f.Error, f.Way = w.Text, w.Way
				f.Answers = readings(in, f)
			}
			f.Open = in.Was != "" && (f.Error != "" || f.Value != in.Value)
			f.Focus = !focused && (f.Error != "" || !wrong.ofField() && (in.Focus || in.Must && f.Value == "" && in.Kind != "time"))
			focused = focused || f.Focus
			f.Focus = f.Focus && f.Answers == nil // the first answer has it
			if folds(in, f) {
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
func (in Input) folds(f view.Field) bool {
	asProposed := f.Value == in.Value && (f.Unit == in.Unit || in.Unit == "")
	switch {
	case in.Focus || f.Focus && f.Error == "":
		return false
	case in.Collapsible:
		return true
	case in.Kind == "time" && in.Must && f.Value == "":
		return true
	}
	return in.Value != "" && (asProposed || f.Error != "")
}

// mostNone is up to how many empty fields a fold names each: more are one word.
const mostNone = 6

// restSays are the folded fields in words.
func restSays(rest []view.Field, now time.Time) []view.Pair {
	var out []view.Pair
	empty := 0
	for _, f := range rest {
		if f.Value == "" && f.Kind != "time" {
			empty++
		}
	}
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
			value = words.OnTheWall(value, now)
		case value == "" && empty > mostNone:
			continue
		case value == "":
			value = "none"
		case len(f.Units) > 0 && BareNumber(value):
			value += " " + f.Unit
		}
		out = append(out, view.Pair{Name: f.Label, Value: value})
	}
	if empty > mostNone {
		out = append(out, view.Pair{Name: words.Plural(empty, "more field"), Value: "empty"})
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

// Texts are the fields of one part as they are entered: fixed, typed, or none.
func (p Part) Texts(n int, typed url.Values, wrong Faults) map[string]any {
	out := map[string]any{}
	blank := true
	for _, in := range p.Inputs {
		name := Control(n, in.Name)
		if in.SharedWith != "" {
			name = in.SharedWith
		}
		text := strings.TrimSpace(typed.Get(name))
		if text == "" {
			continue
		}
		blank = blank && (in.Kind == "time" || in.Value != "" || in.SharedWith != "" || in.Incidental)
		if len(in.Units) > 0 {
			unit := typed.Get(name + UnitOf)
			if unit == "" && BareNumber(text) {
				wrong[name] = Fault{Text: "there is no unit", Way: "choose one beside the number"}
				continue
			}
			out[in.Name] = amounts(in, text, unit)
			if one, is := out[in.Name].(string); is && quantity.Readings(one) != nil {
				wrong[name] = ambiguous(one)
				delete(out, in.Name)
			}
			continue
		}
		if in.Kind == "list" {
			out[in.Name] = strings.Split(anotherNumber.ReplaceAllString(text, ", $1"), ", ")
			continue
		}
		if in.Kind == "number" {
			text = quantity.DecimalComma(text)
		}
		if in.Kind == "number" && !json.Valid([]byte(text)) {
			wrong[name] = Fault{Text: "it is no number", Way: "write digits"}
			continue
		}
		if in.Kind == "number" {
			out[in.Name] = json.Number(text)
			continue
		}
		out[in.Name] = text
	}
	if blank && p.Optional {
		return nil
	}
	for _, in := range p.Inputs {
		name := cmp.Or(in.SharedWith, Control(n, in.Name))
		_, given := out[in.Name]
		if _, known := p.Fixed[in.Name]; in.Must && !given && !known && wrong[name].Text == "" {
			wrong[name] = Fault{Text: "it is empty", Way: "fill it in"}
		}
	}
	for path, value := range p.Fixed {
		out[path] = value
	}
	return out
}

// BareNumber tells a number without a unit of its own.
func BareNumber(text string) bool {
	return !strings.ContainsAny(text, "BbCcLlSsUuµm%hrtpx")
}

// amounts puts the unit behind the number, or behind each of a list. A number
// typed with its unit keeps that.
func amounts(in Input, text, unit string) any {
	one := func(s string) string {
		s = strings.TrimSpace(s)
		if BareNumber(s) {
			s += " " + unit
		}
		return s
	}
	if in.Kind != "amounts" {
		return one(text)
	}
	text = unitBehind.ReplaceAllString(anotherAfter.ReplaceAllString(text, " $1"), "$1$2")
	var out []string
	for s := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == ' ' }) {
		out = append(out, one(s))
	}
	return out
}

// anotherNumber is the beginning of the next number of a list, with whatever stands between.
var anotherNumber = regexp.MustCompile(`(?:[,;]? +|;)([0-9])`)

// A stroke before a digit begins another number, as in 182/180, and what begins with a
// letter behind a number is its unit.
var (
	anotherAfter = regexp.MustCompile(`/ *([0-9])`)
	unitBehind   = regexp.MustCompile(`([0-9]) +([\pL%])`)
)

// Nest turns paths with dots into groups.
func Nest(flat map[string]any) map[string]any {
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
