// Package documents is what is handed out of an order: its labels, its sheet and the
// blank one for a day without power, the draft of a report, and the page that says
// how each figure was worked out. It prints what was recorded and reckoned, and
// refuses it to who may still check the dose.
package documents

import (
	"embed"

	"vialwright/people"
	"vialwright/rules"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	// rules is the profile that the site has named; nil for none.
	rules *rules.Profile
}

// New makes the room, with the rule profile of the site, nil for none.
func New(profile *rules.Profile) *Room { return &Room{profile} }

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/order/{order}/working", Act: people.SeeBoard, Do: m.in(workingPage)},
		{Method: "GET", Path: "/order/{order}/draft", Act: people.PrintSheet, Do: m.in(draftText)},
		{Method: "GET", Path: "/labels/{file}", Act: people.PrintLabel, Do: m.in(labelPDF)},
		{Method: "GET", Path: "/sheet/{file}", Act: people.PrintSheet, Do: m.in(sheetPDF)},
		{Method: "GET", Path: "/order/{order}/going-home.pdf", Act: people.PrintSheet, Do: m.in(goingHomePDF)},
		{Method: "GET", Path: "/blank.pdf", Act: people.PrintSheet, Do: m.in(blankPDF)},
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

var pages = view.Parse(files, Working{})

// show writes a page of this room.
func (q *request) show(status int, page any) error { return q.Show(status, pages, page) }
