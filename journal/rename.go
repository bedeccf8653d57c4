package journal

import (
	"fmt"
	"slices"
	"time"
)

// Rename gives copies of facts in which the orders and containers have other
// ids. Meters and people keep theirs. It fails where a fact cannot be written.
func Rename(facts []Fact, to func(id string) string) ([]Fact, error) {
	out := make([]Fact, len(facts))
	for i, f := range facts {
		f, bad := copied(f)
		if bad != nil {
			return nil, bad
		}
		rename(f, to)
		if _, bad := copied(f); bad != nil {
			return nil, fmt.Errorf("entry %d under its new ids: %w", i+1, bad)
		}
		out[i] = f
	}
	return out, nil
}

func rename(f Fact, to func(string) string) {
	if _, meter := f.(*Meter); meter {
		return
	}
	for _, x := range f.fields(nil) {
		switch v := x.v.(type) {
		case id:
			if v.given() && v.of.Grouped() {
				*v.p = to(*v.p)
			}
		case chosen:
			if v.given() {
				rename(v.fact(), to)
			}
		}
	}
}

// copied is a copy of a fact that shares nothing with it, or what of the fact
// cannot be written.
func copied(f Fact) (Fact, *Refusal) {
	to := blankOf(f.Kind())
	if to == nil {
		return f, nil // its content was destroyed
	}
	return to, copyGroup(to, f)
}

func copyGroup(to, from fielded) *Refusal {
	into := to.fields(nil)
	for i, x := range from.fields(nil) {
		if !x.v.given() {
			continue
		}
		if bad := copyValue(into[i].v, x.v); bad != nil {
			return bad.In(x.name)
		}
	}
	return nil
}

func copyValue(to, from value) *Refusal {
	switch v := from.(type) {
	case scalar:
		s, bad := v.write()
		if bad != nil {
			return bad
		}
		return to.(scalar).read(s, reading{canonical: true})
	case grouped:
		return copyGroup(to.(grouped).open(), v.open())
	case chosen:
		f, bad := to.(chosen).make(v.fact().Kind())
		if bad != nil {
			return bad
		}
		return copyGroup(f, v.fact())
	case listed:
		for i := range v.len() {
			if bad := copyValue(to.(listed).at(i), v.at(i)); bad != nil {
				return bad
			}
		}
	}
	return nil
}

// Texts shows the free texts of a fact that are given, those of groups and lists
// included, with the names of their fields; see may change them.
func Texts(f Fact, see func(name string, p *string)) { textsOf(f.fields(nil), see) }

func textsOf(fields []field, see func(name string, p *string)) {
	for _, x := range fields {
		if !x.v.given() {
			continue
		}
		switch v := x.v.(type) {
		case text:
			see(x.name, v.p)
		case grouped:
			textsOf(v.open().fields(nil), see)
		case chosen:
			textsOf(v.fact().fields(nil), see)
		case listed:
			for i := range v.len() {
				if g, ok := v.at(i).(grouped); ok {
					textsOf(g.open().fields(nil), see)
				}
			}
		}
	}
}

// Times shows the times of a fact that are given, those of its groups included,
// with the path of each, until see says that it has seen enough.
func Times(f Fact, see func(path string, at time.Time) (more bool)) {
	timesOf(f.fields(nil), "", see)
}

func timesOf(fields []field, path string, see func(string, time.Time) bool) bool {
	for i := range fields {
		switch v := fields[i].v.(type) {
		case instant:
			if v.given() && !see(under(path, fields[i].name), *v.p) {
				return false
			}
		case grouped:
			if v.given() && !timesOf(v.open().fields(nil), under(path, fields[i].name), see) {
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
		retimeAll(f.fields(nil), to)
	}
}

func retimeAll(fields []field, to func(time.Time) time.Time) {
	for _, f := range fields {
		if f.v.given() {
			retime(f.v, to)
		}
	}
}

func retime(v value, to func(time.Time) time.Time) {
	switch v := v.(type) {
	case instant:
		*v.p = withOffset(to(*v.p))
	case grouped:
		retimeAll(v.open().fields(nil), to)
	case listed:
		for i := range v.len() {
			retime(v.at(i), to)
		}
	case chosen:
		retimeAll(v.fact().fields(nil), to)
	}
}

// Same tells whether two settings say the same, whenever they begin to hold and
// for whatever reason.
func Same(a, b Fact) bool {
	plain := func(f Fact) []Field {
		return slices.DeleteFunc(Fields(f), func(x Field) bool { return x.Text == "" || x.Path == "from" || x.Path == "reason" })
	}
	return a.Kind() == b.Kind() && slices.EqualFunc(plain(a), plain(b), func(x, y Field) bool { return x.Path == y.Path && x.Text == y.Text })
}
