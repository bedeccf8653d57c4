package readings

import (
	"maps"
	"net/url"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/live"
)

// Sources finds out where each reading of a form came from, and puts it into
// the facts: from the meter only where the form names a line that the meter
// did send, and the figure is that of the line; else it was typed. Refused is
// a line of another meter or container than the form says.
func (x *Taker) Sources(e *kit.Form, st *kit.State, typed url.Values) error {
	x.Stamp(e, typed)
	wrong := kit.Faults{}
	for n := range e.Parts {
		p := &e.Parts[n]
		if !reads(*p) {
			continue
		}
		fixed := map[string]any{}
		maps.Copy(fixed, p.Fixed)
		var lines [2]*live.Line
		for i, t := range taken {
			name := kit.Control(n, t.field)
			prefix := strings.TrimSuffix(t.field+"-", "gross-")
			fixed[prefix+"source"] = fact.Typed
			line, changed := x.tookLine(typed, name)
			if changed {
				e.Said += " " + changedWords[t.field]
			}
			if line == nil {
				continue
			}
			lines[i] = line
			fixed[prefix+"source"] = line.Source
			if text := fact.EscapeLine(line.Reading.Raw); text != "" {
				fixed[prefix+"line"] = text
			}
			for field, set := range map[string]string{"setting": line.Reading.Nuclide, "insert": line.Reading.Insert} {
				if set != "" && t.field == "gross" {
					fixed[field] = set // the line carries how the meter was set
				}
			}
			disagrees(n, t.in, line, typed, st, wrong)
		}
		emptied(n, lines, wrong)
		p.Fixed = fixed
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
func (x *Taker) tookLine(typed url.Values, name string) (l *live.Line, changed bool) {
	token := typed.Get(name + lineOf)
	if token == "" || !x.Connected() {
		return nil, false
	}
	line, ok := x.Meters.Find(token)
	if !ok || !holds(line, typed.Get(name), typed.Get(name+kit.UnitOf)) {
		return nil, true
	}
	return &line, false
}

// soonAfter is how far the time of a reading may be typed from that of its
// line.
const soonAfter = time.Minute

func disagrees(n int, in bool, l *live.Line, typed url.Values, st *kit.State, wrong kit.Faults) {
	meter, of, at := kit.Control(n, "meter"), kit.Control(n, "of"), kit.Control(n, "at")
	if typed.Get(meter) != l.Meter {
		wrong[meter] = kit.Fault{Text: "the figures were taken from " + l.Meter, Way: "choose that meter, or take them from the other"}
	}
	if !in {
		if l.Invented && l.Of != "" {
			wrong[kit.Control(n, "background")] = kit.Fault{Text: "this was taken with " + l.Of + " in the well", Way: "take it from the empty well"}
		}
		return
	}
	if l.Invented && typed.Get(of) != l.Of {
		wrong[of] = kit.Fault{Text: "the invented meter was read with another container in its well", Way: "take the reading again with this one"}
	}
	when, err := quantity.ParseTime(strings.TrimSpace(typed.Get(at)), st.Zone.Loc())
	sent := l.At.Truncate(time.Second)
	if err == nil && when.Sub(sent).Abs() > soonAfter {
		wrong[at] = kit.Fault{Text: "the meter sent this reading at " + st.Zone.Clock(sent), Way: "leave the time empty"}
	}
	if recordedLine(st.File, l.Source, fact.EscapeLine(l.Reading.Raw), sent) {
		wrong[kit.Control(n, "gross")] = kit.Fault{Text: "this line of the meter is recorded already", Way: "take a new one: each reading needs a line of its own"}
	}
	typed.Set(at, quantity.FormatTime(sent, st.Zone.Loc()))
}

// fullWell is a reading that no empty well gives; see also nearZero in package
// journal (common practice, no source).
const fullWell = 5 * quantity.MegaBecquerel

// emptied refuses a background that was taken with the sample in the well:
// there is only one field too many to press the key beside.
func emptied(n int, lines [2]*live.Line, wrong kit.Faults) {
	gross, background := lines[0], lines[1]
	if background == nil {
		return
	}
	b := background.Reading.Activity.Value
	if b > fullWell || gross != nil && gross.Token == background.Token {
		wrong[kit.Control(n, "background")] = kit.Fault{Text: "the well was not empty: " + background.Reading.Activity.Text, Way: "take everything out, wait until the display is stable, and take the background again"}
	}
}
