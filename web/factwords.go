package web

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

// held are the fields of a fact that hold something.
func held(f fact.Fact) []fact.Field {
	return slices.DeleteFunc(fact.Fields(f), func(x fact.Field) bool { return x.Text == "" })
}

// pairs are the fields of a fact in words.
func pairs(f fact.Fact, z zoned) []view.Pair {
	if x, ok := f.(*fact.Experience); ok {
		return experiencePairs(x, z)
	}
	if x, ok := f.(*fact.SettlingTest); ok {
		return curvePairs(x, z)
	}
	return pairsOf(withSources(f, held(f), true), z)
}

func pairsOf(all []fact.Field, z zoned) []view.Pair {
	var out []view.Pair
	for _, l := range all {
		out = append(out, view.Pair{Name: l.Label, Value: readable(l.Text, z)})
	}
	return out
}

// readable shows a time of a record as people read it, and leaves the rest.
func readable(text string, z zoned) string {
	if len(text) < 17 || text[4] != '-' || text[10] != 'T' {
		return text
	}
	t, err := quantity.ParseTime(text, nil)
	if err != nil {
		return text
	}
	return z.clock(t)
}

// say is a fact in one line. The figures of a second check stay out of it: the
// line is shown to people who may still have to check.
func say(f fact.Fact, z zoned) string {
	out := fact.KindOf(f).Past
	if f.Kind() == "second-check" {
		return out
	}
	if x, ok := f.(*fact.SettlingTest); ok {
		return out + ", of " + x.Of + ", meter " + x.Meter + ", " + plural(len(x.Readings), "reading")
	}
	for _, l := range withSources(f, held(f), false) {
		if l.Path == "at" {
			continue
		}
		out += ", " + inside(l.Label) + " " + readable(l.Text, z)
	}
	return out
}

// inside is a label in the middle of a sentence.
func inside(label string) string { return strings.ToLower(label[:1]) + label[1:] }

// withSources puts behind each figure of a reading where it came from. The
// line itself follows as a field of its own where raw is set.
func withSources(f fact.Fact, all []fact.Field, raw bool) []fact.Field {
	s, meter, prefix := sourcesOf(f)
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
		case sourceFields[path] && (!raw || l.Text == fact.Typed):
			continue
		}
		out = append(out, l)
	}
	return out
}

// sourcesOf are the sources and the meter of a reading, and what stands before
// its fields; without a meter for what is none.
func sourcesOf(f fact.Fact) (s fact.Sources, meter, prefix string) {
	switch x := f.(type) {
	case *fact.Read:
		return x.Sources, x.Meter, ""
	case *fact.SecondCheck:
		return x.Sources, x.Meter, ""
	case *fact.Correct:
		if x.With != nil {
			s, meter, _ = sourcesOf(x.With)
			return s, meter, "with." + x.With.Kind() + "."
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

// sourceFields are the fields of a reading that no person types.
var sourceFields = map[string]bool{"source": true, "line": true, "background-source": true, "background-line": true}

// experiencePairs is what was learned in words, a line for each row.
func experiencePairs(x *fact.Experience, z zoned) []view.Pair {
	out := []view.Pair{{Name: "at", Value: z.clock(x.At)}}
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

// curvePairs are the fields of a reading curve in words, a line for each
// reading.
func curvePairs(x *fact.SettlingTest, z zoned) []view.Pair {
	out := []view.Pair{
		{Name: "of", Value: x.Of}, {Name: "meter", Value: x.Meter}, {Name: "shaken", Value: z.clock(x.At)}, {Name: "background", Value: x.Background.Text},
	}
	for _, r := range x.Readings {
		out = append(out, view.Pair{Name: "after " + r.Since.Text, Value: r.Gross.Text})
	}
	return out
}

// signatures are those under a fact: who recorded it, and who countersigned.
func signatures(r journal.Record) (who []string, act []people.Act) {
	if c, ok := r.Fact.(*fact.Correct); ok && c.Countersigned != "" {
		return []string{r.By, c.Countersigned}, []people.Act{people.Correct, people.AgreeCorrection}
	}
	k := fact.KindOf(r.Fact)
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
