package kit

import (
	"cmp"
	"encoding/json"
	"errors"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/casefile"
	"vialwright/fact"
)

// typedFact is one entry as it was typed: its fields by their paths, and the
// part of the form it comes from.
type typedFact struct {
	part   int
	fields map[string]any
}

// facts reads what was typed as entries of a case file. from[i] is the part
// that fact i comes from. What is wrong is given as faults, all of them at once.
func (s *Server) facts(parts []Part, typed url.Values, zone string) (out []fact.Fact, from []int, err error) {
	wrong := Faults{}
	var all []typedFact
	for n, p := range parts {
		if flat := p.Texts(n, typed, wrong); flat != nil {
			all = append(all, typedFact{n, flat})
		}
	}
	if len(all) == 0 && len(wrong) == 0 {
		return nil, nil, Faults{"": {Text: "nothing was filled in", Way: "fill in one at least"}}
	}
	if out, from, err = s.readFacts(parts, all, zone); err == nil && len(wrong) == 0 {
		return out, from, nil
	}
	for len(all) > 0 && err != nil {
		e, ok := errors.AsType[*casefile.Error](err)
		if !ok {
			return nil, nil, err
		}
		if !wrong.add(parts, &all, from, e) {
			break
		}
		_, from, err = s.readFacts(parts, all, zone)
	}
	return nil, nil, wrong
}

// readFacts reads entries as one file.
func (s *Server) readFacts(parts []Part, all []typedFact, zone string) (out []fact.Fact, from []int, err error) {
	entries := []any{}
	for _, t := range all {
		entries = append(entries, map[string]any{parts[t.part].Kind: numbered(Nest(t.fields))})
		from = append(from, t.part)
	}
	file, err := decode(map[string]any{"case": 1, "zone": zone, "entries": entries}, s.Zones)
	if err != nil {
		return nil, from, err
	}
	return file[1:], from, nil
}

// add takes the fault of a file, and takes the field it is about away, or the
// entry where the field is missing or known to be wrong, so that what else is
// wrong can be found. It is false where nothing is left to look at.
func (f Faults) add(parts []Part, all *[]typedFact, from []int, e *casefile.Error) bool {
	at, field := entryOf(e.Path)
	if at < 1 || at > len(from) {
		maps.Copy(f, place(parts, from, 0, e.Path, e.Code, e.Msg, e.Hint))
		return false
	}
	t := &(*all)[at-1]
	of := inputFor(parts[t.part], field)
	known := slices.ContainsFunc(parts[t.part].Inputs, func(in Input) bool {
		return f[cmp.Or(in.SharedWith, Control(t.part, in.Name))].Text != ""
	})
	if e.Code != "missing" || !known {
		for name, w := range place(parts, from, 0, e.Path, e.Code, e.Msg, e.Hint) {
			if f[name].Text == "" {
				f[name] = w
			}
		}
	}
	if _, there := t.fields[of]; there {
		t.fields = maps.Clone(t.fields)
		delete(t.fields, of)
		return true
	}
	*all = slices.Delete(slices.Clone(*all), at-1, at)
	return len(*all) > 0
}

// decode reads a case file that was put together here. Numbers such as a
// factor are written without quotes where the format asks for them.
func decode(doc map[string]any, zones fact.Zones) ([]fact.Fact, error) {
	data, err := json.Marshal(doc)
	if err != nil {
		return nil, err
	}
	file, err := casefile.Decode(data, zones)
	if err != nil {
		return nil, err
	}
	return file.Facts, nil
}

// place puts a refusal beside the control it is about; where there is none, it
// says the entry and the field in words. before is the number of
// entries that stand above those of the form.
func place(parts []Part, from []int, before int, path, code, msg, hint string) Faults {
	name := ""
	n, field := entryOf(path)
	switch {
	case n > before && n-before <= len(from):
		p := from[n-before-1]
		if in := inputFor(parts[p], field); in != "" {
			name = controlAt(parts, p, in)
		}
	case n > 0:
		msg = "entry " + strconv.Itoa(n) + ": " + msg
	}
	if hint == "" && code == "" {
		hint = "check it"
	}
	return Faults{name: {Text: msg, Way: hint}}
}

// entryOf parts the path of a fault: the number of the entry, and its field
// without the kind; 0 for a path of none.
func entryOf(path string) (n int, field string) {
	rest, ok := strings.CutPrefix(path, "entries[")
	if !ok {
		return 0, ""
	}
	number, field, _ := strings.Cut(rest, "].")
	n, err := strconv.Atoi(strings.TrimSuffix(number, "]"))
	if err != nil {
		return 0, ""
	}
	_, field, _ = strings.Cut(field, ".")
	return n, field
}

// inputFor finds the input of a field; empty for one that is not asked.
func inputFor(p Part, field string) string {
	field = strings.TrimPrefix(field, "with."+p.Kind+".")
	bare, _, _ := strings.Cut(field, "[")
	row := strings.NewReplacer("[", ".", "]", "").Replace(field) // readings[3].gross is asked as readings.3.gross
	for _, in := range p.Inputs {
		if in.Name == bare || in.Name == row || row != field && strings.HasPrefix(in.Name, row+".") {
			return in.Name
		}
	}
	return ""
}

// controlAt is the control of an input, which may be that of another part.
func controlAt(parts []Part, n int, name string) string {
	for _, in := range parts[n].Inputs {
		if in.Name == name {
			return cmp.Or(in.SharedWith, Control(n, name))
		}
	}
	return ""
}

// numbered turns groups whose keys are numbers into lists, in their order.
func numbered(flat map[string]any) map[string]any {
	for name, v := range flat {
		group, ok := v.(map[string]any)
		if !ok || len(group) == 0 {
			continue
		}
		numbered(group)
		keys := slices.SortedFunc(maps.Keys(group), func(a, b string) int {
			x, _ := strconv.Atoi(a)
			y, _ := strconv.Atoi(b)
			return x - y
		})
		if _, err := strconv.Atoi(keys[0]); err != nil {
			continue
		}
		var list []any
		for _, k := range keys {
			list = append(list, group[k])
		}
		flat[name] = list
	}
	return flat
}
