package fact

import (
	"fmt"
	"slices"
	"time"
)

// ConfirmedAt is the field of a fact that holds what was confirmed; nil for a fact
// without one.
func ConfirmedAt(f Fact) *string {
	if x, ok := f.(*Correct); ok && x.With != nil {
		return ConfirmedAt(x.With)
	}
	for _, d := range Slots(nil, f) {
		if t, ok := d.V.(text); ok && d.Name == "confirmed" {
			return t.p
		}
	}
	return nil
}

// Rename gives copies of facts in which the orders and containers have other
// ids. Meters and people keep theirs. It fails where a fact cannot be written.
func Rename(facts []Fact, to func(id string) string) ([]Fact, error) {
	out := make([]Fact, len(facts))
	for i, f := range facts {
		f, bad := copied(f)
		if bad != nil {
			return nil, bad
		}
		eachLeaf(Slots(nil, f), func(_ string, v Value) {
			if x, ok := v.(id); ok && x.of.Grouped() {
				*x.p = to(*x.p)
			}
		})
		if _, bad := copied(f); bad != nil {
			return nil, fmt.Errorf("entry %d under its new ids: %w", i+1, bad)
		}
		out[i] = f
	}
	return out, nil
}

// eachLeaf shows the values of fields that are given, each with the name of its field:
// those in groups, in lists and in what a correction puts in as well.
func eachLeaf(fields []Slot, see func(name string, v Value)) {
	for _, x := range fields {
		leaves(x.Name, x.V, see)
	}
}

func leaves(name string, v Value, see func(name string, v Value)) {
	if !v.Given() {
		return
	}
	switch x := v.(type) {
	case Grouped:
		eachLeaf(Slots(nil, x.Open()), see)
	case Chosen:
		eachLeaf(Slots(nil, x.Fact()), see)
	case Listed:
		for i := range x.Len() {
			leaves(name, x.At(i), see)
		}
	default:
		see(name, v)
	}
}

// copied is a copy of a fact that shares nothing with it, or what of the fact
// cannot be written.
func copied(f Fact) (Fact, *Refusal) {
	to := Blank(Word(f))
	if to == nil {
		return f, nil // its content was destroyed
	}
	return to, copyGroup(to, f)
}

func copyGroup(to, from Group) *Refusal {
	into := Slots(nil, to)
	for i, x := range Slots(nil, from) {
		if !x.V.Given() {
			continue
		}
		if bad := copyValue(into[i].V, x.V); bad != nil {
			return bad.In(x.Name)
		}
	}
	return nil
}

func copyValue(to, from Value) *Refusal {
	switch v := from.(type) {
	case Scalar:
		s, bad := v.Write()
		if bad != nil {
			return bad
		}
		return to.(Scalar).Read(s, How{Canonical: true})
	case Grouped:
		return copyGroup(to.(Grouped).Open(), v.Open())
	case Chosen:
		f, bad := to.(Chosen).Make(Word(v.Fact()))
		if bad != nil {
			return bad
		}
		return copyGroup(f, v.Fact())
	case Listed:
		for i := range v.Len() {
			if bad := copyValue(to.(Listed).At(i), v.At(i)); bad != nil {
				return bad
			}
		}
	}
	return nil
}

// Texts shows the free texts of a fact that are given, those of groups and lists
// included, with the names of their fields; see may change them.
func Texts(f Fact, see func(name string, p *string)) {
	eachLeaf(Slots(nil, f), func(name string, v Value) {
		if t, ok := v.(text); ok {
			see(name, t.p)
		}
	})
}

// Times shows the times of a fact that are given, those of its groups included,
// with the path of each, until see says that it has seen enough.
func Times(f Fact, see func(path string, at time.Time) (more bool)) {
	timesOf(Slots(nil, f), "", see)
}

func timesOf(fields []Slot, path string, see func(string, time.Time) bool) bool {
	for i := range fields {
		switch v := fields[i].V.(type) {
		case instant:
			if v.Given() && !see(under(path, fields[i].Name), *v.p) {
				return false
			}
		case Grouped:
			if v.Given() && !timesOf(Slots(nil, v.Open()), under(path, fields[i].Name), see) {
				return false
			}
		}
	}
	return true
}

// Retime puts every time in facts to another, in place; use it on what [Rename]
// gives.
func Retime(facts []Fact, to func(time.Time) time.Time) {
	for _, f := range facts {
		eachLeaf(Slots(nil, f), func(_ string, v Value) {
			if i, ok := v.(instant); ok {
				*i.p = withOffset(to(*i.p))
			}
		})
	}
}

// Same tells whether two settings say the same, whenever they begin to hold,
// for whatever reason, and whatever was asked about them.
func Same(a, b Fact) bool {
	plain := func(f Fact) []Field {
		return slices.DeleteFunc(Fields(f), func(x Field) bool {
			return x.Text == "" || slices.Contains([]string{"from", "reason", "confirmed"}, x.Path)
		})
	}
	return Word(a) == Word(b) && slices.EqualFunc(plain(a), plain(b), func(x, y Field) bool { return x.Path == y.Path && x.Text == y.Text })
}
