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
