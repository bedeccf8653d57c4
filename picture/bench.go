package picture

import (
	"html/template"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"vialwright/quantity"
)

// Kind is what a vessel is.
type Kind int

// Kinds.
const (
	ShippingVial Kind = iota
	Syringe
	AdministrationVial
)

// String is the kind in words.
func (k Kind) String() string {
	switch k {
	case ShippingVial:
		return "shipping vial"
	case Syringe:
		return "syringe"
	case AdministrationVial:
		return "administration vial"
	}
	return "vessel"
}

// Bench is what [Vessels] draws. ID tells this picture from the others on a page.
type Bench struct {
	ID string
	// Vessels in the order they are to be drawn: syringes above, vials below,
	// two in a row. One that is not on the bench yet, but Expected, keeps the
	// others from moving when it comes.
	Vessels []Vessel
	// Graduation is the smallest division of the syringe; without one
	// (not above 0, not finite) whole millilitres alone are marked.
	Graduation quantity.Volume
	// Next are the movements to be made now, one as a rule.
	Next []Movement
	// Mark is written across the top where not empty: "PRACTICE - not for
	// patient use".
	Mark string
}

// Vessel is one of them, with its texts ready to be shown.
type Vessel struct {
	Kind Kind
	ID   string
	// Volume sets the level. NaN, infinite or below 0: not known, and no
	// liquid is drawn.
	Volume quantity.Volume
	// VolumeText is the volume as a text, Activity the activity: "2.8 mL", "1.35 GBq".
	VolumeText, Activity string
	// State in words: "settling since 1 min 40 s", "empty", "not yet read".
	State string
	// Clear is the water above the suspension, Bed the settled layer below it,
	// out of Volume; both 0 when mixed. Drawn in vials only: a syringe is
	// turned.
	Clear, Bed quantity.Volume
	// Expected: not on the bench yet, drawn in dashes.
	Expected bool
	// Target is the mark to draw to, on a syringe.
	Target *Target
}

// Target is a mark on a syringe: where, the number beside it, and the words
// before the number: "draw to".
type Target struct {
	Volume      quantity.Volume
	Text, Words string
}

// Movement is an arrow from one vessel to another, by id, with its words.
// Without From it comes from outside, without To it goes outside, as it does
// for an id that is not in the picture.
type Movement struct {
	From, To string
	Words    string
}

func known(v quantity.Volume) bool { return v >= 0 && !math.IsInf(float64(v), 1) }

// capacity is the largest volume drawn in it, in mL.
func (v Vessel) capacity() float64 {
	if v.Kind == Syringe {
		return most
	}
	return v.glass().below(v.glass().brim)
}

func (v Vessel) glass() vial {
	if v.Kind == AdministrationVial {
		return pointed
	}
	return shipping
}

// Vessels draws the vessels of a case to one scale, with what is in them, the
// mark to draw to and the movement that is next. The volumes are drawn as
// given and the texts written as given: the caller answers for their being one.
func Vessels(b Bench) template.HTML {
	return drawBench(b).svg
}

// drawn is a finished picture, and the pairs of colours in it.
type drawn struct {
	svg  template.HTML
	used map[pair]bool
}

func drawBench(b Bench) drawn {
	d := &desk{canvas: newCanvas(name("vessels-"+b.ID, Narrow)), Bench: b.cleaned(), room: vesselRoom}
	d.mark()
	d.syringes()
	d.vials()
	for i, m := range d.Next {
		d.arrow(m, d.rows[i])
	}
	d.list()
	d.scaleBar()
	title, desc := d.Bench.words()
	if d.hasSyringe() {
		desc += " " + sentence(upper(d.marksInWords()))
	}
	return drawn{d.finish(Narrow.class(), d.width, d.y, title, desc, true), d.used}
}

func (b Bench) cleaned() Bench {
	b.Mark = clean(b.Mark)
	vessels := make([]Vessel, len(b.Vessels))
	for i, v := range b.Vessels {
		vessels[i] = v.cleaned()
	}
	moves := make([]Movement, len(b.Next))
	for i, m := range b.Next {
		moves[i] = Movement{clean(m.From), clean(m.To), clean(m.Words)}
	}
	b.Vessels, b.Next = vessels, moves
	return b
}

func (v Vessel) cleaned() Vessel {
	for _, s := range []*string{&v.ID, &v.VolumeText, &v.Activity, &v.State} {
		*s = clean(*s)
	}
	if v.ID == "" {
		v.ID = "(no id)"
	}
	if v.Target != nil {
		v.Target = &Target{v.Target.Volume, clean(v.Target.Text), clean(v.Target.Words)}
	}
	return v
}

// toCome says of a vessel that nothing is in it yet.
var toCome = map[Kind]string{ShippingVial: "not received", Syringe: "not drawn yet", AdministrationVial: "not filled yet"}

// notes are what the drawing itself has to add in words.
func (v Vessel) notes() []string {
	var out []string
	switch {
	case v.Expected:
		out = append(out, toCome[v.Kind])
	case !known(v.Volume):
		out = append(out, "level not known")
	case float64(v.Volume) > v.capacity():
		out = append(out, "more than fits the drawing")
	}
	if t := v.Target; t != nil && v.Kind == Syringe && !(known(t.Volume) && t.Volume <= nominal) {
		out = append(out, "the mark is not on this syringe")
	}
	return out
}

func (b Bench) words() (title, desc string) {
	var ids, facts []string
	if b.Mark != "" {
		facts = append(facts, sentence(b.Mark))
	}
	for _, v := range b.Vessels {
		ids = append(ids, v.Kind.String()+" "+v.ID)
		facts = append(facts, v.sentence())
	}
	for _, m := range b.Next {
		facts = append(facts, m.sentence())
	}
	if len(ids) == 0 {
		return "No vessel yet", strings.Join(append(facts, "No vessel yet."), " ")
	}
	return "To one scale: " + strings.Join(ids, ", "), strings.Join(facts, " ")
}

func (v Vessel) sentence() string {
	parts := append([]string{v.VolumeText, v.Activity, v.State}, v.notes()...)
	if v.Kind != Syringe && volumeOf(v.Clear) > 0 {
		parts = append(parts, "clear water above")
	}
	if v.Kind != Syringe && volumeOf(v.Bed) > 0 {
		parts = append(parts, "a settled layer below")
	}
	if v.Target != nil && v.Kind == Syringe {
		parts = append(parts, strings.TrimSpace(v.Target.Words+" "+v.Target.Text))
	}
	return sentence(upper(v.Kind.String()) + " " + v.ID + ": " + list(parts))
}

func (m Movement) sentence() string {
	s := "Next: " + m.Words
	if m.From != "" {
		s += ", from " + m.From
	}
	if m.To != "" {
		s += " to " + m.To
	}
	return sentence(s)
}

func (b Bench) hasSyringe() bool {
	return slices.ContainsFunc(b.Vessels, func(v Vessel) bool { return v.Kind == Syringe })
}

func list(parts []string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return "nothing known"
	}
	return strings.Join(out, ", ")
}

func sentence(s string) string { return strings.TrimRight(s, ". ") + "." }

func upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
