package rules

import (
	"embed"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/form"
	"vialwright/quantity"
)

// Mark says how a value is known.
type Mark string

// The marks.
const (
	Verified   Mark = "verified"
	SecondHand Mark = "second-hand"
	Memory     Mark = "memory"
	Pending    Mark = "pending"
	Site       Mark = "site"
)

// Value is one rule.
type Value struct {
	Key Key
	// Figure is as written, with its unit.
	Figure string
	// Compare is ">" or ">=", empty where nothing is compared.
	Compare           string
	Citation, Address string
	// Read is the day the text was read at Address, From the first day in force and
	// To the first day no longer; zero where not known.
	Read, From, To time.Time
	Mark           Mark
	// Note is what else a person should know.
	Note string
	// Profile is the one it stands in.
	Profile string
	number  float64
}

// Profile is a set of values.
type Profile struct {
	ID, Title, Edition string
	// Over is the profile beneath, empty for none.
	Over string
	// Approver approved it, and what stands beneath, on that day; empty for one as
	// it is shipped.
	Approver string
	Approved time.Time
	// Values are its own, then those of the profile beneath.
	Values []Value
}

// MaxBytes is the length a profile can have at most.
const MaxBytes = 1 << 17

//go:embed data
var data embed.FS

// Shipped are the profiles that come with the program.
var Shipped = []string{"us", "us-nc", "eu", "uk", "blank"}

// Load gives a shipped profile. The error says which there are.
func Load(id string) (Profile, error) {
	if !slices.Contains(Shipped, id) {
		return Profile{}, fmt.Errorf("no profile is called %q; there are %s, or give the path of a file", id, strings.Join(Shipped, ", "))
	}
	text, err := data.ReadFile("data/" + id + ".yaml")
	if err != nil {
		return Profile{}, err
	}
	return Read(text)
}

// Read reads a profile. The error is a *form.Error with line and column.
func Read(text []byte) (Profile, error) {
	f, err := form.Open(text, MaxBytes)
	if err != nil {
		return Profile{}, err
	}
	p := Profile{
		ID: f.Text("profile", form.Must), Title: f.Text("title", form.Must), Edition: f.Text("edition", form.May),
		Over: f.Text("over", form.May), Approver: f.Text("approved-by", form.May), Approved: f.Date("approved-on", form.May),
	}
	over := f.Text("over-edition", form.May)
	for _, g := range f.Groups("values", form.May) {
		p.Values = append(p.Values, readValue(g, p))
	}
	p.settle(f, over)
	return p, f.Done()
}

// settle asks for what a whole profile needs, and takes the values beneath.
func (p *Profile) settle(f *form.Fields, over string) {
	shipped := slices.Contains(Shipped, p.ID)
	switch {
	case shipped && p.Edition == "":
		f.Fail("edition", "no-edition", "a shipped profile has no edition", "write the day of its last change")
	case !shipped && (p.Approver == "" || p.Approved.IsZero()):
		f.Fail("approved-by", "not-approved", "nobody has approved this profile", "write approved-by and approved-on: a person of the site answers for it")
	}
	for i, v := range p.Values {
		for _, w := range p.Values[:i] {
			if v.Key == w.Key && v.Mark != Pending && w.Mark != Pending && overlap(v, w) {
				f.Fail("values", "value-twice", fmt.Sprintf("%s has two values that are in force at once", v.Key), "end the first with to, and begin the second with from")
			}
		}
	}
	if p.Over == "" {
		return
	}
	base, err := Load(p.Over)
	switch {
	case err != nil:
		f.Fail("over", "no-profile", err.Error(), "write one of them")
	case !shipped && over != base.Edition:
		f.Fail("over-edition", "other-edition", fmt.Sprintf("the approved edition of %s is %q, and it now is %s", p.Over, over, base.Edition), "look at what has changed, and approve it again with over-edition: "+base.Edition)
	default:
		p.Values = append(p.Values, base.Values...)
	}
}

func overlap(v, w Value) bool {
	begins := func(a, b Value) bool { return b.To.IsZero() || a.From.Before(b.To) }
	return begins(v, w) && begins(w, v)
}

func readValue(g *form.Fields, p Profile) Value {
	v := Value{
		Key: Key(g.Text("key", form.Must)), Figure: g.Text("figure", form.Must), Compare: g.Word("compare", form.May, ">", ">="),
		Citation: g.Text("citation", form.May), Address: g.Text("address", form.May), Read: g.Date("read", form.May),
		From: g.Date("from", form.May), To: g.Date("to", form.May), Note: g.Text("note", form.May), Profile: p.ID,
		Mark: Mark(g.Word("mark", form.Must, string(Verified), string(SecondHand), string(Memory), string(Pending), string(Site))),
	}
	e, known := entry(v.Key)
	if !known {
		g.Fail("key", "unknown-key", fmt.Sprintf("%q decides nothing", v.Key), "write one of those that `vialwright rules show us` lists")
		return v
	}
	var ok bool
	v.number, ok = e.shape.read(v.Figure)
	switch {
	case !ok:
		g.Fail("figure", "no-figure", fmt.Sprintf("%q is no figure of %s", v.Figure, v.Key), "write "+e.shape.want)
	case e.Compared != (v.Compare != ""):
		g.Fail("compare", "comparison", fmt.Sprintf("%s is compared: %v", v.Key, e.Compared), "write compare: \">\" or \">=\" where something is held against the figure, and only there")
	case v.Citation == "":
		g.Fail("citation", "no-citation", "the value has no citation", "write the paragraph it stands in; a value that nobody can check is not used")
	case v.Mark == Site && slices.Contains(Shipped, p.ID):
		g.Fail("mark", "site-value", "a shipped profile decides nothing for a site", "write how the value is known")
	case (v.Mark == Verified || v.Mark == SecondHand) && (v.Address == "" || v.Read.IsZero()):
		g.Fail("address", "no-address", "the value is marked "+string(v.Mark)+" without where and when it was read", "write address and read, or mark: memory")
	case !v.To.IsZero() && !v.From.Before(v.To):
		g.Fail("to", "period", "the value ends before it begins", "check from and to")
	}
	return v
}

// Set are the values in force on one day, at most one of each key.
type Set struct {
	Profile Profile
	Day     time.Time
	values  map[Key]Value
	later   map[Key]Value
}

// On gives the values in force on the day of an instant, in its own zone. The
// profile's own stand before those beneath.
func (p Profile) On(at time.Time) Set {
	day := time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC)
	s := Set{p, day, map[Key]Value{}, map[Key]Value{}}
	for _, v := range p.Values {
		if v.Mark == Pending || !v.To.IsZero() && !day.Before(v.To) {
			continue
		}
		into := s.values
		if day.Before(v.From) {
			into = s.later
		}
		if _, there := into[v.Key]; !there {
			into[v.Key] = v
		}
	}
	return s
}

// Get gives the value of a key. Where there is none, why says so, and from when
// there will be one.
func (s Set) Get(k Key) (v Value, ok bool, why string) {
	if v, ok = s.values[k]; ok {
		return v, true, ""
	}
	why = fmt.Sprintf("profile %s has no %s in force on %s", s.Profile.ID, k, s.Day.Format(time.DateOnly))
	if l, later := s.later[k]; later {
		why += fmt.Sprintf("; %s comes into force on %s", l.Figure, l.From.Format(time.DateOnly))
	}
	return Value{}, false, why
}

// Yes tells whether a yes-or-no value is there and says yes.
func (s Set) Yes(k Key) bool {
	v, ok := s.values[k]
	return ok && v.number == 1
}

// Reached tells whether an amount, in the base unit of the figure, reaches the
// value by its own comparison; see the package comment for what is equal.
func (v Value) Reached(x float64) bool {
	if math.Abs(x-v.number) <= 1e-9*math.Abs(v.number) {
		return v.Compare == ">="
	}
	return x > v.number
}

// Share gives the figure of a share, Span that of a length of time.
func (v Value) Share() quantity.Fraction { return quantity.Fraction(v.number) }

// Span gives the figure of a length of time.
func (v Value) Span() quantity.Span { return quantity.Span(v.number) }

// Number is the figure in the base unit of its quantity, such as Bq for a gram of a
// clearance; a bare count for half-lives.
func (v Value) Number() float64 { return v.number }

// Bound writes the comparison and the figure: "20 % or more", "more than 20 %".
func (v Value) Bound() string {
	switch v.Compare {
	case ">":
		return "more than " + v.Figure
	case ">=":
		return v.Figure + " or more"
	}
	return v.Figure
}

// Source writes the citation with its mark: "10 CFR 35.63(d) [verified]".
func (v Value) Source() string {
	s := v.Citation + " [" + string(v.Mark) + "]"
	if v.Mark == Memory {
		s = v.Citation + " [from memory, not read for this profile]"
	}
	return s
}

// Change is a key whose value differs between two sets; a side is nil where it has
// none.
type Change struct {
	Key           Key
	Before, After *Value
}

// Diff gives what differs in what acts: figure, comparison, citation or mark.
func Diff(a, b Set) []Change {
	var out []Change
	for _, e := range Keys {
		x, inA := a.values[e.Key]
		y, inB := b.values[e.Key]
		if inA == inB && x.Figure == y.Figure && x.Compare == y.Compare && x.Citation == y.Citation && x.Mark == y.Mark {
			continue
		}
		c := Change{Key: e.Key}
		if inA {
			c.Before = &x
		}
		if inB {
			c.After = &y
		}
		out = append(out, c)
	}
	return out
}

// All are the values in force, in the order of [Keys].
func (s Set) All() []Value {
	var out []Value
	for _, e := range Keys {
		if v, ok := s.values[e.Key]; ok {
			out = append(out, v)
		}
	}
	return out
}

// Pending are the values that are not in force: pending ones, and those whose day
// is still to come.
func (s Set) Pending() []Value {
	var out []Value
	for _, v := range s.Profile.Values {
		if v.Mark == Pending || s.Day.Before(v.From) {
			out = append(out, v)
		}
	}
	return out
}

// Says is what the key decides, in words.
func (k Key) Says() string {
	e, _ := entry(k)
	return e.Says
}

// ApprovedText says who approved the profile, or that nobody of a site did.
func (p Profile) ApprovedText() string {
	if p.Approver == "" {
		return "as shipped, edition " + p.Edition + "; nobody of a site has approved it"
	}
	return "approved by " + p.Approver + " on " + p.Approved.Format(time.DateOnly)
}
