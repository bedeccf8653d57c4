package kit

import (
	"encoding/json"
	"net/url"
	"strings"
	"time"

	"vialwright/quantity"
)

// stampedIn is the control that holds the times which the page wrote into a form, as a
// [stamps], so that they are told from those that a person typed.
const stampedIn = "stamped"

// stamps are times that were written into controls left empty, by the names of the
// controls, and the figures that stood in the form by then, which were measured at those
// times. Day is that of the page that shows them.
type stamps struct {
	Times, Figures map[string]string
	Day            string
}

// stampsOf reads what a form says of its times; none where it says nothing.
func stampsOf(typed url.Values) (s stamps) {
	if json.Unmarshal([]byte(typed.Get(stampedIn)), &s) != nil {
		return stamps{}
	}
	return s
}

// shows is a time of a stamp as its control shows it: that of the clock on the wall where
// it is of the day of the page.
func (s stamps) shows(name string, zone *time.Location) string {
	t, err := quantity.ParseTime(s.Times[name], nil)
	if err != nil || t.In(zone).Format(time.DateOnly) != s.Day {
		return s.Times[name]
	}
	return t.In(zone).Format("15:04")
}

// unstamp puts the times that were stamped, and that nobody changed, back to the second.
// Once a figure is another, they are taken away: it was measured later. A unit that was
// mended is still of the same reading.
func unstamp(typed url.Values, zone *time.Location) {
	s, again := stampsOf(typed), false
	for name, text := range s.Figures {
		again = again || strings.TrimSpace(typed.Get(name)) != text
	}
	for name := range s.Times {
		switch {
		case typed.Get(name) != s.shows(name, zone) && typed.Get(name) != s.Times[name]: // typed by a person
		case again:
			typed.Del(name)
		default:
			typed.Set(name, s.Times[name])
		}
	}
}

// fillNow writes the time into each time that was left empty: what is sent again later
// happened now, and not then. The form says which those are.
func fillNow(parts []Part, typed url.Values, now time.Time, zone *time.Location) {
	old, s := stampsOf(typed), stamps{Times: map[string]string{}, Figures: map[string]string{}}
	for name, in := range inputs(parts) {
		text := strings.TrimSpace(typed.Get(name))
		switch {
		case in.Kind == "time" && in.Must && text == "":
			s.Times[name] = quantity.FormatTime(now.Truncate(time.Second), zone)
			typed.Set(name, s.Times[name])
		case text != "" && text == old.Times[name]:
			s.Times[name] = text
		case len(in.Units) > 0 && text != "":
			s.Figures[name] = text
		}
	}
	s.put(typed)
}

// put writes the stamps into a form; none where there are no times.
func (s stamps) put(typed url.Values) {
	typed.Del(stampedIn)
	if kept, err := json.Marshal(s); err == nil && len(s.Times) > 0 {
		typed.Set(stampedIn, string(kept))
	}
}

// showStamps shows the times that a form wrote in itself as the clock on the wall does.
func showStamps(all FormFields, typed url.Values, now time.Time) {
	s := stampsOf(typed)
	s.Day = now.Format(time.DateOnly)
	s.put(typed)
	for name, at := range s.Times {
		if f := all.Named(name); f != nil && f.Value == at {
			f.Value = s.shows(name, now.Location())
			f.Hint = "When you first sent it. If you read again, it is the time at which you send the new figure."
		}
	}
}
