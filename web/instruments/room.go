// Package instruments is the meters of the site: the book of all instruments and check
// sources with what is due and their charts, what each meter is calibrated with, and the
// test of what its reading does while a vial settles.
package instruments

import (
	"embed"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	curves      *lessons.Curves
	instruments *lessons.Instruments
	past        *lessons.Lessons
}

// New makes the room.
func New(curves *lessons.Curves, instruments *lessons.Instruments, past *lessons.Lessons) *Room {
	return &Room{curves, instruments, past}
}

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/curve", Act: people.ReadMeter, Do: m.in(curvePage)},
		{Method: "POST", Path: "/curve", Act: people.ReadMeter, Do: m.in(curveDo)},
		{Method: "GET", Path: "/instruments", Settings: true, Act: people.SeeBoard, Do: m.in(listPage)},
		{Method: "GET", Path: "/instruments/of/{id}", Settings: true, Act: people.SeeBoard, Do: m.in(onePage)},
		{Method: "GET", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: m.in(testPage)},
		{Method: "POST", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: m.in(testDo)},
		{Method: "GET", Path: "/instruments/of/{id}/certificate.pdf", Settings: true, Act: people.SeeBoard, Do: m.in(certificatePDF)},
		{Method: "GET", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: m.in(enterPage)},
		{Method: "POST", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: m.in(enterDo)},
		{Method: "GET", Path: "/meters", Settings: true, Act: people.SetMeter, Do: m.in(metersPage)},
		{Method: "POST", Path: "/meters", Settings: true, Act: people.SetMeter, Do: m.in(metersDo)},
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

var pages = view.Parse(files, Curves{}, Instruments{}, One{})
