package web

import (
	"maps"
	"net/url"
	"strings"
	"time"

	"vialwright/quantity"
)

// dating is what was done to the times of a form.
type dating struct {
	was     map[string]string // times of day, as they were typed
	stamped []string          // controls that were empty
	ahead   faults
}

// dated puts the day before times of day, and the time of now where none was
// typed.
func (q *request) dated(e *entryForm, st *state, sheet *sheet, typed url.Values) (d dating) {
	d.ahead = faults{}
	if sheet != nil {
		sheet.dated(e.parts, typed)
		return d
	}
	d.was, d.ahead = lately(e.parts, typed, q.now.In(st.zone.loc()))
	d.stamped = stamp(e.parts, typed, q.now, st.zone.loc())
	return d
}

// undone takes the time of now away again where it is that of the sending that
// succeeds, and gives what the form then shows: times of day as they were
// typed.
func (d dating) undone(e *entryForm, typed url.Values) (shown url.Values) {
	if e.done {
		for _, name := range d.stamped {
			typed.Del(name)
		}
	}
	shown = maps.Clone(typed)
	for name, text := range d.was {
		shown.Set(name, text)
	}
	return shown
}

// soonest is how far ahead of now a time of day may lie and still be of today: a
// wall clock and this one are seldom the same to the second.
const soonest = time.Minute

// lately puts the day before a time of day that was typed: today, or yesterday
// where it lies 12 h or more ahead, as what is told after midnight does. What
// lies ahead by less is not taken for yesterday; it is a fault, since nothing is
// recorded before it happened. now is in the zone of the case. What was typed with its day stays. was is
// what stood in the controls that it wrote into.
func lately(parts []part, typed url.Values, now time.Time) (was map[string]string, ahead faults) {
	was, ahead = map[string]string{}, faults{}
	for p, part := range parts {
		for _, in := range part.inputs {
			name := control(p, in.name)
			text := strings.TrimSpace(typed.Get(name))
			if !in.isTime() || !hourOnly.MatchString(text) {
				continue
			}
			layout := "15:04"
			if strings.Count(text, ":") == 2 {
				layout = "15:04:05"
			}
			clock, err := time.Parse(layout, text)
			if err != nil {
				continue // the journal says what is wrong with it
			}
			day := now.Day()
			on := func() time.Time {
				return time.Date(now.Year(), now.Month(), day, clock.Hour(), clock.Minute(), clock.Second(), 0, now.Location())
			}
			switch early := on().Sub(now); {
			case early >= 12*time.Hour:
				day--
			case early > soonest:
				ahead[name] = fault{text + " is still to come: it is " + now.Format("15:04") + " now", "write when it happened; for another day, write the day as well, such as " + now.AddDate(0, 0, -1).Format("2006-01-02T") + text}
				continue
			}
			was[name] = typed.Get(name)
			typed.Set(name, quantity.FormatTime(on(), now.Location()))
		}
	}
	return was, ahead
}
