package quantity

import (
	"strings"
	"time"
)

// period is a stretch of time with one offset: start <= t < end. A zero start
// or end is open.
type period struct {
	start, end time.Time
	offset     int // seconds east of Greenwich
}

// reading is the instant at which a clock with the period's offset shows what
// a clock in UTC shows at wall.
func (p period) reading(wall time.Time) time.Time {
	return wall.Add(-time.Duration(p.offset) * time.Second)
}

// early and late tell that t lies before or after the period.
func (p period) early(t time.Time) bool { return !p.start.IsZero() && t.Before(p.start) }
func (p period) late(t time.Time) bool  { return !p.end.IsZero() && !t.Before(p.end) }

// around lists the periods of zone that touch the time from 26 h before wall
// to 26 h after it. No zone is further than that from UTC, so one of them
// holds any instant whose local time in zone reads as wall. Each period begins
// where the one before it ends: beyond the table of a zone (after January 2038)
// ZoneBounds gives bounds at the turn of the year too, which may overlap.
func around(wall time.Time, zone *time.Location) []period {
	const reach = 26 * time.Hour
	var list []period
	for at := wall.Add(-reach); ; {
		in := at.In(zone)
		start, end := in.ZoneBounds()
		_, offset := in.Zone()
		if len(list) > 0 {
			start = at
		}
		list = append(list, period{start, end, offset})
		if end.IsZero() || end.After(wall.Add(reach)) {
			return list
		}
		at = end
	}
}

// local finds the instant at which zone shows c. Every offset in force around
// it is tried: the instant must lie in the period of the offset that gave it.
// One such reading is the answer; none is a gap, two are a fold.
func local(text string, c clock, zone *time.Location) (time.Time, *Error) {
	wall := c.utc()
	list := around(wall, zone)
	var fits []time.Time
	for _, p := range list {
		if t := p.reading(wall); !p.early(t) && !p.late(t) {
			fits = append(fits, t.In(zone))
		}
	}
	switch len(fits) {
	case 1:
		return fits[0], nil
	case 0:
		return time.Time{}, refuseGap(text, wall, list, zone)
	}
	return time.Time{}, refuseFold(text, fits, zone)
}

// refuseFold shows the instants at which the clock read the same.
func refuseFold(text string, fits []time.Time, zone *time.Location) *Error {
	var both []string
	for _, t := range fits {
		name, _ := t.Zone()
		both = append(both, FormatTime(t, nil)+" ("+name+", "+inUTC(t)+")")
	}
	return refuse(CodeTimeFold, text, "the clocks in "+zone.String()+" were put back and showed this time twice",
		"write the offset: "+strings.Join(both, " or "))
}

// refuseGap shows what the skipped time means with the offset before the gap
// and with the one after it.
func refuseGap(text string, wall time.Time, list []period, zone *time.Location) *Error {
	var both []string
	for i := 0; i+1 < len(list); i++ {
		before, after := list[i], list[i+1]
		if !before.late(before.reading(wall)) || !after.early(after.reading(wall)) {
			continue
		}
		for _, p := range []period{before, after} {
			t := p.reading(wall)
			both = append(both, FormatTime(t.In(fixed(p.offset)), nil)+
				" ("+inUTC(t)+", when the clocks there showed "+t.In(zone).Format("2006-01-02T15:04:05")+")")
		}
	}
	return refuse(CodeTimeGap, text, "the clocks in "+zone.String()+" were put forward and never showed this time",
		"write the offset: "+strings.Join(both, " or "))
}

// inUTC prints an instant in UTC.
func inUTC(t time.Time) string { return t.UTC().Format("2006-01-02 15:04:05") + " UTC" }

// EndOfDay is the midnight that ends the calendar day of zone so many days after that
// of t. Where the clocks skip that midnight, the day ends when they are put forward.
func EndOfDay(t time.Time, days int, zone *time.Location) time.Time {
	t = t.In(zone)
	end := time.Date(t.Year(), t.Month(), t.Day()+days+1, 0, 0, 0, 0, zone)
	if end.Hour() == 23 { // the hour before the skipped one
		_, end = end.ZoneBounds()
	}
	return end
}

// ParseDay gives the first instant of a calendar day of zone that is written like 2027-03-04,
// and that of the day after it.
func ParseDay(text string, zone *time.Location) (begins, ends time.Time, err error) {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return begins, ends, err
	}
	noon := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, zone) // no zone skips it
	return EndOfDay(noon, -1, zone), EndOfDay(noon, 0, zone), nil
}
