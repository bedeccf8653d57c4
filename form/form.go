// Package form reads a small file of named fields in the style of the case
// file: plain YAML, every figure with its unit, every time with its zone.
//
// A reader takes the fields it knows one after the other and asks at the end,
// with [Fields.Done], what went wrong: the first field that could not be read,
// or else the first that nobody asked for. The fields of groups and of lists
// within are part of the same question. Every refusal is an [*Error] with line,
// column and the path of the field.
//
//	f, err := form.Open(data, 1<<16)
//	mass := form.Amount[quantity.Mass](f, "tumour-mass", form.Must)
//	err = f.Done()
//
// Nothing is filled in: a field that may be missing gives the zero value.
package form

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/plainyaml"
	"vialwright/quantity"
)

// Need says whether a field has to be there.
type Need bool

// A field that has to be there, and one that can be left out.
const (
	Must Need = true
	May  Need = false
)

// Error says why a file cannot be used: Line and Col count from 1 and are 0
// where the fault is in the file as a whole. Code is stable; Hint is the way out.
type Error struct {
	// Line and Col are where the fault begins.
	Line, Col             int
	Path, Code, Msg, Hint string
}

// Error gives one line: where, what is wrong, what to do.
func (e *Error) Error() string {
	s := plainyaml.Place(e.Line, e.Col)
	if e.Path != "" {
		s += e.Path + ": "
	}
	if s += e.Msg; e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// Fields are those of a file, or of a group within it.
type Fields struct {
	node  *plainyaml.Node
	path  string
	asked []string
	file  *file
}

// file is what all the fields of one file share.
type file struct {
	groups []*Fields
	zone   *time.Location
	bad    *Error
}

// Open reads a file of at most that many bytes, whose whole is one group of
// fields.
func Open(data []byte, most int) (*Fields, error) {
	root, err := plainyaml.Parse(data, most)
	if err != nil {
		if y, ok := err.(*plainyaml.Error); ok {
			return nil, &Error{Line: y.Line, Col: y.Col, Code: y.Code, Msg: y.Msg, Hint: y.Hint}
		}
		return nil, err
	}
	if root.Kind != plainyaml.Mapping {
		return nil, &Error{Line: root.Line, Col: root.Col, Code: "no-fields", Msg: "the file holds " + root.Kind.String(), Hint: "write one field to a line, such as zone: UTC"}
	}
	x := &file{}
	return x.group(&root, ""), nil
}

func (x *file) group(n *plainyaml.Node, path string) *Fields {
	f := &Fields{node: n, path: path, file: x}
	x.groups = append(x.groups, f)
	return f
}

// Zone sets the zone in which times without an offset are read from here on.
func (f *Fields) Zone(zone *time.Location) { f.file.zone = zone }

// ReadZone gives the zone that the field zone names, loaded by its IANA name; UTC where that
// cannot be.
func (f *Fields) ReadZone(load func(name string) (*time.Location, error)) *time.Location {
	name := f.Text("zone", Must)
	if name == "" {
		return time.UTC
	}
	z, err := load(name)
	if err != nil {
		f.Fail("zone", "no-zone", "no time zone is called "+strconv.Quote(name), "write it like Atlantic/Azores")
		return time.UTC
	}
	return z
}

// Has tells whether a field is there. It does not count as asked for.
func (f *Fields) Has(key string) bool {
	n, ok := f.node.Find(key)
	return ok && n.Kind != plainyaml.Nothing
}

// Percent tells whether a field is in percent. It does not count as asked for.
func (f *Fields) Percent(key string) bool {
	n, ok := f.node.Find(key)
	return ok && strings.HasSuffix(strings.TrimSpace(n.Text), "%")
}

func (f *Fields) place(key string) string {
	if f.path == "" {
		return key
	}
	return f.path + "." + key
}

// Fail records that a field cannot be used; only the first fault of a file is
// kept. Without such a field the fault is at the one it belongs to, as dispensed-u
// does to dispensed, or at the first of those beside that is there, or at the group.
func (f *Fields) Fail(key, code, msg, hint string, beside ...string) {
	if f.file.bad != nil {
		return
	}
	at, ok := f.node.Find(key)
	for stem := key; !ok && strings.Contains(stem, "-"); {
		stem = stem[:strings.LastIndex(stem, "-")]
		at, ok = f.node.Find(stem)
	}
	for i := 0; !ok && i < len(beside); i++ {
		at, ok = f.node.Find(beside[i])
	}
	if !ok {
		at = f.node
	}
	f.file.bad = &Error{at.Line, at.Col, f.place(key), code, msg, hint}
}

// take finds a field and notes that it was asked for.
func (f *Fields) take(key string, need Need, kind plainyaml.Kind, want string) *plainyaml.Node {
	f.asked = append(f.asked, key)
	n, ok := f.node.Find(key)
	switch {
	case !ok || n.Kind == plainyaml.Nothing:
		if need == Must {
			f.Fail(key, "field-missing", key+" is missing", "write "+want)
		}
		return nil
	case n.Kind != kind:
		f.Fail(key, "wrong-shape", "it is "+n.Kind.String(), "write "+want)
		return nil
	}
	return n
}

// text is Text with its own words for what is wanted.
func (f *Fields) text(key string, need Need, want string) string {
	if n := f.take(key, need, plainyaml.Text, want); n != nil {
		return n.Text
	}
	return ""
}

// wants says what belongs to a text whose name alone does not say it.
var wants = map[string]string{
	"zone":    "the name of a zone such as Atlantic/Azores",
	"profile": "the name of a rule profile such as us, or the path of one",
	"address": "tcp://host:port, or serial:///path",
}

// Text gives a text on one line, without spaces around it.
func (f *Fields) Text(key string, need Need) string { return strings.TrimSpace(f.Exact(key, need)) }

// Exact is Text with the spaces around it.
func (f *Fields) Exact(key string, need Need) string {
	s := f.text(key, need, cmp.Or(wants[key], "a text"))
	if len(s) > 500 {
		f.Fail(key, "too-long", "the text is longer than 500 bytes", "shorten it")
	}
	return s
}

// Word gives one of the words.
func (f *Fields) Word(key string, need Need, words ...string) string {
	want := "one of " + strings.Join(words, ", ")
	if len(words) == 1 {
		want = key + ": " + words[0]
	}
	s := f.text(key, need, want)
	if s != "" && !slices.Contains(words, s) {
		f.Fail(key, "no-such-word", strconv.Quote(s)+" is not known here", "write "+want)
	}
	return s
}

// YesNo gives a yes or a no; nil where neither was written. There is no
// default.
func (f *Fields) YesNo(key string, need Need) *bool {
	s := f.Word(key, need, "yes", "no")
	if s == "" {
		return nil
	}
	yes := s == "yes"
	return &yes
}

// Time gives an instant: RFC 3339, or a local time in the zone of the file.
func (f *Fields) Time(key string, need Need) time.Time {
	s := f.text(key, need, "a time such as 2027-03-04T13:30")
	if s == "" {
		return time.Time{}
	}
	t, err := quantity.ParseTime(s, f.file.zone)
	f.refuse(key, err)
	if err == nil && f.file.zone != nil {
		t = t.In(f.file.zone)
	}
	return t
}

// Date gives a day of the calendar, as its beginning in UTC.
func (f *Fields) Date(key string, need Need) time.Time {
	const want = "a date such as 2027-03-04"
	s := f.text(key, need, want)
	if s == "" {
		return time.Time{}
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		f.Fail(key, "no-date", strconv.Quote(s)+" is no date", "write "+want)
	}
	return t
}

// refuse records a refusal of package quantity.
func (f *Fields) refuse(key string, err error) {
	switch e := err.(type) {
	case nil:
	case *quantity.Error:
		f.Fail(key, e.Code, strconv.Quote(e.Input)+": "+e.Msg, e.Hint)
	default:
		f.Fail(key, "unreadable", err.Error(), "write it again")
	}
}

// Amount gives a quantity with its unit.
func Amount[Q quantity.Kind](f *Fields, key string, need Need) quantity.Stated[Q] {
	units := quantity.Units[Q]()
	s := f.text(key, need, "a number and one of the units "+strings.Join(units, ", "))
	if s == "" {
		return quantity.Stated[Q]{}
	}
	q, err := quantity.Parse[Q](s)
	f.refuse(key, err)
	return q
}

// Count gives a number of things, written with what they are, such as "13200
// counts" or "2400 px". It is 0 or more.
func (f *Fields) Count(key string, need Need, unit string) float64 {
	want := "a number of " + unit + ", such as 1200 " + unit
	if strings.HasPrefix(unit, "to ") { // a ratio
		want = "a ratio such as 3 " + unit
	}
	s := f.text(key, need, want)
	if s == "" {
		return 0
	}
	digits, ok := strings.CutSuffix(s, " "+unit)
	n, err := strconv.ParseFloat(digits, 64)
	if !ok || err != nil || !(n >= 0 && n <= 1e15) || strings.Trim(digits, "0123456789.") != "" {
		f.Fail(key, "no-count", fmt.Sprintf("%q is not %s", s, want), "write a number, a space and "+strconv.Quote(unit))
		return 0
	}
	return n
}

// Whole gives a count of things that have no parts, such as "2 benches".
func (f *Fields) Whole(key string, need Need, unit string) int {
	n := f.Count(key, need, unit)
	if n != math.Trunc(n) || n > 1e6 {
		f.Fail(key, "no-count", fmt.Sprintf("%g %s is no whole number, or too many", n, unit), "write a whole number")
		return 0
	}
	return int(n)
}

// Group gives the fields of a group; nil where there is none.
func (f *Fields) Group(key string, need Need) *Fields {
	n := f.take(key, need, plainyaml.Mapping, "a group of fields, such as {at: 2027-03-04T13:30}")
	if n == nil {
		return nil
	}
	return f.file.group(n, f.place(key))
}

// Groups gives the groups of a list; they count from 1 in messages.
func (f *Fields) Groups(key string, need Need) []*Fields {
	n := f.take(key, need, plainyaml.List, "a list of groups of fields")
	if n == nil {
		return nil
	}
	var out []*Fields
	for i := range n.Items {
		item, path := &n.Items[i], fmt.Sprintf("%s[%d]", f.place(key), i+1)
		if item.Kind != plainyaml.Mapping {
			if f.file.bad == nil {
				f.file.bad = &Error{item.Line, item.Col, path, "wrong-shape", "it is " + item.Kind.String(), "write a group of fields"}
			}
			continue
		}
		out = append(out, f.file.group(item, path))
	}
	return out
}

// Texts gives a list of texts.
func (f *Fields) Texts(key string, need Need) []string {
	n := f.take(key, need, plainyaml.List, "a list of texts")
	if n == nil {
		return nil
	}
	var out []string
	for i := range n.Items {
		if n.Items[i].Kind != plainyaml.Text {
			f.Fail(key, "wrong-shape", "an item of it is "+n.Items[i].Kind.String(), "write a list of texts")
			continue
		}
		out = append(out, n.Items[i].Text)
	}
	return out
}

// Words gives a group of texts under names that the file chooses.
func (f *Fields) Words(key string, need Need) map[string]string {
	g := f.Group(key, need)
	if g == nil {
		return nil
	}
	out := map[string]string{}
	for i := range g.node.Pairs() {
		name := g.node.Key(i).Text
		out[name] = g.Exact(name, Must)
	}
	return out
}

// Done gives the first fault of the file: of what was asked for, or else the
// first field that nobody asked for.
func (f *Fields) Done() error {
	if f.file.bad != nil {
		return f.file.bad
	}
	for _, g := range f.file.groups {
		for i := range g.node.Pairs() {
			k := g.node.Key(i)
			if slices.Contains(g.asked, k.Text) {
				continue
			}
			return &Error{k.Line, k.Col, g.place(k.Text), "unknown-field", strconv.Quote(k.Text) + " is no field here", "the fields here are " + strings.Join(g.asked, ", ")}
		}
	}
	return nil
}
