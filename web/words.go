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

// kindWords are the kinds of fact as they are said of the past.
var kindWords = map[string]string{
	"case": "case opened", "policy": "site settings", "meter": "meter set", "order": "order entered", "receive": "vial received",
	"read": "meter reading", "draw": "drawn", "return": "returned", "makeup": "made up", "transfer": "transferred", "discard": "added to waste",
	"infuse": "infused", "residual": "dose rates", "note": "note", "correct": "correction", "check": "readiness check", "survey": "survey",
	"agitate": "resuspended", "verify": "second check", "label": "label printed", "override": "override", "release": "released",
	"handover": "handed over", "timeout": "time-out", "see-figures": "chose to see the figures", "order-sign": "order signed", "takeover": "taken over", "exposure": "staff dose", "paper": "late entry", "reassign": "given to another order", "abandon": "cancelled", "deviation": "deviation", "near-miss": "near miss", "close": "closed",
	"learned": "site experience", "reading-curve": "settling test",
}

// kindWord is a kind in words.
func kindWord(kind string) string {
	if w := kindWords[kind]; w != "" {
		return w
	}
	return kind
}

// say is a fact in one line. The figures of a second check stay out of it: the
// line is shown to people who may still have to check.
func say(f journal.Fact, z zoned) string {
	out := kindWord(f.Kind())
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
