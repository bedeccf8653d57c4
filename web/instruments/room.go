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
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/curve", Act: people.ReadMeter, Do: in(curvePage)},
		{Method: "POST", Path: "/curve", Act: people.ReadMeter, Do: in(curveDo)},
		{Method: "GET", Path: "/instruments", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(listPage)},
		{Method: "GET", Path: "/instruments/of/{id}", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(onePage)},
		{Method: "GET", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: in(testPage)},
		{Method: "POST", Path: "/instruments/of/{id}/test/{test}", Settings: true, Act: people.CheckReadiness, Do: in(testPage)},
		{Method: "GET", Path: "/instruments/of/{id}/certificate.pdf", Settings: true, Act: people.SeeBoard, Fresh: true, Do: in(certificatePDF)},
		{Method: "GET", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: in(enterPage)},
		{Method: "POST", Path: "/instruments/enter/{kind}", Settings: true, Act: people.SetMeter, Do: in(enterPage)},
		{Method: "GET", Path: "/meters", Settings: true, Act: people.SetMeter, Do: in(metersPage)},
		{Method: "POST", Path: "/meters", Settings: true, Act: people.SetMeter, Do: in(metersPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Curves{}, Instruments{}, One{})
