// Package experience shows the experience of the
// site with what the plan takes of it, and the control charts.
package experience

import (
	"embed"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	lessons *lessons.Lessons
}

// New makes the room.
func New(past *lessons.Lessons) *Room { return &Room{past} }

// Forms are what this room brings to the board.
func (m *Room) Forms(q *kit.Request, st *kit.State) map[string]*kit.Form {
	return (&request{q, m}).takeOverForms(st)
}

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/experience", Act: people.SeeBoard, Fresh: true, Do: in(experiencePage)},
		{Method: "GET", Path: "/charts", Act: people.SeeBoard, Fresh: true, Do: in(chartsPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Experience{}, Charts{})
