package web

import (
	"cmp"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// unit is the unit of activity of the bench: the one in which the site's meter
// showed the first reading, GBq before any.
func (b *bench) unit() string {
	for _, r := range b.file.Records {
		if x, ok := r.Fact.(*fact.Read); ok {
			_, unit := x.Gross.Split()
			return cmp.Or(unit, "GBq")
		}
	}
	return "GBq"
}

// band tells whose dose it is.
func (b *bench) band() view.Band {
	out := view.Band{
		Badge: b.q.badge(b.order.ID), Order: b.order.ID, Href: b.href(), Patient: b.prep.Expect.Patient, At: b.onDay(b.order.At),
	}
	says := []string{b.order.ID}
	if b.order.Territory != "" {
		says = append(says, b.order.Territory)
	}
	if b.order.Version != "" {
		says = append(says, "version "+b.order.Version)
	}
	if s := b.prep.Signature; s.By != "" {
		says = append(says, "signed "+s.By+" "+b.onDay(s.At))
	}
	out.Says = strings.Join(says, " · ")
	if b.blind() {
		out.DoseSays = b.prescribed()
		return out
	}
	out.Dose, out.DoseSays = b.prescribedIn(b.unit())
	return out
}

// prescribedIn is what was prescribed in a unit, and in the other one: as it was
// written in that in which it was written.
func (b *bench) prescribedIn(unit string) (dose, other string) {
	e, _ := b.file.Entry(b.order.Entry)
	written := ""
	f, ok := e.Fact.(*fact.Order)
	if ok {
		_, written = f.Prescribed.Split()
	}
	in := func(u string) string {
		if ok && u == written {
			return f.Prescribed.Text
		}
		return quantity.FormatDigits(b.order.Prescribed, 4, u)
	}
	second := "mCi"
	if unit == "mCi" {
		second = "GBq"
	}
	return in(unit), in(second) + " prescribed"
}

// recorded are the entries that made a step done: those of its kinds
// at that time.
func (b *bench) recorded(step procedure.Step) []view.Recorded {
	if step.State != procedure.Done || b.blind() {
		return nil
	}
	var out []view.Recorded
	for _, e := range b.file.Entries() {
		if e.Fact == nil || !b.isOf(e, step) {
			continue
		}
		r := view.Recorded{Title: sentence(fact.KindOf(e.Fact).Past)}
		for _, f := range held(e.Fact) {
			if f.Path != "for" && f.Path != "at" {
				r.Pairs = append(r.Pairs, view.Pair{Name: f.Label, Value: onTheWall(f.Text, b.q.now)})
			}
		}
		if b.q.mayCorrect(b.state, e.Fact, b.file.Records[e.Place].By, "?") == nil {
			r.Correct = "/entry/" + strconv.Itoa(e.Number) + "/correct"
		}
		out = append(out, r)
	}
	return out
}

// isOf tells an entry that made a step done.
func (b *bench) isOf(e fold.Entry, step procedure.Step) bool {
	at := fact.At(e.Fact)
	if at.IsZero() {
		at = b.file.Records[e.Place].Recorded
	}
	of := orderOf(b.state, e.Fact)
	return strings.Contains(" "+step.Records+" ", " "+e.Fact.Kind()+" ") && at.Equal(step.At) && (of == "" || of == b.order.ID)
}
