package fact

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Field is one field of a fact as forms and lists show it.
type Field struct {
	// Path names it in the fact, such as "gross" or "before.rate".
	Path string
	// Control names a field of a list of groups in a form: its Path with the number
	// of the group, such as "readings.2.gross"; empty for others.
	Control string
	// Row is the number of that group, from 1; nought outside of a list of several.
	Row int
	// Label is what a person calls it.
	Label string
	// Text is what it holds, as a record writes it, the items of a list with a
	// comma between; empty where it holds nothing.
	Text string
	// Must tells that an entry cannot be without it.
	Must bool
	// List tells that it holds several items, Number that it is written without
	// quotes in a case file.
	List, Number bool
	// Shape is what it holds, Words what it may be, where it is one of a few.
	Shape Shape
	Words []string
}

// Fields gives the fields of a fact in their order, those that hold nothing
// included. Groups are opened where they are given; the fields of a list of
// groups come once for each.
func Fields(f Fact) []Field { return fieldsUnder(nil, Slots(nil, f), "", "") }

// fieldsUnder appends the fields of a group. path is where the group stands,
// label what it is called.
func fieldsUnder(out []Field, fields []Slot, path, label string) []Field {
	for _, d := range fields {
		to := Field{Path: under(path, d.Name), Label: called(label, d.Label), Must: d.Must}
		to.Shape, to.Words = ShapeOf(d.V)
		switch v := d.V.(type) {
		case Grouped:
			if v.Given() {
				out = fieldsUnder(out, Slots(nil, v.Open()), to.Path, to.Label)
			}
		case Chosen:
			if v.Given() {
				out = fieldsUnder(out, Slots(nil, v.Fact()), under(to.Path, Word(v.Fact())), "")
			}
		case Listed:
			to.List = true
			out = fieldsOfList(out, v, to)
		default:
			out = append(out, leafOf(v, to))
		}
	}
	return out
}

// fieldsOfList appends the fields of each group of a list, or one field with
// all its scalars.
func fieldsOfList(out []Field, v Listed, to Field) []Field {
	var texts []string
	n := 0
	if v.Given() {
		n = v.Len()
	}
	for i := range n {
		switch x := v.At(i).(type) {
		case Grouped:
			from := len(out)
			out = fieldsUnder(out, Slots(nil, x.Open()), to.Path, to.Label)
			for j := range out[from:] {
				f := &out[from+j]
				if v.Len() > 1 {
					f.Row = i + 1
				}
				f.Control = to.Path + "." + strconv.Itoa(i+1) + strings.TrimPrefix(cmp.Or(f.Control, f.Path), to.Path)
			}
		default:
			texts = append(texts, leafOf(x, Field{}).Text)
		}
	}
	if n > 0 && texts == nil {
		return out
	}
	to.Text = strings.Join(texts, ", ")
	return append(out, to)
}

// leafOf puts what a scalar holds into a field.
func leafOf(v Value, to Field) Field {
	s, ok := v.(Scalar)
	if !ok {
		return to
	}
	_, to.Number = v.(Bare)
	if v.Given() {
		to.Text, _ = s.Write() // what was read can be written
	}
	return to
}

func under(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// called is the label of a field of a group.
func called(group, label string) string {
	if group == "" || label == "" {
		return group + label
	}
	return group + ": " + strings.ToLower(label[:1]) + label[1:]
}

// AllFields are the fields of a kind with nothing in them, those of a group in
// its place, and those of the groups of a list behind the list. It is the same list
// each time, and is not to be changed.
func AllFields(kind string) []Field {
	if all, known := allFields.Load(kind); known {
		return all.([]Field)
	}
	f := Blank(kind)
	if f == nil {
		return nil
	}
	all := slices.Clip(declared(nil, Slots(nil, f), "", ""))
	allFields.Store(kind, all)
	return all
}

// Entered are the fields of a kind that a person fills in: what was asked and confirmed
// the program writes.
func Entered(kind string) []Field {
	return slices.DeleteFunc(slices.Clone(AllFields(kind)), func(f Field) bool { return f.Path == "confirmed" })
}

// allFields are those of each kind that was asked for, since a page asks for one
// field after another.
var allFields sync.Map

func declared(out []Field, fields []Slot, path, label string) []Field {
	for _, d := range fields {
		to := Field{Path: under(path, d.Name), Label: called(label, d.Label), Must: d.Must}
		to.Shape, to.Words = ShapeOf(d.V)
		in, group := d.V.(Grouped)
		if v, list := d.V.(Listed); list {
			to.List = true
			in, group = v.At(0).(Grouped)
		}
		if !group || to.List {
			out = append(out, leafOf(d.V, to))
		}
		if group {
			out = declared(out, Slots(nil, in.Open()), to.Path, to.Label)
		}
	}
	return out
}

// Absent are the fields of the groups that a fact does without, with nothing in them,
// in the order of AllFields; a list of groups is not among them.
func Absent(f Fact) (out []Field) {
	there := map[string]bool{}
	for _, l := range Fields(f) {
		there[l.Path] = true
	}
	all, list := AllFields(Word(f)), ""
	for i, l := range all {
		if l.List && i+1 < len(all) && strings.HasPrefix(all[i+1].Path, l.Path+".") {
			list = l.Path + "."
		}
		if !there[l.Path] && (list == "" || !strings.HasPrefix(l.Path+".", list)) {
			out = append(out, l)
		}
	}
	return out
}

// FieldOf is a field of a kind by its path, with nothing in it; one without a
// path where there is none, or a group of fields.
func FieldOf(kind, path string) Field {
	all := AllFields(kind)
	i := slices.IndexFunc(all, func(f Field) bool { return f.Path == path })
	if i < 0 {
		return Field{}
	}
	return all[i]
}
