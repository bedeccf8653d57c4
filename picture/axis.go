package picture

import (
	"slices"
	"strings"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// mostAxis is the longest axis, in hours.
const mostAxis = 400 * 24

// axis gives the bounds of the axis: those asked for if they are in order,
// else those around now and the infusions.
func (s Strip) axis() (from, until time.Time) {
	if !s.From.IsZero() && s.Until.After(s.From) {
		return s.From, earlier(s.Until, s.From.Add(mostAxis*time.Hour))
	}
	var all []time.Time
	add := func(t time.Time) {
		if !t.IsZero() {
			all = append(all, t)
		}
	}
	add(s.Now)
	for _, t := range s.Tracks {
		add(t.Infusion)
		for _, r := range t.Readings {
			if age := nuclide.Elapsed(r.At, s.Now).Hours(); age >= 0 && age <= 12 {
				add(r.At)
			}
		}
	}
	if len(all) == 0 {
		all = []time.Time{time.Unix(0, 0)}
	}
	from = slices.MinFunc(all, time.Time.Compare).Add(-time.Hour).Truncate(time.Hour)
	until = slices.MaxFunc(all, time.Time.Compare).Add(3*time.Hour - 1).Truncate(time.Hour)
	return from, earlier(until, from.Add(mostAxis*time.Hour))
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// tick is a mark of the time axis. The label of a day stays where two would
// meet.
type tick struct {
	at    time.Time
	label string
	day   bool
	// change says what happens to the clocks there, if anything.
	change string
}

// steps between ticks, in minutes.
var steps = []int{5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2 * 1440, 7 * 1440, 14 * 1440, 28 * 1440, 56 * 1440, 112 * 1440}

func step(from, until time.Time, room, label float64) int {
	minutes := float64(nuclide.Elapsed(from, until)) / 60
	for _, s := range steps {
		if room*float64(s)/minutes >= label {
			return s
		}
	}
	return steps[len(steps)-1]
}

// ticks walks the axis in whole quarters of an hour (or in five minutes where
// the step asks for it) and looks at the clock of the zone each time: so what
// the clocks do when they are changed comes out by itself. Offsets of zones
// are whole quarters of an hour.
func ticks(from, until time.Time, zone *time.Location, step int) []tick {
	unit := 15 * time.Minute
	if step < 15 {
		unit = 5 * time.Minute
	}
	var out []tick
	at := from.Truncate(unit)
	before := at.In(zone)
	if at.Before(from) {
		at = at.Add(unit)
	}
	for ; !at.After(until); at = at.Add(unit) {
		now := at.In(zone)
		if t, ok := tickAt(before, now, step); ok {
			out = append(out, t)
		}
		before = now
	}
	return out
}

// tickAt tells whether a clock that just showed before has a tick at now.
func tickAt(before, now time.Time, step int) (tick, bool) {
	t := tick{at: now}
	_, was := before.Zone()
	_, is := now.Zone()
	switch {
	case is > was:
		t.change = "clocks forward"
	case is < was:
		t.change = "clocks back"
	}
	newDay := before.YearDay() != now.YearDay()
	switch {
	case newDay && days(now)%max(1, step/1440) == 0:
		t.label, t.day = day(now), true
	case step < 1440 && (now.Hour()*60+now.Minute())%step == 0, t.change != "":
		t.label = now.Format("15:04")
	}
	return t, t.label != ""
}

func days(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

func day(t time.Time) string { return t.Format("Mon 2 Jan") }

// clock is a time of day, with the offset where the clock shows it twice, and
// with the date where it is not that of now and of the beginning of the axis.
func (s Strip) clock(t time.Time, layout string) string {
	t = t.In(s.Zone)
	if twice(t) {
		layout += " (UTC-07:00)"
	}
	same := days(t) == days(s.From.In(s.Zone)) && (s.Now.IsZero() || days(t) == days(s.Now.In(s.Zone)))
	if !same {
		layout += " Mon 2 Jan"
	}
	return strings.ReplaceAll(t.Format(layout), " ", string(nbsp))
}

// twice tells a time of day that comes again because the clocks are put back
// by an hour or by half of one.
func twice(t time.Time) bool {
	for _, d := range []time.Duration{-time.Hour, -30 * time.Minute, 30 * time.Minute, time.Hour} {
		if u := t.Add(d); u.Hour() == t.Hour() && u.Minute() == t.Minute() {
			return true
		}
	}
	return false
}

// window gives both ends of a valid window as texts, to the minute inside it;
// to the second where no whole minute lies in it.
func (s Strip) window(t Track) (from, until string) {
	a, b := quantity.WholeMinutes(t.ValidFrom, t.ValidUntil)
	if b.Before(a) {
		return s.clock(t.ValidFrom, "15:04:05"), s.clock(t.ValidUntil, "15:04:05")
	}
	return s.clock(a, "15:04"), s.clock(b, "15:04")
}
