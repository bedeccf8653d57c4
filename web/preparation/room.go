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
	"vialwright/web/books"
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
		{Method: "GET", Path: "/order/{order}", Act: people.SeeBoard, Do: m.in((*bench).benchPage)},
		{Method: "GET", Path: "/order/{order}/step/{key}", Act: people.SeeBoard, Do: m.in((*bench).benchPage)},
		{Method: "POST", Path: "/order/{order}/step/{key}", Act: people.SeeBoard, Do: m.in((*bench).stepDo)},
		{Method: "POST", Path: "/order/{order}/resuspend", Act: people.ReadMeter, Do: m.in((*bench).resuspendDo)},
		{Method: "POST", Path: "/order/{order}/take/{form}", Act: people.SeeBoard, Do: m.in((*bench).takeDo)},
		{Method: "GET", Path: "/order/{order}/check", Act: people.SecondCheck, Do: m.in((*bench).checkPage)},
		{Method: "POST", Path: "/order/{order}/check", Act: people.SecondCheck, Do: m.in((*bench).checkDo)},
		{Method: "GET", Path: "/order/{order}/time-out", Act: people.TimeOut, Do: m.in((*bench).timeOutPage)},
		{Method: "POST", Path: "/order/{order}/time-out", Act: people.TimeOut, Do: m.in((*bench).timeOutDo)},
	}
}

// in finds the order that the address names, for who answers at its bench.
func (m *Room) in(do func(*bench) error) func(*kit.Request) error {
	return func(q *kit.Request) error {
		o, err := books.Here(q)
		if err != nil {
			return err
		}
		return do(&bench{m.Of(o)})
	}
}

// enter records what a form says; show is the page with what was refused, of the order
// as it is by then.
func (b *bench) enter(e *kit.Form, show func(b *bench, status int, sent *view.Form) error) error {
	return b.Q.Enter(e, b.State, func(status int, f view.Form) error {
		o, err := books.Here(b.Q)
		if err != nil {
			return err
		}
		return show(&bench{b.Of(o)}, status, &f)
	})
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Bench{})
