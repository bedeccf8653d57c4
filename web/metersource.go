package web

import (
	"net/url"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/live"
)

// sources finds out where each reading of a form came from, and puts it into
// the facts: from the meter only where the form names a line that the meter
// did send, and the figure is that of the line; else it was typed. Refused is
// a line of another meter or container than the form says.
func (b *bench) sources(e *entryForm, st *state, typed url.Values) error {
	b.stamp(e, typed)
	wrong := faults{}
	for n := range e.parts {
		p := &e.parts[n]
		if !p.reads() {
			continue
		}
		fixed := map[string]any{}
		for k, v := range p.fixed {
			fixed[k] = v
		}
		var lines [2]*live.Line
		for i, t := range taken {
			name := control(n, t.field)
			prefix := strings.TrimSuffix(t.field+"-", "gross-")
			fixed[prefix+"source"] = fact.Typed
			line, changed := b.tookLine(typed, name)
			if changed {
				e.said += " " + changedWords[t.field]
			}
			if line == nil {
				continue
			}
			lines[i] = line
			fixed[prefix+"source"] = line.Source
			if text := fact.EscapeLine(line.Reading.Raw); text != "" {
				fixed[prefix+"line"] = text
			}
			disagrees(n, t.in, line, typed, st, wrong)
		}
		emptied(n, lines, wrong)
		p.fixed = fixed
	}
	if len(wrong) > 0 {
		return wrong
	}
	return nil
}

// changedWords are said where a figure is recorded as typed that had been
// taken from a meter.
var changedWords = map[string]string{
	"gross":      "The reading is marked as typed: it is not what the meter sent, or that is no longer kept.",
	"background": "The background is marked as typed: it is not what the meter sent, or that is no longer kept.",
}

// tookLine is the line that a field was taken from; nil for none. changed
// tells that the form names one, and does not hold what it says.
func (b *bench) tookLine(typed url.Values, name string) (l *live.Line, changed bool) {
	token := typed.Get(name + lineOf)
	if token == "" || !b.connected() {
		return nil, false
	}
	line, ok := b.q.Meters.Find(token)
	if !ok || !holds(line, typed.Get(name), typed.Get(name+unitOf)) {
		return nil, true
	}
	return &line, false
}

// soonAfter is how far the time of a reading may be typed from that of its
// line.
const soonAfter = time.Minute

// disagrees finds where the form says otherwise than the line.
func disagrees(n int, in bool, l *live.Line, typed url.Values, st *state, wrong faults) {
	meter, of, at := control(n, "meter"), control(n, "of"), control(n, "at")
	if typed.Get(meter) != l.Meter {
		wrong[meter] = fault{"the figures were taken from " + l.Meter, "choose that meter, or take them from the other"}
	}
	if !in {
		if l.Invented && l.Of != "" {
			wrong[control(n, "background")] = fault{"this was taken with " + l.Of + " in the well", "take it from the empty well"}
		}
		return
	}
	if l.Invented && typed.Get(of) != l.Of {
		wrong[of] = fault{"the invented meter was read with another container in its well", "take the reading again with this one"}
	}
	when, err := quantity.ParseTime(strings.TrimSpace(typed.Get(at)), st.zone.loc())
	sent := l.At.Truncate(time.Second)
	if err == nil && when.Sub(sent).Abs() > soonAfter {
		wrong[at] = fault{"the meter sent this reading at " + st.zone.clock(sent), "leave the time empty"}
	}
	if recordedLine(st.file, l.Source, fact.EscapeLine(l.Reading.Raw), sent) {
		wrong[control(n, "gross")] = fault{"this line of the meter is recorded already", "take a new one: two readings are two looks at the meter"}
	}
	typed.Set(at, quantity.FormatTime(sent, st.zone.loc()))
}

// fullWell is a reading that no empty well gives; see also nearZero in package
// journal (common practice, no source).
const fullWell = 5 * quantity.MegaBecquerel

// emptied refuses a background that was taken with the sample in the well:
// there is only one field too many to press the key beside.
func emptied(n int, lines [2]*live.Line, wrong faults) {
	gross, background := lines[0], lines[1]
	if background == nil {
		return
	}
	b := background.Reading.Activity.Value
	if b > fullWell || gross != nil && gross.Token == background.Token {
		wrong[control(n, "background")] = fault{"the well was not empty: " + background.Reading.Activity.Text, "take everything out, wait until it has settled, and take the background again"}
	}
}
