package journal

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// Export writes the facts of one case as a case file: header facts on top,
// then the entries, one on a line. Decoding it gives the same facts, the
// header facts moved to the top; of settings that were replaced before the
// first entry those in force. Times are written in the case's zone where
// that gives them back to the second, else with their offset; zones may be
// nil, then all have their offset. It fails with a *Refusal where the first
// fact does not open a case, and where a fact holds what could not be read
// back.
func Export(facts []Fact, zones Zones) ([]byte, error) {
	var c content
	c.format = 1
	if len(facts) == 0 {
		return nil, atTop("case", "case-missing", "there are no facts", "begin with the case and its zone")
	}
	for i, f := range facts {
		switch x := f.(type) {
		case *Site:
			if i > 0 {
				return nil, atTop("case", "case-twice", "the case was opened already", "export one case at a time")
			}
			c.head = *x
		case *Policy:
			if !x.From.IsZero() {
				c.format, c.entries = 2, append(c.entries, f)
				continue
			}
			if c.policy != nil && x.Reason == "" {
				return nil, atTop("policy", "policy-late", "a policy stands once in a case", "export one case at a time")
			}
			c.policy = x
		case *Meter:
			if !x.From.IsZero() {
				c.format, c.entries = 2, append(c.entries, f)
				continue
			}
			i := slices.IndexFunc(c.meters, func(m Meter) bool { return m.ID == x.ID && x.Reason != "" })
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
		return nil, atTop("case", "case-missing", "the first fact does not open a case", "begin with the case and its zone")
	}
	w := exporter{}
	w.flow = w.plain
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
	return w.buf, nil
}

// exporter writes a case file: blocks down to the groups that fit on a line.
type exporter struct {
	printer
	// zone is where times are shown; nil shows their offsets.
	zone *time.Location
}

func (w *exporter) line(parts ...string) {
	for _, p := range parts {
		w.buf = append(w.buf, p...)
	}
	w.buf = append(w.buf, '\n')
}

// file writes the whole of a case.
func (w *exporter) file(c *content) *Refusal {
	w.line("case: ", strconv.Itoa(c.format))
	for _, f := range (&c.head).fields(nil) {
		if bad := w.field(f, ""); bad != nil {
			return bad
		}
	}
	if c.policy != nil {
		if bad := w.field(field{name: "policy", must: true, v: group(&c.policy)}, ""); bad != nil {
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
		width = max(width, len(f.Kind()))
	}
	for i, f := range c.entries {
		w.buf = append(w.buf, "  - "...)
		w.aligned(f.Kind(), width)
		if bad := w.group(f); bad != nil {
			return bad.In("entries[" + strconv.Itoa(i+1) + "]." + f.Kind())
		}
		w.line()
	}
	return nil
}

func longest(words []string) (n int) {
	for _, w := range words {
		n = max(n, len(w))
	}
	return n
}

// aligned writes a key, its colon, and spaces up to the value.
func (w *exporter) aligned(key string, width int) {
	w.buf = append(append(w.buf, key...), ':')
	w.buf = append(w.buf, strings.Repeat(" ", width-len(key)+1)...)
}

// field writes a field that is given on a line of its own.
func (w *exporter) field(f field, indent string) *Refusal {
	switch {
	case f.v.given():
	case f.must:
		return (&Refusal{Code: "missing", Msg: "it is missing", Hint: "expected " + f.v.want()}).In(f.name)
	default:
		return nil
	}
	w.buf = append(append(append(w.buf, indent...), f.name...), ": "...)
	if bad := w.value(f.v); bad != nil {
		return bad.In(f.name)
	}
	w.line()
	return nil
}

// meter writes a meter, each of its geometries on a line.
func (w *exporter) meter(m *Meter) *Refusal {
	indent := "  - "
	for _, f := range m.fields(nil) {
		if g, ok := f.v.(grouped); ok && g.given() {
			if bad := w.geometries(f.name, g.open()); bad != nil {
				return bad.In(f.name)
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

func (w *exporter) geometries(name string, g fielded) *Refusal {
	var given []field
	var names []string
	for _, f := range g.fields(nil) {
		if f.v.given() {
			given, names = append(given, f), append(names, f.name)
		}
	}
	if len(given) == 0 {
		w.line("    ", name, ": {}")
		return nil
	}
	w.line("    ", name, ":")
	width := longest(names)
	for _, f := range given {
		w.buf = append(w.buf, "      "...)
		w.aligned(f.name, width)
		if bad := w.value(f.v); bad != nil {
			return bad.In(f.name)
		}
		w.line()
	}
	return nil
}
