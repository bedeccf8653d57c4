package web

import (
	"slices"
	"strings"
	"time"

	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/view"
)

// zoned is the zone of a case, in which its times are shown.
type zoned struct{ *time.Location }

// clock is a time of day with its day and offset.
func (z zoned) clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return quantity.ShowTime(t.In(z.loc()))
}

// hour is the time of day alone, for where the day is plain.
func (z zoned) hour(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(z.loc()).Format("15:04")
}

// wall is a time as the clock on the wall tells it: the time of day alone on the
// day of now, with the day on any other.
func (z zoned) wall(t, now time.Time) string {
	if t.IsZero() {
		return ""
	}
	return onWall(t.In(z.loc()), now)
}

func onWall(t, now time.Time) string {
	if t.Format(time.DateOnly) == now.In(t.Location()).Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return t.Format("Mon 2 Jan 15:04")
}

func (z zoned) loc() *time.Location {
	if z.Location == nil {
		return time.UTC
	}
	return z.Location
}

// held are the fields of a fact that hold something.
func held(f journal.Fact) []journal.Field {
	return slices.DeleteFunc(journal.Fields(f), func(x journal.Field) bool { return x.Text == "" })
}

// pairs are the fields of a fact in words.
func pairs(f journal.Fact, z zoned) []view.Pair {
	if x, ok := f.(*journal.Experience); ok {
		return learnedPairs(x, z)
	}
	if x, ok := f.(*journal.ReadingCurve); ok {
		return curvePairs(x, z)
	}
	return pairsOf(withSources(f, held(f), true), z)
}

func pairsOf(all []journal.Field, z zoned) []view.Pair {
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
func say(f journal.Fact, z zoned) string {
	out := journal.KindOf(f).Past
	if f.Kind() == "verify" {
		return out
	}
	if x, ok := f.(*journal.ReadingCurve); ok {
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
