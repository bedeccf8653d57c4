package casefile

import (
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/plainyaml"
)

// File is a case file that was read.
type File struct {
	// Facts are the header facts and then the entries, in the order of the
	// file; entry n of the file is the n-th fact that is no header.
	Facts []fact.Fact
	// Zones are those it was read with.
	Zones fact.Zones

	root plainyaml.Node
}

// content is the whole of a case file.
type content struct {
	format  int
	head    fact.Site
	policy  *fact.Policy
	meters  []fact.Meter
	entries []fact.Fact
}

func (c *content) slots() []fact.Slot {
	out := append([]fact.Slot{{Name: "case", Must: true, V: format{&c.format}}}, fact.Slots(nil, (&c.head))...)
	return append(
		out,
		fact.Slot{Name: "policy", V: fact.GroupAt(&c.policy)},
		fact.Slot{Name: "meters", V: fact.ListAt(&c.meters, "a list of meters", 0, mostMeters, false, fact.ItemAt[fact.Meter])},
		fact.Slot{Name: "entries", V: entries{&c.entries}},
	)
}

// facts gives what was read in the order of a case.
func (c *content) facts() []fact.Fact {
	out := make([]fact.Fact, 0, 2+len(c.meters)+len(c.entries))
	out = append(out, &c.head)
	if c.policy != nil {
		out = append(out, c.policy)
	}
	for i := range c.meters {
		out = append(out, &c.meters[i])
	}
	return append(out, c.entries...)
}

// format is the number of the format of a case file.
type format struct{ p *int }

func (f format) Given() bool                    { return *f.p != 0 }
func (format) Want() string                     { return "the number of the format, 1 or 2" }
func (format) IsNumber()                        {}
func (f format) Write() (string, *fact.Refusal) { return strconv.Itoa(*f.p), nil }

func (f format) Read(text string, _ fact.How) *fact.Refusal {
	if text != "1" && text != "2" {
		return &fact.Refusal{Code: "unknown-format", Msg: "the format " + fact.Quote(text) + " is not known", Hint: "write case: 1, case: 2 where settings stand among the entries, or use a newer release"}
	}
	*f.p = int(text[0] - '0')
	return nil
}

// mostMeters bounds the meters of one case.
const mostMeters = 64

// entries is the list of the entries, which is there even where it is empty.
type entries struct{ p *[]fact.Fact }

func (entries) Given() bool        { return true }
func (entries) Want() string       { return "a list of entries" }
func (e entries) Len() int         { return len(*e.p) }
func (entries) Limits() (int, int) { return 0, MaxBytes }
func (entries) Alone() bool        { return false }
func (e entries) At(i int) fact.Value {
	if i == len(*e.p) {
		*e.p = append(*e.p, nil)
	}
	return fact.EntryAt(&(*e.p)[i])
}

// Decode reads a case file in YAML or JSON. It refuses everything that is not exactly a case file with a
// *FileError, the first fault it finds; see the package comment for the
// grammar. Whether the entries make sense together is for Fold to say. zones
// must not be nil.
func Decode(data []byte, zones fact.Zones) (*File, error) {
	root, err := plainyaml.Parse(data, MaxBytes)
	if err != nil {
		e := err.(*plainyaml.Error)
		return nil, &Error{Line: e.Line, Col: e.Col, Code: e.Code, Msg: e.Msg, Hint: e.Hint}
	}
	f := &File{root: root, Zones: zones}
	switch root.Kind {
	case plainyaml.Mapping:
	case plainyaml.Nothing:
		return nil, &Error{Code: "empty-file", Msg: "the file is empty", Hint: "a case file begins with case: 1"}
	default:
		return nil, failAt(&root, "wrong-type", root.Kind.String()+" stands where the case file should begin", "a case file begins with case: 1")
	}
	var c content
	b := binder{}
	zone, fault := f.zone()
	if fault != nil {
		return nil, fault
	}
	b.how.Zone = zone
	if bad := b.fill(&f.root, c.slots()); bad != nil {
		e := failAt(b.at, bad.Code, bad.Msg, bad.Hint)
		e.Path, e.Want = bad.Path, b.want
		return nil, e
	}
	if e := f.misplaced(&c); e != nil {
		return nil, e
	}
	f.Facts = c.facts()
	return f, nil
}

// misplaced refuses a setting that holds from a time on at the top, and among
// the entries one that holds from none; format 1 has settings at the top only.
func (f *File) misplaced(c *content) *Error {
	at := func(path, code, msg, hint string) *Error {
		e := failAt(f.locate(path), code, msg, hint)
		e.Path = path
		return e
	}
	if c.policy != nil && !c.policy.From.IsZero() {
		return at("policy.from", "from-at-top", "a setting at the top of the file holds from the beginning", "leave from: out, or write the policy among the entries")
	}
	for i := range c.meters {
		if !c.meters[i].From.IsZero() {
			return at("meters["+strconv.Itoa(i+1)+"].from", "from-at-top", "a setting at the top of the file holds from the beginning", "leave from: out, or write the meter among the entries")
		}
	}
	for i, f := range c.entries {
		if path := "entries[" + strconv.Itoa(i+1) + "]"; fact.IsSetting(f) && (fact.IsHeader(f) || c.format == 1) {
			return at(path, "header-in-entries", fact.Word(f)+" is no entry of a file of the format "+strconv.Itoa(c.format)+" as it stands here",
				"write it at the top; or with case: 2 and from:, among the entries")
		}
	}
	return nil
}

// zone loads the zone of the file, which the times in it may need. A file
// without one gives nil: the missing key is reported with the others.
func (f *File) zone() (*time.Location, *Error) {
	n, ok := f.root.Find("zone")
	if !ok || n.Kind != plainyaml.Text {
		return nil, nil
	}
	var name string
	bad := fact.ZoneAt(&name).Read(n.Text, fact.How{})
	var zone *time.Location
	if bad == nil {
		zone, bad = f.Zones.Load(name)
	}
	if bad != nil {
		e := failAt(n, bad.Code, bad.Msg, bad.Hint)
		e.Path, e.Want = "zone", fact.ZoneAt(&name).Want()
		return nil, e
	}
	return zone, nil
}

// Refused is a refusal of the facts of the file with the line and the column of
// the field.
func (f *File) Refused(r *fact.Refusal) *Error {
	e := failAt(f.locate(r.Path), r.Code, r.Msg, r.Hint)
	e.Path = r.Path
	return e
}

// locate finds the deepest part of a path that is in the file.
func (f *File) locate(path string) *plainyaml.Node {
	n := &f.root
	for part := range strings.SplitSeq(strings.ReplaceAll(path, "[", ".["), ".") {
		if digits, ok := strings.CutPrefix(part, "["); ok {
			i, _ := strconv.Atoi(strings.TrimSuffix(digits, "]"))
			if n.Kind != plainyaml.List && i == 1 {
				continue // a list of one without brackets
			}
			if n.Kind != plainyaml.List || i < 1 || i > len(n.Items) {
				break
			}
			n = &n.Items[i-1]
			continue
		}
		next, ok := n.Find(part)
		if !ok {
			break
		}
		n = next
	}
	return n
}

// MaxBytes is the length a case file can have at most. A file of a year's work
// of one case is a hundredth of it; a reader stops there.
const MaxBytes = 1 << 20

// Error says why a case file cannot be used. Code is stable.
type Error struct {
	// File is the name of the file; anyone who opened it fills it in.
	File string
	// Line and Col count from 1, Col in characters; Col is 0 where only the
	// line is known, both are where the fault is in the file as a whole.
	Line, Col int
	// Path is where in the file, such as "entries[4].draw.volume"; entries,
	// meters and items of lists count from 1.
	Path string
	Code string
	// Msg is what is wrong, Want what was expected, Hint the way out; the
	// last two may be empty.
	Msg, Want, Hint string
}

// Error gives one line: where, what is wrong, what was expected, the way out.
func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File + ": ")
	}
	b.WriteString(plainyaml.Place(e.Line, e.Col))
	if e.Path != "" {
		b.WriteString(e.Path + ": ")
	}
	b.WriteString(e.Msg)
	if e.Want != "" {
		b.WriteString("; expected " + e.Want)
	}
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	return b.String()
}

// failAt is a fault at a node.
func failAt(n *plainyaml.Node, code, msg, hint string) *Error {
	return &Error{Line: n.Line, Col: n.Col, Code: code, Msg: msg, Hint: hint}
}
