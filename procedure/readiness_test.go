package procedure_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/procedure"
)

// TestReadinessOfTheDay: the checks of another calendar day of the site's zone
// do not serve. What day counts is that of the draw and, before it, that of the
// moment asked: a record that is closed a week later stays whole.
func TestReadinessOfTheDay(t *testing.T) {
	day := func(days, hour, minute int) time.Duration {
		return time.Duration(days)*24*time.Hour + time.Duration(hour-7)*time.Hour + time.Duration(minute)*time.Minute
	}
	for _, c := range []struct {
		name   string
		upTo   procedure.Key
		checks time.Duration // from 07:00 of the day of the draw: when the checks were done
		now    time.Duration
		state  procedure.State
	}{
		{"of the morning", procedure.Readiness, day(0, 7, 30), day(0, 8, 0), procedure.Done},
		{"of yesterday", procedure.Readiness, day(-1, 7, 30), day(0, 8, 0), procedure.Now},
		{"of yesterday, ten minutes ago", procedure.Readiness, day(-1, 23, 55), day(0, 0, 5), procedure.Now},
		{"of today in the zone, of yesterday in UTC", procedure.Readiness, day(0, 0, 30), day(0, 23, 30), procedure.Done},
		{"of the day of the draw, looked at later", procedure.Draw, day(0, 7, 30), day(6, 9, 0), procedure.Done},
		{"of the day before the draw", procedure.Draw, day(-1, 7, 30), day(0, 12, 0), procedure.Now},
	} {
		b := newBench(t).does(dora, theOrder, theSign)
		start := b.now.Truncate(24 * time.Hour).Add(8 * time.Hour) // 07:00 in a zone one hour behind UTC
		for _, s := range walk {
			lines := s.lines
			if s.key == procedure.Readiness {
				lines = nil
				for _, l := range s.lines {
					i := strings.Index(l, "@")
					lines = append(lines, l[:i]+start.Add(c.checks).In(b.zone).Format("2006-01-02T15:04")+l[i+6:])
				}
			}
			b.does(s.who, lines...)
			if s.key == c.upTo {
				break
			}
		}
		b.now = start.Add(c.now)
		if s := b.prep("P1").Step(procedure.Readiness); s.State != c.state {
			t.Errorf("checks %s: readiness is %s (%s), want %s", c.name, s.State, s.Why, c.state)
		}
	}
}
