package casefile

import (
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// plain appends a scalar in the flow style of YAML: without quotes where no
// reader can take it for something else.
func (w *exporter) plain(dst []byte, v fact.Scalar) ([]byte, *fact.Refusal) {
	s, bad := v.Write()
	if bad != nil {
		return dst, bad
	}
	_, number := v.(fact.Bare)
	at, isMoment := fact.MomentIn(v)
	switch {
	case isMoment:
		return append(dst, localText(at, w.zone)...), nil
	case number || isPlain(s):
		return append(dst, s...), nil
	}
	return append(dst, escapeYAML.Replace(string(journal.AppendQuoted(nil, s)))...), nil
}

// escapeYAML escapes what a text of ours may hold and a YAML file may not.
var escapeYAML = strings.NewReplacer("\uFFFE", `\uFFFE`, "\uFFFF", `\uFFFF`)

// isPlain tells that a text can stand in a case file without quotes: nothing
// in it begins anything else in YAML, and no reader takes it for another type
// than text. Quantities and times are plain.
func isPlain(s string) bool {
	for i := range len(s) {
		c := s[i]
		letter := 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z'
		digit := '0' <= c && c <= '9'
		if !letter && !digit && (i == 0 || strings.IndexByte(" ._/%+-", c) < 0) {
			return false
		}
	}
	switch strings.ToLower(s) {
	case "", "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return false
	}
	return !looksNumeric(s)
}

// looksNumeric tells that a reader may take s for a number: digits with what
// numbers are written with in YAML 1.1 and 1.2.
func looksNumeric(s string) bool {
	c := s[0]
	if c < '0' || c > '9' {
		return strings.EqualFold(s, "inf") || strings.EqualFold(s, "nan")
	}
	return strings.Trim(s, "0123456789abcdefABCDEFxXoO._+-") == ""
}

// localText is a time as a person writes it: without the offset where the
// zone gives it back, and without seconds where they are 0.
func localText(t time.Time, zone *time.Location) string {
	if zone == nil {
		return quantity.FormatTime(t, nil)
	}
	s := t.Format("2006-01-02T15:04:05.999999999")
	s = strings.TrimSuffix(s, ":00")
	if back, err := quantity.ParseTime(s, zone); err != nil || quantity.FormatTime(back, nil) != quantity.FormatTime(t, nil) {
		return quantity.FormatTime(t, nil)
	}
	return s
}
