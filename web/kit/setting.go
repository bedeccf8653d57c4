package kit

import (
	"cmp"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/words"
)

// ReasonInput asks why a setting is made.
var ReasonInput = Input{Name: "reason", Label: "Why it is set so", Kind: "text", Must: true, Hint: "It stays in the record beside the setting."}

// SettingFacts reads a setting as an entry of a case file, and puts all that is wrong
// beside its controls; wrong is what is known already. It holds from now on, or from the
// later time that is given: what was done by now rests on what was in force.
func (q *Request) SettingFacts(parts []Part, fields map[string]any, wrong Faults, zone string, typedAs func(string) string) ([]fact.Fact, error) {
	z, err := q.Zones(zone)
	if err != nil {
		return nil, err
	}
	kind := parts[0].Kind
	refuse := func(path, msg, hint string) {
		for name, w := range placeHead(parts, typedAs, path, msg, hint) {
			if _, told := wrong[name]; !told {
				wrong[name] = w
			}
		}
	}
	now := quantity.FormatTime(q.Now.Truncate(time.Second), z)
	if typed, given := fields["from"].(string); !given {
		fields["from"] = now
	} else if from, err := quantity.ParseTime(typed, z); err == nil && from.Before(q.Now.Truncate(time.Minute)) {
		refuse("entries[1]."+kind+".from", words.Zoned{Location: z}.Clock(from)+" is in the past, and what was done since rests on what was in force",
			"Leave it empty for now, or give a later time, such as "+q.Now.Add(24*time.Hour).In(z).Format("2006-01-02T15:00")+".")
	}
	for {
		facts, err := decode(map[string]any{"case": 2, "zone": zone, "entries": []any{map[string]any{kind: fields}}}, q.Zones)
		e, refused := err.(*casefile.Error)
		switch {
		case err != nil && !refused:
			return nil, err
		case err == nil && len(wrong) > 0:
			return nil, wrong
		case err == nil:
			return facts[1:], nil
		}
		// A field that is refused is left out, so that what else is wrong is told with it.
		field := strings.TrimPrefix(e.Path, "entries[1]."+kind+".")
		if i := strings.IndexAny(field, ".["); i >= 0 {
			field = field[:i]
		}
		_, typed := fields[field]
		if typed || len(wrong) == 0 {
			refuse(e.Path, e.Msg, e.Hint)
		}
		if !typed {
			return nil, wrong
		}
		delete(fields, field)
	}
}

// placeHead puts a refusal of the head of a case beside the control it is
// about, or above the form. typedAs is that of the form.
func placeHead(parts []Part, typedAs func(string) string, path, msg, hint string) Faults {
	if strings.HasPrefix(path, "entries[") { // as it will stand in the record
		_, path, _ = strings.Cut(path, ".")
	}
	_, field, _ := strings.Cut(path, ".")
	if typedAs != nil {
		field = typedAs(field)
	}
	for _, in := range parts[0].Inputs {
		if in.Name == field || strings.HasPrefix(field, in.Name+"[") || strings.HasPrefix(in.Name, field+".") && field != "" {
			return Faults{Control(0, in.Name): {msg, hint}}
		}
	}
	if path != "" {
		msg = path + ": " + msg
	}
	return Faults{"": {msg, cmp.Or(hint, "check it")}}
}

// FromInput asks from when a setting holds.
var FromInput = Input{Name: "from", Label: "Holds from", Kind: "time", Small: true, Hint: "Empty for now, or a later day and time, such as 2027-03-05T07:00; never an earlier one."}
