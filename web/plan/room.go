// Package plan is the day plan on the screen: the day as rows of vials, bench and
// suites with the orders on them; an order moved, cancelled or swapped is planned
// again at once; and one touch takes the plan, with its reason.
package plan

import (
	"embed"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Room is the room with the meter book of the site.
type Room struct{ instruments *lessons.Instruments }

// New makes the room.
func New(instruments *lessons.Instruments) *Room { return &Room{instruments} }

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/plan", Act: people.SeeBoard, Do: in(planPage)},
		{Method: "POST", Path: "/plan", Act: people.Draw, Do: in(planDo)},
		{Method: "GET", Path: "/plan/ahead", Act: people.SeeBoard, Do: in(aheadPage)},
		{Method: "GET", Path: "/plan/setup", Act: people.SetPolicy, Do: in(setupPage)},
		{Method: "POST", Path: "/plan/setup", Act: people.SetPolicy, Do: in(setupPage)},
		{Method: "GET", Path: "/plan/calendar", Act: people.SeeBoard, Do: in(calendarPage)},
		{Method: "POST", Path: "/plan/calendar", Act: people.SeeBoard, Do: in(calendarGive)},
		{Method: "POST", Path: "/plan/calendar/withdraw", Act: people.SeeBoard, Do: in(calendarWithdraw)},
		{Method: "GET", Path: "/calendar/{id}/{file}", Open: true, Do: in(calendarFeed)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Plan{})
