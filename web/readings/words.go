package readings

import (
	"time"

	"vialwright/instrument"
	"vialwright/quantity"
	"vialwright/web/live"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Words is what a meter says, for a person.
func Words(m live.Meter, now time.Time, z words.Zoned) view.Meter {
	v := view.Meter{ID: m.Meter, Of: m.Of, Invented: m.Invented, Name: m.Meter + " shows"}
	switch {
	case m.Invented && m.Of == live.NotChosen:
		v.Name = "Invented meter " + m.Meter + ":"
	case m.Invented && m.Of == "":
		v.Name = "Invented meter " + m.Meter + ", empty:"
	case m.Invented:
		v.Name = "Invented meter " + m.Meter + " with " + m.Of + " in it:"
	}
	if !m.At.IsZero() {
		state := map[instrument.State]string{
			instrument.Stable: "stable", instrument.Unstable: "not stable", instrument.Unflagged: "stable or not: see the display",
		}[m.Reading.State]
		age := quantity.Span(now.Sub(m.At).Truncate(time.Second).Seconds())
		v.Says = m.Reading.Activity.Text + ", " + state + ", " + quantity.ShowSpan(max(0, age)) + " ago."
	}
	if why := m.Refuses(now); why != "" {
		v.Why = "It cannot be taken: " + why + "."
		return v
	}
	v.Value, v.Unit = m.Reading.Activity.Split()
	v.At, v.Token = quantity.FormatTime(m.At.Truncate(time.Second), z.Loc()), m.Token
	return v
}
