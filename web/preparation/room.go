// Package preparation is the bench of one order: its steps with their forms, the
// blind second check, the time-out, the clock after resuspension, and readings taken
// from a meter. It decides nothing about a dose: it asks
// package procedure what may be done, and dispensing what follows.
//
// # Settling clock
//
// The newest reading curve of a meter and a kind of vial says at the assay and at
// the remainder for how long a reading is off by no more than 1 % (an
// assumption), and how far off it is now (package settling). It corrects no
// figure. Who may still do a second check is not told of it.
package preparation

import (
	"embed"
	"time"

	"vialwright/people"
	"vialwright/web/clock"
	"vialwright/web/forms"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/live"
	"vialwright/web/readings"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct{ forms.Room }

// New makes the room: with the meters that are connected, and the trials of the
// settling clock. Close ends it.
func New(s *kit.Server, meters live.Meters, trials int, past *lessons.Lessons, curves *lessons.Curves) *Room {
	m := &Room{forms.Room{Meters: meters, Clocks: clock.NewCache(trials), Lessons: past, Curves: curves}}
	s.Beside = func(q *kit.Request) (<-chan time.Time, func() error, func()) { return readings.Ticks(q, m.Meters) }
	return m
}

// Close lets what is worked out beside the pages end.
func (m *Room) Close() { m.Clocks.Close() }

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/order/{order}", Act: people.SeeBoard, Do: m.in(benchPage)},
		{Method: "GET", Path: "/order/{order}/step/{key}", Act: people.SeeBoard, Do: m.in(benchPage)},
		{Method: "POST", Path: "/order/{order}/step/{key}", Act: people.SeeBoard, Do: m.in(stepDo)},
		{Method: "POST", Path: "/order/{order}/resuspend", Act: people.ReadMeter, Do: m.in(resuspendDo)},
		{Method: "POST", Path: "/order/{order}/take/{form}", Act: people.SeeBoard, Do: m.in(takeDo)},
		{Method: "GET", Path: "/order/{order}/check", Act: people.SecondCheck, Do: m.in(checkPage)},
		{Method: "POST", Path: "/order/{order}/check", Act: people.SecondCheck, Do: m.in(checkDo)},
		{Method: "GET", Path: "/order/{order}/time-out", Act: people.TimeOut, Do: m.in(timeOutPage)},
		{Method: "POST", Path: "/order/{order}/time-out", Act: people.TimeOut, Do: m.in(timeOutDo)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

func (m *Room) in(do func(*request) error) func(*kit.Request) error {
	return func(q *kit.Request) error { return do(&request{q, m}) }
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Bench{})

// show writes a page of this room.
func (q *request) show(status int, page any) error { return q.Show(status, pages, page) }
