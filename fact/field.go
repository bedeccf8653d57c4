package fact

import (
	"reflect"
	"time"
)

// Slot describes one field of a fact: its word, whether it must be given, the
// place in the fact where its value is, and what a person calls it; a group
// without a label leaves those of its fields as they are.
type Slot struct {
	Name  string
	Must  bool
	V     Value
	Label string
}

// Value is a place in a fact, of one of four shapes: a scalar, a group of
// fields, a list, or an entry of any kind.
type Value interface {
	// Given tells whether the place holds something.
	Given() bool
	// Want says what is expected there, for messages.
	Want() string
}

// Scalar is a value with one text.
type Scalar interface {
	Value
	// Read takes the text; it changes nothing if it refuses.
	Read(text string, how How) *Refusal
	// Write gives the canonical text, or says why the value has none.
	Write() (string, *Refusal)
}

// Bare marks a scalar that is a JSON number.
type Bare interface {
	// IsNumber does nothing.
	IsNumber()
}

// Group is a pointer to a struct of this package. Its fields are declared by their
// tags, and there alone: reading and writing of records and of case files, the
// description of the format, forms, lists, and what an entry speaks of all go by them.
//
//	must, may  the word of the field, which has to be given or may be left out
//	label      what a person calls it
//	id         the field is an id, of this kind of subject or of none
//	as         how a type is read that can be read in several ways
//	per        what a number counts, as it is written behind it
//	like       the groups of a list, as messages show one
type Group any

// Grouped is a value with fields of its own.
type Grouped interface {
	Value
	// Open makes the group if it is absent and gives it.
	Open() Group
}

// Listed is a value with one or more items.
type Listed interface {
	Value
	// Len is how many items there are.
	Len() int
	// At gives item i, growing the list by one if i is its length.
	At(i int) Value
	// Limits are the least and the greatest number of items.
	Limits() (least, most int)
	// Alone tells whether a case file may give a single item without brackets.
	Alone() bool
}

// How says how a text is read.
type How struct {
	// Canonical: as a record holds it, to the byte.
	Canonical bool
	// Zone is where a time without an offset is read; nil refuses one.
	Zone *time.Location
}

// groupAt is a group behind a pointer, absent where that is nil.
type groupAt struct{ p reflect.Value }

// GroupAt is the place of a group that may be absent; p points to the pointer to it.
func GroupAt(p any) Value { return groupAt{reflect.ValueOf(p).Elem()} }

func (g groupAt) Given() bool { return !g.p.IsNil() }
func (groupAt) Want() string  { return "fields in braces" }
func (g groupAt) Open() Group {
	if g.p.IsNil() {
		g.p.Set(reflect.New(g.p.Type().Elem()))
	}
	return g.p.Interface()
}

// item is a group that is an item of a list; it is always there.
type item struct{ group Group }

// ItemAt is the place of a group that is an item of a list.
func ItemAt[T any](p *T) Value { return item{p} }

func (item) Given() bool   { return true }
func (item) Want() string  { return "fields in braces" }
func (i item) Open() Group { return i.group }

// list is a list of items of one kind.
type list struct {
	all         reflect.Value
	want        string
	least, most int
	// alone tells that a case file may give a single item without brackets.
	alone bool
	at    func(item any) Value
}

// ListAt is the place of a list of at most so many items; at is the place of an item.
func ListAt[T any](p *[]T, want string, least, most int, alone bool, at func(*T) Value) Value {
	return list{reflect.ValueOf(p).Elem(), want, least, most, alone, func(item any) Value { return at(item.(*T)) }}
}

func (l list) Given() bool        { return l.all.Len() > 0 }
func (l list) Want() string       { return l.want }
func (l list) Len() int           { return l.all.Len() }
func (l list) Limits() (int, int) { return l.least, l.most }
func (l list) Alone() bool        { return l.alone }
func (l list) At(i int) Value {
	if i == l.all.Len() {
		l.all.Set(reflect.Append(l.all, reflect.Zero(l.all.Type().Elem())))
	}
	return l.at(l.all.Index(i).Addr().Interface())
}

// mostItems bounds the directions of a dose reading and the fill ranges of a
// geometry: no bench needs more, and a record stays short.
const mostItems = 16

// between is a range of volumes, a list of two.
type between struct{ p **Range }

func (b between) Given() bool      { return *b.p != nil }
func (between) Want() string       { return "a range such as [3 mL, 5 mL]" }
func (between) Len() int           { return 2 }
func (between) Limits() (int, int) { return 2, 2 }
func (between) Alone() bool        { return false }
func (b between) At(i int) Value {
	if *b.p == nil {
		*b.p = new(Range)
	}
	if i == 0 {
		return amount(&(*b.p).Min)
	}
	return amount(&(*b.p).Max)
}

// Respelling is a value whose field has another spelling, which case files may
// have; a record has none.
type Respelling interface {
	// Old is that spelling.
	Old() string
}

// madeUp is the range of volumes after make-up.
type madeUp struct{ between }

func (madeUp) Old() string { return "makeup" }

// Chosen is a place for an entry of any kind, written as a group with one
// field: its kind.
type Chosen interface {
	Value
	// Make puts a new fact of a kind there and gives it.
	Make(kind string) (Fact, *Refusal)
	// Fact is the fact there.
	Fact() Fact
}

// EntryAt is the place of an entry of any kind.
func EntryAt(p *Fact) Value { return entry{p} }

// entry is a place for an entry.
type entry struct{ p *Fact }

func (e entry) Given() bool { return *e.p != nil }
func (entry) Want() string  { return "one entry, such as note: {text: resuspended}" }
func (e entry) Fact() Fact  { return *e.p }
func (e entry) Make(kind string) (Fact, *Refusal) {
	k, ok := byWord[kind]
	if !ok {
		return nil, &Refusal{Code: "unknown-kind", Msg: "there is no kind of entry called " + Quote(kind), Hint: Nearest(kind, EntryKinds())}
	}
	f := k.make()
	if _, top := f.(*Site); top {
		return nil, &Refusal{Code: "header-in-entries", Msg: kind + " is not an entry", Hint: "it stands at the top of the file"}
	}
	*e.p = f
	return f, nil
}

// replacement is the place for the entry that a correction puts in.
type replacement struct{ entry }

func (r replacement) Make(kind string) (Fact, *Refusal) {
	if kind == "correct" {
		return nil, &Refusal{Code: "correction-of-correction", Msg: "a correction cannot put in a correction", Hint: "correct the first entry once more"}
	}
	f, bad := r.entry.Make(kind)
	if bad == nil && IsSetting(f) {
		return nil, &Refusal{Code: "header-in-entries", Msg: "a correction cannot put in a setting", Hint: "enter the setting, with the time from which it holds"}
	}
	return f, bad
}
