package journal

import (
	"time"

	"vialwright/quantity"
)

// field describes one field of a fact: its word, whether it must be given, the
// place in the fact where its value is, and what a person calls it; a group
// without a label leaves those of its fields as they are.
type field struct {
	name  string
	must  bool
	v     value
	label string
}

const (
	must = true
	may  = false
)

// value is a place in a fact, of one of four shapes: a scalar, a group of
// fields, a list, or an entry of any kind.
type value interface {
	// given tells whether the place holds something.
	given() bool
	// want says what is expected there, for messages.
	want() string
}

// scalar is a value with one text.
type scalar interface {
	value
	// read takes the text; it changes nothing if it refuses.
	read(text string, how reading) *Refusal
	// write gives the canonical text, or says why the value has none.
	write() (string, *Refusal)
}

// unquoted marks a scalar that is a JSON number.
type unquoted interface{ isNumber() }

// fielded has fields.
type fielded interface {
	fields([]field) []field
}

// grouped is a value with fields of its own.
type grouped interface {
	value
	// open makes the group if it is absent and gives it.
	open() fielded
}

// listed is a value with one or more items.
type listed interface {
	value
	len() int
	// at gives item i, growing the list by one if i is its length.
	at(i int) value
	// limits are the least and the greatest number of items.
	limits() (least, most int)
	// alone tells whether a case file may give a single item without brackets.
	alone() bool
}

// reading says how a text is read.
type reading struct {
	// canonical: as a record holds it, to the byte.
	canonical bool
	// zone is where a time without an offset is read; nil refuses one.
	zone *time.Location
}

// groupOf is a group behind a pointer, absent where it is nil.
type groupOf[T any, P groupPointer[T]] struct{ p **T }

type groupPointer[T any] interface {
	*T
	fielded
}

func group[T any, P groupPointer[T]](p **T) value { return groupOf[T, P]{p} }

func (g groupOf[T, P]) given() bool { return *g.p != nil }
func (groupOf[T, P]) want() string  { return "fields in braces" }
func (g groupOf[T, P]) open() fielded {
	if *g.p == nil {
		*g.p = new(T)
	}
	return P(*g.p)
}

// itemOf is a group that is an item of a list; it is always there.
type itemOf[T any, P groupPointer[T]] struct{ p *T }

func item[T any, P groupPointer[T]](p *T) value { return itemOf[T, P]{p} }

func (itemOf[T, P]) given() bool     { return true }
func (itemOf[T, P]) want() string    { return "fields in braces" }
func (i itemOf[T, P]) open() fielded { return P(i.p) }

// grow gives the place of item i, adding it if i is the length.
func grow[T any](list *[]T, i int) *T {
	if i == len(*list) {
		*list = append(*list, *new(T))
	}
	return &(*list)[i]
}

// mostItems bounds the directions of a dose reading and the fill ranges of a
// geometry: no bench needs more, and a record stays short.
const mostItems = 16

// rates is the list of directions of a dose reading.
type rates struct {
	p *[]quantity.Stated[quantity.DoseRate]
}

func (r rates) given() bool      { return len(*r.p) > 0 }
func (rates) want() string       { return "a dose rate such as 182 uSv/h, or a list of them" }
func (r rates) len() int         { return len(*r.p) }
func (r rates) at(i int) value   { return amount(grow(r.p, i)) }
func (rates) limits() (int, int) { return 1, mostItems }
func (rates) alone() bool        { return true }

// geometries is the list of factors for a kind of container.
type geometries struct{ p *[]Geometry }

func (g geometries) given() bool { return len(*g.p) > 0 }
func (geometries) want() string {
	return "{factor: 1, u: 0 %, basis: label}, or a list of them with fill"
}
func (g geometries) len() int         { return len(*g.p) }
func (g geometries) at(i int) value   { return item(grow(g.p, i)) }
func (geometries) limits() (int, int) { return 1, mostItems }
func (geometries) alone() bool        { return true }

// between is a range of volumes, a list of two.
type between struct{ p **Range }

func (b between) given() bool      { return *b.p != nil }
func (between) want() string       { return "a range such as [3 mL, 5 mL]" }
func (between) len() int           { return 2 }
func (between) limits() (int, int) { return 2, 2 }
func (between) alone() bool        { return false }
func (b between) at(i int) value {
	if *b.p == nil {
		*b.p = new(Range)
	}
	if i == 0 {
		return amount(&(*b.p).Min)
	}
	return amount(&(*b.p).Max)
}

// respelled is a value whose field has another spelling, which case files may
// have; a record has none.
type respelled interface{ old() string }

// madeUp is the range of volumes after make-up.
type madeUp struct{ between }

func (madeUp) old() string { return "makeup" }

// chosen is a place for an entry of any kind, written as a group with one
// field: its kind.
type chosen interface {
	value
	// make puts a new fact of a kind there and gives it.
	make(kind string) (Fact, *Refusal)
	// fact is the fact there.
	fact() Fact
}

// entryAt is the place of an entry of any kind.
func entryAt(p *Fact) value { return entry{p} }

// entry is a place for an entry.
type entry struct{ p *Fact }

func (e entry) given() bool { return *e.p != nil }
func (entry) want() string  { return "one entry, such as note: {text: shaken}" }
func (e entry) fact() Fact  { return *e.p }
func (e entry) make(kind string) (Fact, *Refusal) {
	k, ok := byWord[kind]
	if !ok {
		return nil, &Refusal{Code: "unknown-kind", Msg: "there is no kind of entry called " + quote(kind), Hint: nearest(kind, EntryKinds())}
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

func (r replacement) make(kind string) (Fact, *Refusal) {
	if kind == "correct" {
		return nil, &Refusal{Code: "correction-of-correction", Msg: "a correction cannot put in a correction", Hint: "correct the first entry once more"}
	}
	f, bad := r.entry.make(kind)
	if bad == nil && IsSetting(f) {
		return nil, &Refusal{Code: "header-in-entries", Msg: "a correction cannot put in a setting", Hint: "enter the setting, with the time from which it holds"}
	}
	return f, bad
}
