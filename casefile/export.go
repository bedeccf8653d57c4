package casefile

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// Export writes the facts of one case as a case file: header facts on top,
// then the entries, one on a line. Decoding it gives the same facts, the
// header facts moved to the top; of settings that were replaced before the
// first entry those in force. Times are written in the case's zone where
// that gives them back to the second, else with their offset; zones may be
// nil, then all have their offset. It fails with a *Refusal where the first
// fact does not open a case, and where a fact holds what could not be read
// back.
func Export(facts []fact.Fact, zones fact.Zones) ([]byte, error) {
	var c content
	c.format = 1
	if len(facts) == 0 {
		return nil, fact.AtTop("case", "case-missing", "there are no entries", "begin with the site and its zone")
	}
	for i, f := range facts {
		switch x := f.(type) {
		case *fact.Site:
			if i > 0 {
				return nil, fact.AtTop("case", "case-twice", "there is a first entry already", "export one order or vial at a time")
			}
			c.head = *x
		case *fact.Policy:
			if !x.From.IsZero() {
				c.format, c.entries = 2, append(c.entries, f)
				continue
			}
			if c.policy != nil && x.Reason == "" {
				return nil, fact.AtTop("policy", "policy-late", "there is one policy at the top of a case file", "export one order or vial at a time")
			}
			c.policy = x
		case *fact.Meter:
			if !x.From.IsZero() {
				c.format, c.entries = 2, append(c.entries, f)
				continue
			}
			i := slices.IndexFunc(c.meters, func(m fact.Meter) bool { return m.ID == x.ID && x.Reason != "" })
			if i >= 0 {
				c.meters[i] = *x
				continue
			}
			c.meters = append(c.meters, *x)
		default:
			c.entries = append(c.entries, f)
		}
	}
	if c.head.Zone == "" {
		return nil, fact.AtTop("case", "case-missing", "the first entry is not that of the site", "begin with the site and its zone")
	}
	w := exporter{}
	w.Flow = w.plain
	if zones != nil {
		zone, bad := zones.Load(c.head.Zone)
		if bad != nil {
			return nil, bad
		}
		w.zone = zone
	}
	if bad := w.file(&c); bad != nil {
		return nil, bad
	}
	return w.Buf, nil
}

// exporter writes a case file: blocks down to the groups that fit on a line.
type exporter struct {
	journal.Printer
	// zone is where times are shown; nil shows their offsets.
	zone *time.Location
}

func (w *exporter) line(parts ...string) {
	for _, p := range parts {
		w.Buf = append(w.Buf, p...)
	}
	w.Buf = append(w.Buf, '\n')
}

// file writes the whole of a case.
func (w *exporter) file(c *content) *fact.Refusal {
	w.line("case: ", strconv.Itoa(c.format))
	for _, f := range fact.Slots(nil, (&c.head)) {
		if bad := w.field(f, ""); bad != nil {
			return bad
		}
	}
	if c.policy != nil {
		if bad := w.field(fact.Slot{Name: "policy", Must: true, V: fact.GroupAt(&c.policy)}, ""); bad != nil {
			return bad
		}
	}
	if len(c.meters) > 0 {
		w.line("meters:")
	}
	for i := range c.meters {
		if bad := w.meter(&c.meters[i]); bad != nil {
			return bad.In("meters[" + strconv.Itoa(i+1) + "]")
		}
	}
	if len(c.entries) == 0 {
		w.line("entries: []")
		return nil
	}
	w.line("entries:")
	width := 0
	for _, f := range c.entries {
		width = max(width, len(fact.Word(f)))
	}
	for i, f := range c.entries {
		w.Buf = append(w.Buf, "  - "...)
		w.aligned(fact.Word(f), width)
		if bad := w.Group(f); bad != nil {
			return bad.In("entries[" + strconv.Itoa(i+1) + "]." + fact.Word(f))
		}
		w.line()
	}
	return nil
}

// aligned writes a key, its colon, and spaces up to the value.
func (w *exporter) aligned(key string, width int) {
	w.Buf = append(append(w.Buf, key...), ':')
	w.Buf = append(w.Buf, strings.Repeat(" ", width-len(key)+1)...)
}

// field writes a field that is given on a line of its own.
func (w *exporter) field(f fact.Slot, indent string) *fact.Refusal {
	switch {
	case f.V.Given():
	case f.Must:
		return (&fact.Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + f.V.Want()}).In(f.Name)
	default:
		return nil
	}
	w.Buf = append(append(append(w.Buf, indent...), f.Name...), ": "...)
	if bad := w.Value(f.V); bad != nil {
		return bad.In(f.Name)
	}
	w.line()
	return nil
}

// meter writes a meter, each of its geometries on a line.
func (w *exporter) meter(m *fact.Meter) *fact.Refusal {
	indent := "  - "
	for _, f := range fact.Slots(nil, m) {
		if g, ok := f.V.(fact.Grouped); ok && g.Given() {
			if bad := w.geometries(f.Name, g.Open()); bad != nil {
				return bad.In(f.Name)
			}
			continue
		}
		if bad := w.field(f, indent); bad != nil {
			return bad
		}
		indent = "    "
	}
	return nil
}

func (w *exporter) geometries(name string, g fact.Group) *fact.Refusal {
	given := slices.DeleteFunc(fact.Slots(nil, g), func(f fact.Slot) bool { return !f.V.Given() })
	if len(given) == 0 {
		w.line("    ", name, ": {}")
		return nil
	}
	w.line("    ", name, ":")
	width := 0
	for _, f := range given {
		width = max(width, len(f.Name))
	}
	for _, f := range given {
		w.Buf = append(w.Buf, "      "...)
		w.aligned(f.Name, width)
		if bad := w.Value(f.V); bad != nil {
			return bad.In(f.Name)
		}
		w.line()
	}
	return nil
}

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
