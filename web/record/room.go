// Package record is what was recorded: the history, the correction of an entry, the
// late entry from paper, and the files that are given out.
package record

import (
	"embed"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Routes are the addresses of the room.
func Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/history", Act: people.SeeHistory, Fresh: true, Do: in(historyPage)},
		{Method: "POST", Path: "/history", Act: people.SeeHistory, Do: in(historyFind)},
		{Method: "GET", Path: "/paper", Act: people.Note, Do: in(sheetPage)},
		{Method: "POST", Path: "/paper", Act: people.Note, Do: in(sheetDo)},
		{Method: "GET", Path: "/order/{order}/export", Act: people.Export, Do: in(exportPage)},
		{Method: "GET", Path: "/export/{order}/{file}", Act: people.Export, Do: in(exportDo)},
		{Method: "GET", Path: "/export", Act: people.Export, Do: in(daysPage)},
		{Method: "POST", Path: "/export/days", Act: people.Export, Do: in(daysDo)},
		{Method: "GET", Path: "/entry/{entry}/correct", Act: people.Correct, Do: in(correctPage)},
		{Method: "POST", Path: "/entry/{entry}/correct", Act: people.Correct, Do: in(correctPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
}

var in = kit.In(func(q *kit.Request) *request { return &request{q} })

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, History{})

// History lists the entries of a case.
type History struct {
	view.Page
	Heading, Case, CaseHref string
	// Find leads to the history of an order, a container, a patient or a day.
	Find     view.Form
	Entries  []Entry
	Verified string
}

// Entry is a record in words.
type Entry struct {
	Number, Kind, By, Recorded string
	Late                       string
	Fields                     []view.Pair
	Struck                     bool
	By2, Corrects              string
	CorrectHref, Hash          string
}
