package kit

import (
	"fmt"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"

	"vialwright/quantity"
)

// dating is what was done to the times of a form.
type dating struct {
	was   map[string]string // times of day, as they were typed
	ahead Faults
}

// dated puts the day before times of day, and the time of now where none was
// typed.
func (q *Request) dated(e *Form, st *State, sheet *Sheet, typed url.Values) (d dating) {
	d.ahead = Faults{}
	if sheet != nil {
		sheet.dated(e.Parts, typed)
		return d
	}
	d.was, d.ahead = CompleteDates(e.Parts, typed, q.Now.In(st.Zone.Loc()))
	fillNow(e.Parts, typed, q.Now, st.Zone.Loc())
	return d
}

// undone takes the time of now away again where it is that of the sending that
// succeeds, and gives what the form then shows: times of day as they were
// typed.
func (d dating) undone(e *Form, typed url.Values) (shown url.Values) {
	if e.Done {
		for name := range stampsOf(typed).Times {
			typed.Del(name)
		}
		typed.Del(stampedIn)
	}
	shown = maps.Clone(typed)
	for name, text := range d.was {
		shown.Set(name, text)
	}
	return shown
}

// Soonest is how far ahead of now a time of day may lie and still be of today: a
// wall clock and this one are seldom the same to the second.
const Soonest = time.Minute

// likeClock is a time of day with something else than a colon in it.
var likeClock = regexp.MustCompile(`^(\d{1,2})\D?([0-5]\d)$`)

// tells are the times at which something had happened when it is entered. Those of a
// plan, a label or a deadline are not: they keep the day that was typed.
var tells = []string{"at", "start", "stop", "agitated", "since", "ended", "to"}

// happened tells whether an input takes the time of something that is over.
func (in Input) happened() bool {
	return in.Label != "Holds from" && in.Label != "Planned infusion" && slices.Contains(tells, in.Name[strings.LastIndex(in.Name, ".")+1:])
}

// CompleteDates puts the day before a time of day that was typed: today, or yesterday
// where it lies 12 h or more ahead, as what is told after midnight does. What lies ahead
// by less, or was typed with a day that is still to come, is a fault, since nothing is
// recorded before it happened. The time of a plan, a label or a deadline is left as it
// was typed. now is in the zone of the case. was is what stood in the controls that it
// wrote into.
func CompleteDates(parts []Part, typed url.Values, now time.Time) (was map[string]string, ahead Faults) {
	was, ahead = map[string]string{}, Faults{}
	for name, in := range inputs(parts) {
		text := strings.TrimSpace(typed.Get(name))
		if !in.happened() {
			continue
		}
		if !HourOnly.MatchString(text) {
			if clock := likeClock.FindStringSubmatch(text); clock != nil && in.isTime() {
				ahead[name] = Fault{fmt.Sprintf("%q is not written as the clock on the wall shows it", text), "write " + clock[1] + ":" + clock[2]}
			} else if t, err := quantity.ParseTime(text, now.Location()); err == nil && t.Sub(now) > Soonest {
				ahead[name] = Fault{text + " is still to come: it is " + now.Format("2006-01-02T15:04") + " now", "write when it happened: look at the day, the month and the year"}
			}
			continue
		}
		if !in.isTime() {
			continue // of a correction, whose day is that of the entry
		}
		layout := "15:04"
		if strings.Count(text, ":") == 2 {
			layout = "15:04:05"
		}
		clock, err := time.Parse(layout, text)
		if err != nil {
			continue // the journal says what is wrong with it
		}
		day := func(back int) string {
			return now.AddDate(0, 0, -back).Format("2006-01-02T") + clock.Format("15:04:05")
		}
		told := day(0)
		t, err := quantity.ParseTime(told, now.Location())
		switch early := t.Sub(now); {
		case err != nil: // the clocks skipped it, or showed it twice: the journal asks for the offset
		case early >= 12*time.Hour:
			told = day(1)
			t, err = quantity.ParseTime(told, now.Location())
		case early > Soonest:
			ahead[name] = Fault{text + " is still to come: it is " + now.Format("15:04") + " now", "write when it happened; for another day, write the day as well, such as " + now.AddDate(0, 0, -1).Format("2006-01-02T") + text}
			continue
		}
		if err == nil {
			told = quantity.FormatTime(t, now.Location())
		}
		was[name] = typed.Get(name)
		typed.Set(name, told)
	}
	return was, ahead
}
