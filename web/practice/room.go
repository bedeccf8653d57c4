// Package practice is what only a practice laboratory has: a clock that can be put
// forward, and the drills with what each person caught in them.
package practice

import (
	"embed"

	"vialwright/drill"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Routes are the addresses of the room.
func Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/practice", Act: people.SeeBoard, Fresh: true, Do: in(inPractice(practicePage))},
		{Method: "POST", Path: "/practice/clock", Act: people.Note, Fresh: true, Do: in(inPractice(clockDo))},
		{Method: "POST", Path: "/practice/drill", Act: people.Note, Fresh: true, Do: in(inPractice(drillDo))},
		{Method: "GET", Path: "/practice/drill/{run}", Act: people.SeeBoard, Fresh: true, Do: in(inPractice(runPage))},
		{Method: "POST", Path: "/practice/drill/{run}", Act: people.Note, Fresh: true, Do: in(inPractice(answerDo))},
		{Method: "GET", Path: "/practice/record.csv", Act: people.SeeBoard, Fresh: true, Do: in(inPractice(competenceCSV))},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	list []drill.Drill // once they were read
}

var in = kit.In(func(q *kit.Request) *request { return &request{Request: q} })

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Practice{})

// Practice is the page of a practice laboratory: its clock, the drills, and who
// caught what.
type Practice struct {
	view.Page
	Clock   []view.Pair
	Forward view.Form
	Drills  []DrillCard
	People  []CompetenceOf
}

// DrillCard is a drill that may be started.
type DrillCard struct {
	Title, Told string
	GoesOn      string // where the person goes on with it; empty where they have not begun it
	Form        view.Form
}

// CompetenceOf is what one person did in drills.
type CompetenceOf struct {
	ID, Name string
	Rows     []CompetenceRow
}

// CompetenceRow is one thing that was done, how long after the start, and
// whether the fault was caught with it.
type CompetenceRow struct{ Drill, Href, Did, At, After, Result string }
