package hotlab

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/protection"
	"vialwright/quantity"
)

// Room is a room with its points.
type Room struct {
	fact.Room
	Points []Point
}

// Point is a point of a room with its readings, the newest last.
type Point struct {
	fact.SurveyPoint
	Readings []Reading
}

// Reading is one reading of a point, and the number of its Entry.
type Reading struct {
	fact.PointReading
	Entry int
	// Swab is what the counts say; nil without counts.
	Swab *protection.Judged
	// Net is the dose rate less background; NetAction tells that it reaches its level.
	Net       quantity.DoseRate
	NetAction bool
	// Blind tells that a level of the point was not looked at: its counts cannot be
	// used, or what the level is set for was not measured.
	Blind bool
}

// State is that of the reading in a word.
func (x Reading) State() string {
	switch {
	case x.NetAction || x.Swab != nil && x.Swab.State == protection.AtAction:
		return string(protection.AtAction)
	case x.Blind:
		return "not measured against each action level"
	case x.Swab != nil:
		return x.Swab.String()
	}
	return "dose rate only"
}

// Clear tells that the reading lies below its action levels, and could see them.
func (x Reading) Clear() bool {
	return !x.NetAction && !x.Blind && (x.Swab == nil || x.Swab.State == protection.BelowCritical || x.Swab.State == protection.BelowAction)
}

// surveys reads rooms, points and readings.
func (r *reader) surveys() {
	rooms := &r.out.Rooms
	for _, x := range of[*fact.Room](r, r.Books.Entries) {
		put(rooms, x.x.Room, func(s *Room) *string { return &s.Room.Room }).Room = *x.x
	}
	for _, x := range of[*fact.SurveyPoint](r, r.Books.Entries) {
		room := put(rooms, x.x.Room, func(s *Room) *string { return &s.Room.Room })
		put(&room.Points, x.x.Point, func(p *Point) *string { return &p.Point }).SurveyPoint = *x.x
	}
	for _, x := range of[*fact.PointReading](r, r.Books.Entries) {
		r.reading(x.x, x.n)
	}
	for i := range *rooms {
		if room := &(*rooms)[i]; len(room.Points) == 0 {
			r.find(Finding{Code: RoomWithoutPoints, Severity: Warn, Page: Surveys, About: room.Room.Room, Do: "Set its points: a survey of none says nothing."}, "Room %s has no point to be surveyed", room.Room.Room)
		}
	}
	for _, x := range of[*fact.ReleaseRoom](r, r.Books.Entries) {
		r.released(x.x, x.n)
	}
	r.workDays()
	for _, x := range of[*fact.SpillPlan](r, r.Books.Entries) {
		r.out.Plan = x.x
	}
	for _, x := range of[*fact.Spill](r, r.Books.Entries) {
		if x.x.Ended.IsZero() && r.At.Sub(x.x.At) > time.Hour {
			r.find(Finding{Code: SpillOpen, Severity: Warn, Page: Surveys, About: x.x.Place, Entry: x.n, Do: "Survey the place, and enter when it was dealt with. " + r.call(fact.SpillHappened)}, "The spill of %s at %s is still open", r.clock(x.x.At), x.x.Place)
		}
	}
}

// point finds a point by its id; nil for none.
func (r *reader) point(id string) (room *Room, point *Point) {
	for i := range r.out.Rooms {
		for k := range r.out.Rooms[i].Points {
			if r.out.Rooms[i].Points[k].Point == id {
				return &r.out.Rooms[i], &r.out.Rooms[i].Points[k]
			}
		}
	}
	return nil, nil
}

// reading judges one reading by the levels of its point.
func (r *reader) reading(x *fact.PointReading, n int) {
	f := Finding{Severity: Warn, Page: Surveys, About: x.Point, Entry: n}
	_, p := r.point(x.Point)
	if p == nil {
		f.Code, f.Do = PointUnknown, "Set the point, or correct the id."
		r.find(f, "A reading of %s is of no point of the site", x.Point)
		return
	}
	r.meter(x.Meter, x.At, Surveys, x.Point, n)
	out := Reading{PointReading: *x, Entry: n, Net: max(0, x.Rate.Value-x.Background.Value)}
	out.NetAction = !p.RateAction.IsZero() && !x.Rate.IsZero() && out.Net >= p.RateAction.Value
	if x.Swab != nil {
		m, gross, blank := method(x.Swab)
		j, err := protection.Judge(m, gross, blank, p.Action.Value)
		if err != nil {
			f.Code, f.Do = PointBlind, "Count it again."
			r.find(f, "The counts of %s cannot be used: %v", x.Point, err)
		} else {
			out.Swab = &j
		}
	}
	out.Blind = out.Swab == nil && (x.Swab != nil || x.Rate.IsZero() || !p.Action.IsZero()) || x.Rate.IsZero() && !p.RateAction.IsZero()
	p.Readings = append(p.Readings, out)
	switch {
	case out.NetAction:
		f.Severity, f.Code, f.Do = Stop, PointAction, "Close the place off, clean it, and survey it again."
		r.find(f, "%s (%s) reads %s less background on %s, and the action level is %s", p.Point, p.Name, show(out.Net), r.clock(x.At), p.RateAction.Text)
	case out.Swab != nil && out.Swab.State == protection.AtAction:
		f.Severity, f.Code, f.Do = Stop, PointAction, "Close the place off, clean it, and survey it again."
		r.find(f, "%s (%s) has %s of contamination on %s, and the action level is %s", p.Point, p.Name, show(out.Swab.Surface), r.clock(x.At), p.Action.Text)
	case out.Swab != nil && out.Swab.State == protection.CannotSee:
		f.Code, f.Do = PointBlind, "Count wipe and blank longer, or wipe more."
		r.find(f, "The survey of %s (%s) on %s cannot see the action level of %s: count %s", p.Point, p.Name, r.clock(x.At), p.Action.Text, out.Swab.Counting())
	}
}

func itoa(n int) string { return strconv.Itoa(n) }

// released holds the release of a room against the newest readings of its points of
// that day.
func (r *reader) released(x *fact.ReleaseRoom, n int) {
	i := slices.IndexFunc(r.out.Rooms, func(room Room) bool { return room.Room.Room == x.Room })
	f := Finding{Code: RoomReleasedEarly, Severity: Stop, Page: Surveys, About: x.Room, Entry: n, Do: "Close the room, and survey it."}
	if i < 0 {
		r.find(f, "Room %s was released and is no room of the site", x.Room)
		return
	}
	room := &r.out.Rooms[i]
	var open []string
	for _, p := range room.Points {
		last := newestBefore(p.Readings, x.At)
		if last == nil || r.day(last.At) != r.day(x.At) || !last.Clear() {
			open = append(open, p.Point)
		}
	}
	if len(open) > 0 || len(room.Points) == 0 {
		r.find(f, "Room %s was released on %s, and these points were not surveyed that day, or not found below their action level: %s", x.Room, r.clock(x.At), cmp.Or(strings.Join(open, ", "), "it has no point"))
	}
}

func newestBefore(all []Reading, at time.Time) *Reading {
	for i := range slices.Backward(all) {
		if !all[i].At.After(at) {
			return &all[i]
		}
	}
	return nil
}

// workDays asks for a survey of each room with points on each day on which something was
// drawn, once the day is over.
func (r *reader) workDays() {
	days := map[string]int{}
	each(r, r.groups, func(x *fact.Draw, n int) {
		if day := r.day(x.At); day < r.day(r.At) {
			days[day] = n
		}
	})
	for _, day := range slices.Sorted(maps.Keys(days)) {
		for _, room := range r.out.Rooms {
			seen, from := 0, ""
			for _, p := range room.Points {
				from = cmp.Or(from, r.day(p.SurveyPoint.At))
				if slices.ContainsFunc(p.Readings, func(x Reading) bool { return r.day(x.At) == day }) {
					seen++
				}
			}
			if seen == len(room.Points) || day < from {
				continue
			}
			r.find(Finding{Code: DayNotSurveyed, Severity: Warn, Page: Surveys, About: room.Room.Room, Entry: days[day], Do: "Survey it now, and write why it was not done."},
				"Something was drawn on %s, and room %s was not surveyed on that day (%d of %d points)", day, room.Room.Room, seen, len(room.Points))
		}
	}
}
