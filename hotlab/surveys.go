package hotlab

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/protection"
	"vialwright/quantity"
)

// Room is a room with its points.
type Room struct {
	fact.Room
	Points []Point
}

// Point is a point of a room as it is set now, with its readings, the newest last.
type Point struct {
	fact.SurveyPoint
	Readings []Reading

	// set are all that were set of it, oldest first: a reading is judged by what held then.
	set []fold.Version[*fact.SurveyPoint]
}

// Reading is one reading of a point, the number of its Entry, and how the point was set when
// it was taken.
type Reading struct {
	fact.PointReading
	Entry int
	Set   fact.SurveyPoint
	// Swab is what the counts say; nil without counts.
	Swab *protection.Judged
	// Net is the dose rate and NetCounts the count rate, less background; NetAction tells
	// that one of them reaches its level.
	Net       quantity.DoseRate
	NetCounts quantity.CountRate
	NetAction bool
	// Blind tells that a level of the point was not looked at: its counts cannot be
	// used, or what the level is set for was not measured.
	Blind bool
	// Unfit tells that its instrument was past its calibration, withdrawn, or none of the site.
	Unfit bool
	// unread says why its counts cannot be used; nil where they can.
	unread error
}

// State is that of the reading in a word.
func (x Reading) State() string {
	switch {
	case x.NetAction || x.Swab != nil && x.Swab.State == protection.AtAction:
		return string(protection.AtAction)
	case x.Blind:
		return "not measured against each action level"
	case x.Unfit:
		return "read with an instrument that is past its calibration, withdrawn, or not of the site"
	case x.Swab != nil:
		return x.Swab.String()
	case x.Set.RateAction.IsZero() && x.Set.CountAction.IsZero():
		return string(protection.NoLevel)
	}
	return string(protection.BelowAction)
}

// Clear tells that the reading lies below its action levels, and could see them, by an
// instrument of the site in calibration.
func (x Reading) Clear() bool {
	return !x.NetAction && !x.Blind && !x.Unfit && (x.Swab == nil || x.Swab.State == protection.BelowCritical || x.Swab.State == protection.BelowAction)
}

// surveys reads rooms, points and readings.
func (r *reader) surveys() {
	rooms := &r.out.Rooms
	for _, x := range fold.Versions[*fact.Room](r.Books.Entries, r.At) {
		put(rooms, x.Fact.Room, func(s *Room) *string { return &s.Room.Room }).Room = *x.Fact
	}
	var points []Point
	for _, x := range fold.Versions[*fact.SurveyPoint](r.Books.Entries, r.At) {
		p := put(&points, x.Fact.Point, func(p *Point) *string { return &p.Point })
		p.SurveyPoint, p.set = *x.Fact, append(p.set, x)
	}
	for _, p := range points {
		room := put(rooms, p.Room, func(s *Room) *string { return &s.Room.Room })
		room.Points = append(room.Points, p)
	}
	for _, x := range fold.Versions[*fact.PointReading](r.Books.Entries, r.At) {
		r.reading(x.Fact, x.Entry)
	}
	for _, room := range *rooms {
		if len(room.Points) == 0 {
			r.find(Finding{Code: RoomWithoutPoints, Severity: dispensing.Warn, Page: Surveys, About: room.Room.Room, Do: "Set its points: a survey of none says nothing."}, "Room %s has no point to be surveyed", room.Room.Room)
		}
		for _, p := range room.Points {
			for i := range p.Readings {
				r.judged(p, i)
			}
		}
	}
	for _, x := range fold.Versions[*fact.ReleaseRoom](r.Books.Entries, r.At) {
		r.released(x.Fact, x.Entry)
	}
	r.workDays()
	for _, x := range fold.Versions[*fact.SpillPlan](r.Books.Entries, r.At) {
		r.out.Plan = x.Fact
	}
	for _, x := range fold.Versions[*fact.Spill](r.Books.Entries, r.At) {
		if x.Fact.Ended.IsZero() && r.At.Sub(x.Fact.At) > openWithin {
			r.find(Finding{Code: SpillOpen, Severity: dispensing.Warn, Page: Surveys, About: x.Fact.Place, Entry: x.Entry, Do: "Survey the place, and enter when it was dealt with. " + r.call(fact.SpillHappened)}, "The spill of %s at %s is still open", r.clock(x.Fact.At), x.Fact.Place)
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

// reading judges one reading by the levels of its point that held when it was taken.
func (r *reader) reading(x *fact.PointReading, n int) {
	f := Finding{Severity: dispensing.Warn, Page: Surveys, About: x.Point, Entry: n}
	_, p := r.point(x.Point)
	if p == nil {
		f.Code, f.Do = PointUnknown, "Set the point, or correct the id."
		r.find(f, "A reading of %s is of no point of the site", x.Point)
		return
	}
	out := Reading{PointReading: *x, Entry: n, Unfit: !r.meter(x.Meter, x.At, Surveys, x.Point, n), Net: max(0, x.Rate.Value-x.Background.Value), NetCounts: max(0, x.CountRate.Value-x.CountBackground.Value)}
	set, held := fold.InForce(p.set, x.At)
	if held {
		out.Set = *set
	} else {
		f.Code, f.Do = PointUnknown, "Correct the time of the reading, or from when the point holds."
		r.find(f, "A reading of %s is of %s, and the point holds from %s on: it is held against no level", x.Point, r.clock(x.At), r.clock(p.set[0].Fact.At))
	}
	out.NetAction = len(reached(out)) > 0
	if x.Swab != nil {
		m, gross, blank, err := r.wipe(x.Swab, x.Meter, x.At)
		var j protection.Judged
		if err == nil {
			j, err = protection.Judge(m, gross, blank, out.Set.Action.Value)
		}
		if out.unread = err; err == nil {
			out.Swab = &j
		}
	}
	out.Blind = !held || unseen(out)
	p.Readings = append(p.Readings, out)
}

// reached are the levels that an instrument showed to be reached, each said in the unit in
// which it is set.
func reached(x Reading) (out []string) {
	if v, ok := atLevel(x.Net, x.Rate, x.Set.RateAction); ok {
		out = append(out, v)
	}
	if v, ok := atLevel(x.NetCounts, x.CountRate, x.Set.CountAction); ok {
		out = append(out, v)
	}
	return out
}

// atLevel holds what was shown less background against a level; what is not there reaches
// none.
func atLevel[Q quantity.Kind](net Q, shown, level quantity.Stated[Q]) (string, bool) {
	if shown.IsZero() || level.IsZero() || !quantity.Reaches(net, level.Value) {
		return "", false
	}
	return "reads " + InUnitOf(net, level) + " less background, and the action level is " + level.Text, true
}

// InUnitOf says a figure in the unit in which another was written.
func InUnitOf[Q quantity.Kind](v Q, as quantity.Stated[Q]) string {
	_, unit := as.Split()
	return quantity.FormatDigits(v, 3, unit)
}

// Share is the largest part of an action level that a reading reaches, 1 at the level; false
// where it was held against none. detected tells that the counts showed something, or that
// none were counted.
func (x Reading) Share() (share float64, detected, held bool) {
	add := func(net, level float64, is bool) {
		if is && level > 0 {
			share, held = max(share, net/level), true
		}
	}
	add(float64(x.Net), float64(x.Set.RateAction.Value), !x.Rate.IsZero())
	add(float64(x.NetCounts), float64(x.Set.CountAction.Value), !x.CountRate.IsZero())
	detected = x.Swab == nil || x.Swab.Detected
	if x.Swab != nil {
		add(float64(x.Swab.Surface), float64(x.Set.Action.Value), true)
	}
	return share, detected, held
}

// unseen tells that a level of the point was not looked at, or nothing was measured.
func unseen(x Reading) bool {
	switch {
	case x.Swab == nil && (x.PointReading.Swab != nil || !x.Set.Action.IsZero()):
	case x.Rate.IsZero() && !x.Set.RateAction.IsZero():
	case x.CountRate.IsZero() && !x.Set.CountAction.IsZero():
	default:
		return x.Swab == nil && x.Rate.IsZero() && x.CountRate.IsZero()
	}
	return true
}

// judged says what is wrong with the i-th reading of a point: until a later one of the point is
// clear it has to be dealt with, and from then on it stays for as long as is looked back.
func (r *reader) judged(p Point, i int) {
	x, cleared := p.Readings[i], ""
	if k := slices.IndexFunc(p.Readings[i+1:], Reading.Clear); k >= 0 {
		if r.At.Sub(x.At) > lookedBack {
			return
		}
		cleared = "; it was clear on " + r.clock(p.Readings[i+1+k].At)
	}
	say := func(code Code, severity dispensing.Severity, do, format string, args ...any) {
		f := Finding{Code: code, Severity: severity, Page: Surveys, About: p.Point, Entry: x.Entry, Do: do}
		if cleared != "" {
			f.Severity, f.Do = dispensing.Note, "Write what was done, where that is not written yet."
		}
		r.find(f, format+"%s", append(args, cleared)...)
	}
	const clean, again = "Close the place off, clean it, and survey it again.", "Count wipe and blank longer, or wipe more."
	if x.unread != nil {
		say(PointBlind, dispensing.Warn, "Count it again.", "The counts of %s cannot be used: %s", p.Point, strings.TrimSuffix(x.unread.Error(), "."))
	}
	for _, says := range reached(x) {
		say(PointAction, dispensing.Stop, clean, "%s (%s) on %s %s", p.Point, p.Name, r.clock(x.At), says)
	}
	switch {
	case x.Swab == nil:
	case x.Swab.State == protection.AtAction:
		_, unit := x.Set.Action.Split()
		say(PointAction, dispensing.Stop, clean, "%s (%s) has %s of contamination on %s, and the action level is %s", p.Point, p.Name, quantity.Format(x.Swab.Surface, x.Swab.SurfaceU, unit), r.clock(x.At), x.Set.Action.Text)
	case x.Swab.State == protection.CannotSee:
		say(PointBlind, dispensing.Warn, again, "The survey of %s (%s) on %s cannot see the action level of %s: count %s", p.Point, p.Name, r.clock(x.At), x.Set.Action.Text, x.Swab.Counting())
	}
}

func itoa(n int) string { return strconv.Itoa(n) }

// released holds the release of a room against the newest readings of its points of
// that day.
func (r *reader) released(x *fact.ReleaseRoom, n int) {
	i := slices.IndexFunc(r.out.Rooms, func(room Room) bool { return room.Room.Room == x.Room })
	f := Finding{Code: RoomReleasedEarly, Severity: dispensing.Stop, Page: Surveys, About: x.Room, Entry: n, Do: "Close the room, and survey it."}
	if i < 0 {
		r.find(f, "Room %s was released and is no room of the site", x.Room)
		return
	}
	room := r.out.Rooms[i]
	if open := room.Open(x.At.In(r.Zone)); len(open) > 0 {
		r.find(f, "Room %s was released on %s, and these points were not surveyed that day with an instrument of the site in calibration, or not found below their action level: %s", x.Room, r.clock(x.At), strings.Join(open, ", "))
	}
}

// Open are the points of a room that keep it from being released at a time: those that were
// not read on that day, in the zone of the time, or whose last reading is not clear.
func (room Room) Open(at time.Time) (open []string) {
	if len(room.Points) == 0 {
		return []string{"it has no point"}
	}
	day := func(t time.Time) string { return t.In(at.Location()).Format(time.DateOnly) }
	for _, p := range room.Points {
		last := newestBefore(p.Readings, at)
		if !p.set[0].Fact.At.After(at) && (last == nil || day(last.At) != day(at) || !last.Clear()) {
			open = append(open, p.Point)
		}
	}
	return open
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
	days := map[string]fold.Version[*fact.Draw]{}
	each(r, r.groups, func(x *fact.Draw, n int) {
		if day := r.day(x.At); day < r.day(r.At) {
			days[day] = fold.Version[*fact.Draw]{Entry: n, Fact: x}
		}
	})
	type pointDay struct{ point, day string }
	read := map[pointDay]bool{}
	for _, room := range r.out.Rooms {
		for _, p := range room.Points {
			for _, x := range p.Readings {
				read[pointDay{p.Point, r.day(x.At)}] = true
			}
		}
	}
	for _, day := range slices.Sorted(maps.Keys(days)) {
		for _, room := range r.out.Rooms {
			seen, due := 0, 0
			for _, p := range room.Points {
				if r.day(p.set[0].Fact.At) > day { // there was no such point yet
					continue
				}
				due++
				if read[pointDay{p.Point, day}] {
					seen++
				}
			}
			if seen < due {
				r.find(Finding{Code: DayNotSurveyed, Severity: dispensing.Warn, Page: Surveys, About: room.Room.Room, Entry: days[day].Entry, Do: "Survey it now, and write why it was not done."},
					"Something was drawn on %s, and room %s was not surveyed on that day (%d of %d points)", r.sayDay(days[day].Fact.At), room.Room.Room, seen, due)
			}
		}
	}
}

// contacts keeps those in force, each as it was entered last.
func (r *reader) contacts() {
	all := &r.out.Contacts
	for _, x := range fold.Versions[*fact.Contact](r.Books.Entries, r.At) {
		*all = slices.DeleteFunc(*all, func(c fact.Contact) bool { return c.Name == x.Fact.Name && c.Occasion == x.Fact.Occasion })
		if x.Fact.Until.IsZero() || x.Fact.Until.After(r.At) {
			*all = append(*all, *x.Fact)
		}
	}
}

// call says whom to telephone on an occasion.
func (r *reader) call(on fact.Occasion) string {
	var whom []string
	for _, c := range r.out.Contacts {
		if c.Occasion == on {
			whom = append(whom, c.Name+": "+c.Phone)
		}
	}
	if len(whom) == 0 {
		return "The site has entered nobody to call: look the numbers up, and enter them."
	}
	return "Call " + strings.Join(whom, "; ") + "."
}
