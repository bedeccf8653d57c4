package journal

import (
	"fmt"
	"time"
)

// Rename gives copies of facts in which the orders and containers have other
// ids. Meters and people keep theirs. It fails where a fact cannot be written.
func Rename(facts []Fact, to func(id string) string) ([]Fact, error) {
	out := make([]Fact, len(facts))
	for i, f := range facts {
		f, err := copied(f)
		if err != nil {
			return nil, err
		}
		rename(f, to)
		if _, err := copied(f); err != nil {
			return nil, fmt.Errorf("entry %d under its new ids: %w", i+1, err)
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
	plain := func(f Fact) string {
		switch x := f.(type) {
		case *Policy:
			p := *x
			p.From, p.Reason = time.Time{}, ""
			f = &p
		case *Meter:
			m := *x
			m.From, m.Reason = time.Time{}, ""
			f = &m
		}
		body, err := Record{Recorded: time.Unix(1e9, 0), By: "-", Fact: f}.Marshal()
		if err != nil {
			return err.Error()
		}
		return string(body)
	}
	return plain(a) == plain(b)
}
