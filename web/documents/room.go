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

var pages = view.Parse(files, Working{}, Draft{})

// Working is the page that says how each figure of an order was worked out.
type Working struct {
	view.Page
	Back     view.Link
	Sections []WorkingSection
}

// Draft is the text of a report as it can be written so far.
type Draft struct {
	view.Page
	Back view.Link
	Text string
}

// WorkingSection is one section of the sheet.
type WorkingSection struct {
	ID, Heading string
	Rows        []WorkingRow
	Notes       []string
	Budgets     []Budget
}

// WorkingRow is one figure. How are the lines of its working, each in pieces: those
// with an address lead to an entry.
type WorkingRow struct {
	Name, Value, Also, Corrected string
	How                          [][]view.Link
}

// Budget is what an uncertainty is made up of.
type Budget struct {
	Title string
	Bars  []Bar
}

// Bar is one part of an uncertainty: its standard uncertainty, and its share of the
// variance as a number from 0 to 1 and in words.
type Bar struct{ Name, U, Share, Says string }
