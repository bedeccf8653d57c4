// Package words says facts and times as people read them: the fields of a fact with
// their labels, a fact in one line, who signed it, a time in the zone of the site.
// The words of a field are those that its kind was declared with.
package words

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/view"
)

// Held are the fields of a fact that hold something.
func Held(f fact.Fact) []fact.Field {
	return slices.DeleteFunc(fact.Fields(f), func(x fact.Field) bool { return x.Text == "" })
}

// Pairs are the fields of a fact in words.
func Pairs(f fact.Fact, z Zoned) []view.Pair {
	if x, ok := f.(*fact.Experience); ok {
		return ExperiencePairs(x, z)
	}
	if x, ok := f.(*fact.SettlingTest); ok {
		return CurvePairs(x, z)
	}
	return PairsOf(WithSources(f, Held(f), true), z)
}

// PairsOf are some fields in words.
func PairsOf(all []fact.Field, z Zoned) []view.Pair {
	var out []view.Pair
	for _, l := range all {
		out = append(out, view.Pair{Name: l.Label, Value: readable(l, z)})
	}
	return out
}

// readable shows a time of a record, what is one of a few words, and a quantity, as people
// read it, and leaves the rest.
func readable(l fact.Field, z Zoned) string {
	text := l.Text
	if len(l.Words) > 0 {
		return strings.ReplaceAll(text, "-", " ")
	}
	if len(text) < 17 || text[4] != '-' || text[10] != 'T' {
		if l.Shape == fact.TextShape || l.Shape == fact.IDShape {
			return text
		}
		return quantity.Shown(text)
	}
	t, err := quantity.ParseTime(text, nil)
	if err != nil {
		return text
	}
	return z.Clock(t)
}

// Say is a fact in one line. The figures of a second check stay out of it: the
// line is shown to people who may still have to check. When it happened is not in it;
// when a dose is to be given is.
func Say(f fact.Fact, z Zoned) string {
	out := fact.KindOf(f).Past
	if fact.Word(f) == "second-check" {
		return out
	}
	if x, ok := f.(*fact.SettlingTest); ok {
		return out + ", of " + x.Of + ", meter " + x.Meter + ", " + Plural(len(x.Readings), "reading")
	}
	for _, l := range WithSources(f, Held(f), false) {
		if l.Path == "at" && !fact.At(f).IsZero() {
			continue
		}
		out += ", " + Inside(l.Label) + " " + readable(l, z)
	}
	return out
}

// Inside is a label in the middle of a sentence.
func Inside(label string) string { return strings.ToLower(label[:1]) + label[1:] }

// WithSources puts behind each figure of a reading where it came from. The
// line itself follows as a field of its own where raw is set.
func WithSources(f fact.Fact, all []fact.Field, raw bool) []fact.Field {
	s, meter, prefix := SourcesOf(f)
	if meter == "" {
		return all
	}
	var out []fact.Field
	for _, l := range all {
		path, _ := strings.CutPrefix(l.Path, prefix)
		switch {
		case path == "gross":
			l.Text += fromWords(s.Source, meter)
		case path == "background":
			l.Text += fromWords(s.BackgroundSource, meter)
		case SourceFields[path] && (!raw || l.Text == fact.Typed):
			continue
		}
		out = append(out, l)
	}
	return out
}

// SourcesOf are the sources and the meter of a reading, and what stands before
// its fields; without a meter for what is none.
func SourcesOf(f fact.Fact) (s fact.Sources, meter, prefix string) {
	switch x := f.(type) {
	case *fact.Read:
		return x.Sources, x.Meter, ""
	case *fact.SecondCheck:
		return x.Sources, x.Meter, ""
	case *fact.Correct:
		if x.With != nil {
			s, meter, _ = SourcesOf(x.With)
			return s, meter, "with." + fact.Word(x.With) + "."
		}
	}
	return s, "", ""
}

// fromWords says where a figure came from; empty where nobody noted it.
func fromWords(source, meter string) string {
	switch source {
	case "":
		return ""
	case fact.Typed:
		return ", typed"
	}
	return ", from meter " + meter
}

// SourceFields are the fields of a reading that no person types.
var SourceFields = map[string]bool{"source": true, "line": true, "background-source": true, "background-line": true}

// ExperiencePairs is the site experience in words, a line for each row.
func ExperiencePairs(x *fact.Experience, z Zoned) []view.Pair {
	out := []view.Pair{{Name: "at", Value: z.Clock(x.At)}}
	if x.UpTo > 0 {
		out = append(out, view.Pair{Name: "to record", Value: strconv.Itoa(x.UpTo)})
	}
	for _, y := range x.Yields {
		out = append(out, view.Pair{
			Name:  "draw yield, " + whose(y.Vial, y.By),
			Value: fmt.Sprintf("%s ± %s, %d draws, %d such", y.Q, y.U, y.Cases, y.Own),
		})
	}
	for _, r := range x.Residuals {
		out = append(out, view.Pair{
			Name:  "residual, " + whose(r.Vial, ""),
			Value: fmt.Sprintf("%s ± %s (%s ± %s), %d infusions, %d such", r.Fraction, r.U, r.Activity, r.ActivityU, r.Cases, r.Own),
		})
	}
	if x.Reason != "" {
		out = append(out, view.Pair{Name: "reason", Value: x.Reason})
	}
	return out
}

// whose names a row.
func whose(vial, by string) string {
	if vial == "" {
		vial = "any other vial"
	}
	if by == "" {
		return vial
	}
	return vial + ", " + by
}

// CurvePairs are the fields of a reading curve in words, a line for each
// reading.
func CurvePairs(x *fact.SettlingTest, z Zoned) []view.Pair {
	out := []view.Pair{
		{Name: "of", Value: x.Of}, {Name: "meter", Value: x.Meter}, {Name: "resuspended", Value: z.Clock(x.At)}, {Name: "background", Value: x.Background.Text},
	}
	for _, r := range x.Readings {
		out = append(out, view.Pair{Name: "after " + r.Since.Text, Value: r.Gross.Text})
	}
	return out
}

// Signatures are those under a fact: who recorded it, and who countersigned.
func Signatures(r journal.Record) (who []string, act []people.Act) {
	if c, ok := r.Fact.(*fact.Correct); ok && c.Countersigned != "" {
		return []string{r.By, c.Countersigned}, []people.Act{people.Correct, people.AgreeCorrection}
	}
	k := fact.KindOf(r.Fact)
	if s, ok := r.Fact.(*fact.Supervised); ok {
		return []string{s.By}, []people.Act{k.Act}
	}
	if k.Mend != fact.Signed {
		return nil, nil
	}
	who, act = []string{r.By}, []people.Act{k.Act}
	switch x := r.Fact.(type) {
	case *fact.HandOver:
		who, act = append(who, x.Countersigned), append(act, people.TakeOver)
	case *fact.TimeOut:
		who, act = append(who, x.Countersigned), append(act, people.TimeOut)
	}
	if i := slices.Index(who, ""); i > 0 {
		who, act = who[:i], act[:i]
	}
	return who, act
}

// Titles are roles in words.
func Titles(roles []people.Role) string {
	out := make([]string, len(roles))
	for i, r := range roles {
		out[i] = r.Title()
	}
	return strings.Join(out, ", ")
}
