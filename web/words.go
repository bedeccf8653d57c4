package web

import (
	"encoding/json"
	"strconv"
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

// leaf is one field of a fact with its text, as a record holds it.
type leaf struct{ path, text string }

// leaves gives the fields of a fact in their order. A list has one leaf, with
// its items joined.
func leaves(f journal.Fact) []leaf {
	body, err := journal.Record{Case: "x", Recorded: time.Unix(1e9, 0), By: "x", Fact: f}.Marshal()
	if err != nil { // what was read from a journal can be written
		return []leaf{{"", err.Error()}}
	}
	var r struct{ Fact json.RawMessage }
	if err := json.Unmarshal(body, &r); err != nil {
		return []leaf{{"", err.Error()}}
	}
	var out []leaf
	walk(json.NewDecoder(strings.NewReader(string(r.Fact))), "", &out)
	return out
}

// walk goes through one JSON value in the order it is written in.
func walk(d *json.Decoder, path string, out *[]leaf) {
	t, err := d.Token()
	if err != nil {
		return
	}
	switch t {
	case json.Delim('{'):
		for d.More() {
			key, err := d.Token()
			if err != nil {
				return
			}
			name, _ := key.(string)
			walk(d, join(path, name), out)
		}
	case json.Delim('['):
		for n := 0; d.More(); n++ {
			var items []leaf
			walk(d, path, &items)
			for _, item := range items {
				if n > 0 && item.path == path && len(*out) > 0 && (*out)[len(*out)-1].path == path {
					(*out)[len(*out)-1].text += ", " + item.text
					continue
				}
				*out = append(*out, item)
			}
		}
	default:
		*out = append(*out, leaf{path, plainText(t)})
		return
	}
	_, _ = d.Token() // the closing bracket
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

func plainText(t json.Token) string {
	switch x := t.(type) {
	case string:
		return x
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return ""
}

// pairs are the fields of a fact in words.
func pairs(f journal.Fact, z zoned) []view.Pair {
	if x, ok := f.(*journal.Experience); ok {
		return learnedPairs(x, z)
	}
	if x, ok := f.(*journal.ReadingCurve); ok {
		return curvePairs(x, z)
	}
	return pairsOf(withSources(f, leaves(f), true), z)
}

func pairsOf(all []leaf, z zoned) []view.Pair {
	var out []view.Pair
	for _, l := range all {
		out = append(out, view.Pair{Name: strings.NewReplacer("-", " ", ".", ", ").Replace(l.path), Value: readable(l.text, z)})
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
	"read": "meter reading", "draw": "drawn", "return": "returned", "makeup": "made up", "transfer": "transferred", "discard": "put to waste",
	"infuse": "infused", "residual": "dose rates", "note": "note", "correct": "correction", "check": "readiness check", "survey": "survey",
	"agitate": "shaken", "verify": "second check", "label": "label printed", "override": "went on in spite of a finding", "release": "released",
	"handover": "handed over", "timeout": "time-out", "see-figures": "chose to see the figures", "order-sign": "order signed", "takeover": "taken over", "exposure": "staff dose", "paper": "entered from paper", "abandon": "given up", "deviation": "deviation", "close": "closed",
	"learned": "learned from finished cases", "reading-curve": "readings while it settled",
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
	for _, l := range withSources(f, leaves(f), false) {
		if l.path == "at" {
			continue
		}
		out += ", " + strings.ReplaceAll(l.path, "-", " ") + " " + readable(l.text, z)
	}
	return out
}
