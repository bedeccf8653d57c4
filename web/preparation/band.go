package preparation

import (
	"strings"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/view"
	"vialwright/web/words"
)

// unit is the unit of activity of the bench: mCi where the site's meter showed the first
// reading in it, else GBq, in which orders, labels and findings are, also where one reading
// was typed in MBq.
func (b *bench) unit() string {
	for _, r := range b.File.Records {
		if x, ok := r.Fact.(*fact.Read); ok {
			if _, unit := x.Gross.Split(); unit == "mCi" {
				return unit
			}
			break
		}
	}
	return "GBq"
}

// band tells whose dose it is.
func (b *bench) band() Band {
	out := Band{
		Badge: b.Q.Badge(b.Order.ID), Order: b.Order.ID, Href: b.Href(), Patient: b.Prep.Expect.Patient, At: b.OnDay(b.Order.At),
	}
	says := []string{b.Order.ID}
	if b.Order.Territory != "" {
		says = append(says, b.Order.Territory)
	}
	if b.Order.Version != "" {
		says = append(says, "version "+b.Order.Version)
	}
	if s := b.Prep.Signature; s.By != "" {
		says = append(says, "signed "+s.By+" "+b.OnDay(s.At))
	}
	out.Says = strings.Join(says, " · ")
	if b.Blind() {
		out.DoseSays = b.Prescribed()
		return out
	}
	out.Dose, out.DoseSays = b.prescribedIn(b.unit())
	return out
}

// prescribedIn is what was prescribed in a unit, and in the other one: as it was
// written in that in which it was written.
func (b *bench) prescribedIn(unit string) (dose, other string) {
	e, _ := b.File.Entry(b.Order.Entry)
	written := ""
	f, ok := e.Fact.(*fact.Order)
	if ok {
		_, written = f.Prescribed.Split()
	}
	in := func(u string) string {
		if ok && u == written {
			return f.Prescribed.Text
		}
		return quantity.FormatDigits(b.Order.Prescribed, 4, u)
	}
	second := "mCi"
	if unit == "mCi" {
		second = "GBq"
	}
	return in(unit), in(second) + " prescribed"
}

// recorded are the entries that made a step done: those of its kinds
// at that time.
func (b *bench) recorded(step procedure.Step) []Recorded {
	if step.State != procedure.Done || b.Blind() {
		return nil
	}
	var out []Recorded
	for _, e := range b.File.Entries() {
		if e.Fact == nil || !b.isOf(e, step) {
			continue
		}
		r := Recorded{Title: words.Sentence(fact.KindOf(e.Fact).Past)}
		for _, f := range words.Held(e.Fact) {
			if f.Path != "for" && f.Path != "at" {
				r.Pairs = append(r.Pairs, view.Pair{Name: f.Label, Value: words.OnTheWall(f.Text, b.Q.Now)})
			}
		}
		if books.MayCorrect(b.Q, b.State, e.Fact, b.File.Records[e.Place].By, "?") == nil {
			r.Correct = b.correctHref(e.Number)
		}
		out = append(out, r)
	}
	return out
}

// isOf tells an entry that made a step done.
func (b *bench) isOf(e fold.Entry, step procedure.Step) bool {
	at := fact.At(e.Fact)
	if at.IsZero() {
		at = b.File.Records[e.Place].Recorded
	}
	of := books.OrderOf(b.State, e.Fact)
	return strings.Contains(" "+step.Records+" ", " "+fact.Word(e.Fact)+" ") && at.Equal(step.At) && (of == "" || of == b.Order.ID)
}
