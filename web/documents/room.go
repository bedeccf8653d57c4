// Package documents is what is handed out of an order: its labels, its sheet and the
// blank one for a day without power, the draft of a report, and the page that says
// how each figure was worked out. It prints what was recorded and reckoned, and
// refuses it to who may still check the dose.
package documents

import (
	"embed"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Routes are the addresses of the room.
func Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/order/{order}/working", Act: people.SeeBoard, Do: in(workingPage)},
		{Method: "GET", Path: "/order/{order}/draft", Act: people.PrintSheet, Do: in(draftText)},
		{Method: "GET", Path: "/labels/{file}", Act: people.PrintLabel, Do: in(labelPDF)},
		{Method: "GET", Path: "/sheet/{file}", Act: people.PrintSheet, Fresh: true, Do: in(sheetPDF)},
		{Method: "GET", Path: "/order/{order}/going-home.pdf", Act: people.PrintSheet, Do: in(goingHomePDF)},
		{Method: "GET", Path: "/blank.pdf", Act: people.PrintSheet, Do: in(blankPDF)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
}

var in = kit.In(func(q *kit.Request) *request { return &request{q} })

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Working{})
